"""Every built-in model keeps to what is asked of a stranger's."""

from __future__ import annotations

import pytest

from planner.plugin.builtin import crowds, planner_models, pricing, rates, shops, weather
from planner.testing import (
    DemandConformance,
    PricingConformance,
    RatesConformance,
    SupplyConformance,
    WeatherConformance,
)
from planner.testing.conformance import Conformance


class TestFixedPrices(PricingConformance):
    provider = pricing.FIXED


class TestQuantityBreaks(PricingConformance):
    provider = pricing.BREAKS


class TestShops(SupplyConformance):
    provider = shops.SHOPS


class TestSyntheticWeather(WeatherConformance):
    provider = weather.SYNTHETIC


class TestConstantWeather(WeatherConformance):
    provider = weather.CONSTANT


class TestFixedRates(RatesConformance):
    provider = rates.FIXED


class TestMeanRevertingRates(RatesConformance):
    provider = rates.MEAN_REVERTING


class TestReplayedRates(RatesConformance):
    provider = rates.REPLAY


class TestReturningBuyers(DemandConformance):
    provider = crowds.RETURNING


class TestBulkBuyers(DemandConformance):
    provider = crowds.BULK


class TestBuyersByPost(DemandConformance):
    provider = crowds.POST


@pytest.mark.parametrize("provider", planner_models(), ids=lambda one: f"{one.kind}-{one.name}")
def test_no_built_in_model_is_left_out(provider: object) -> None:
    looked_at = [
        one.provider
        for one in globals().values()
        if isinstance(one, type) and issubclass(one, Conformance)
        if "provider" in vars(one)
    ]
    assert provider in looked_at
