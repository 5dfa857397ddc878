"""What the trade says of itself, on the example. Common practice, no published source, all of it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from planner.plugin.models import models_for
from planner.plugin.registry import Registry
from planner.world.build import build
from planner.world.draw import Draw
from planner.world.parts import Crowd, Shop, World
from tests.reference.years import STOVE_16_KW, TODAY, business, melts, runs

WORLDS = 6


def worlds(option: str = TODAY) -> Iterator[World]:
    of = business(option)
    models = models_for(Registry(), of)
    for replicate in range(WORLDS):
        yield build(Draw(1, replicate), of, models)


def shops() -> list[Shop]:
    return [shop for world in worlds() for supply in world.supplies for shop in supply.shops]


def crowd(option: str, name: str) -> Crowd:
    return next(crowd for world in worlds(option) for crowd in world.crowds if crowd.name == name)


def test_clips_are_8_to_15_percent_of_a_clip_on_weight() -> None:
    for shop in shops():
        hard, clip = shop.shares[:, 0], shop.shares[:, 1]
        assert ((clip / (hard + clip) >= 0.08) & (clip / (hard + clip) <= 0.15)).all()


def test_a_full_bucket_weighs_about_59_kg_and_costs_about_10() -> None:
    for shop in shops():
        assert (shop.mass_kg >= 45.0).all()
        assert (shop.mass_kg <= 65.0).all()
        assert (shop.price >= 5.0).all()
        assert (shop.price <= 15.0).all()


@pytest.mark.parametrize(
    ("kind", "low", "high"), [("small", 0.3, 1.0), ("independent", 1.0, 3.0), ("chain", 3.0, 6.0)]
)
def test_a_small_shop_fills_less_than_a_bucket_a_month_and_a_busy_one_one_to_three(
    kind: str, low: float, high: float
) -> None:
    """A chain fills more, and gives it to its recycler."""
    settings = business(TODAY).supply[0].settings
    alike = [shop for shop in shops() if settings.shops[shop.name].kind == kind]
    a_month = sum(shop.ready_h.size for shop in alike) / len(alike) / 12.0
    assert low <= a_month <= high
    if kind == "chain":
        assert not any(shop.says_yes for shop in alike)


def test_one_or_two_of_five_shops_say_yes() -> None:
    asked = business(TODAY).supply[0].settings.says_yes_share
    assert 0.2 <= asked <= 0.4


@pytest.mark.parametrize("buyers", ["casters", "anglers"])
def test_a_sale_takes_20_to_45_minutes_whether_large_or_small(buyers: str) -> None:
    assert 20.0 <= crowd(TODAY, buyers).sale_h * 60.0 <= 45.0


def test_a_box_by_post_holds_25_to_30_kg() -> None:
    assert 25.0 <= crowd("post", "post").parcel_kg <= 30.0


def test_the_bulk_buyer_takes_100_kg_and_more_at_about_half_the_price() -> None:
    bulk, private = crowd("bulk buyer", "bulk"), business(TODAY).pricing.settings.private
    assert bulk.least_kg >= 100.0
    assert 0.45 <= float(bulk.most_per_kg["mixed"].mean()) / private.mixed_per_kg <= 0.65


def test_sorting_by_hand_goes_at_25_to_80_kg_an_hour() -> None:
    assert 25.0 <= business("sort first").sorting.rate_kg_per_h <= 80.0


@pytest.mark.parametrize("option", [TODAY, STOVE_16_KW])
def test_dross_takes_1_to_3_percent_of_the_lead_and_more_on_long_melts(option: str) -> None:
    poured = [m for m in melts(option) if not m.cause and m.poured_kg > 0]
    lead = sum(m.poured_kg + m.dross_kg for m in poured)
    assert 0.01 <= sum(m.dross_kg for m in poured) / lead <= 0.03


def test_melts_on_a_small_burner_lose_more_to_dross() -> None:
    share = {
        option: sum(m.dross_kg for m in melts(option)) / sum(m.poured_kg for m in melts(option))
        for option in (TODAY, STOVE_16_KW)
    }
    assert share[TODAY] > share[STOVE_16_KW]


def test_tin_fetches_about_15_a_pound() -> None:
    assert business(TODAY).pricing.settings.tin_per_kg * 0.45359237 == pytest.approx(15.0, rel=0.15)


def test_the_yard_pays_21_a_pound_for_mixed_weights_and_61_for_clean_ingots() -> None:
    """On average over the worlds of the example, within a tenth."""
    rates = [world.rates.per_kg for world in worlds()]
    for good, per_lb in (("weights", 0.21), ("lead", 0.61)):
        mean = sum(float(rate[good].mean()) for rate in rates) / len(rates)
        assert mean * 0.45359237 == pytest.approx(per_lb, rel=0.10)


def test_skimmed_clips_are_sold_and_dross_apart_from_them() -> None:
    kinds = {entry.kind for run in runs(TODAY) for entry in run.ledger}
    assert {"yard: clips", "yard: dross"} <= kinds
