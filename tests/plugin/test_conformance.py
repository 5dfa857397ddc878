"""Every built-in model keeps to what is asked of a stranger's."""

from __future__ import annotations

import runpy
from collections.abc import Mapping
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from planner.plugin.builtin import crowds, planner_models, pricing, rates, shops, weather
from planner.plugin.protocol import Provider
from planner.testing import (
    DemandConformance,
    PricingConformance,
    RatesConformance,
    SupplyConformance,
    WeatherConformance,
)
from planner.testing.conformance import Conformance
from tests.contract.tree import plugin_folders


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


def looked_at(names: Mapping[str, Any]) -> set[tuple[str, str]]:
    """Kind and name of the models that classes of a module put through the kit."""
    kits = (one for one in names.values() if isinstance(one, type) and issubclass(one, Conformance))
    return {(one.provider.kind, one.provider.name) for one in kits if "provider" in vars(one)}


@pytest.mark.parametrize("provider", planner_models(), ids=lambda one: f"{one.kind}-{one.name}")
def test_no_built_in_model_is_left_out(provider: Provider) -> None:
    assert (provider.kind, provider.name) in looked_at(globals())


@pytest.mark.parametrize("folder", plugin_folders(), ids=lambda one: one.name)
def test_no_model_of_our_packages_is_left_out(folder: Path) -> None:
    (module,) = (path.name for path in (folder / "src").iterdir() if (path / "__init__.py").is_file())
    offered = import_module(module).planner_models()
    assert offered
    tests = runpy.run_path(str(folder / "tests" / "test_conformance.py"))
    assert {(one.kind, one.name) for one in offered} == looked_at(tests)
