"""Supply models sources.clearouts and sources.loose against theory: how many, when, how much, at what price."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from math import hypot
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.world.parts import PARTS, Horizon, Shop, Supply

DrawAs = Callable[..., Supply]
YEAR = Horizon(date(2026, 1, 1), 365, 45.0)
EACH = pytest.mark.parametrize(("model", "often"), [("clearouts", "clearouts"), ("loose", "offers")])
WORLDS = 400


def counts(draw: DrawAs, model: str, worlds: int = WORLDS, **settings: Any) -> np.ndarray:
    return np.array([len(draw(model, settings, r).shops) for r in range(worlds)])


def moments(shop: Shop) -> tuple[bytes, ...]:
    """What an offer is like, but for its day."""
    names = ("gone_after_h", "mass_kg", "price", "wet", "missed_u")
    return (*(getattr(shop, name).tobytes() for name in names), str((shop.x_km, shop.y_km)).encode())


@EACH
def test_offers_come_by_chance_so_many_a_year_on_average(model: str, often: str, draw: DrawAs) -> None:
    found = counts(draw, model, **{often: "6 per year"})
    assert abs(found.mean() - 6.0) < 4.0 * np.sqrt(6.0 / WORLDS)
    assert found.var(ddof=1) == pytest.approx(6.0, abs=4.0 * 6.0 * np.sqrt(2.2 / WORLDS))  # Poisson


@EACH
def test_the_season_moves_offers_and_changes_none(model: str, often: str, draw: DrawAs) -> None:
    season = {"jan-jun": 0.5, "jul-dec": 1.5}
    even, seasonal = (
        [draw(model, {often: "12 per year", "lead_falls_a_year_share": 0, **extra}, r) for r in range(150)]
        for extra in ({}, {"season": season})
    )
    late = np.concatenate([[shop.ready_h[0] >= 181 * 24.0 for shop in one.shops] for one in seasonal])
    expected = 1.5 * 184 / (0.5 * 181 + 1.5 * 184)
    assert abs(late.mean() - expected) < 4.0 * np.sqrt(expected * (1.0 - expected) / late.size)
    for one, other in zip(even, seasonal, strict=True):
        for a, b in zip(one.shops, other.shops, strict=False):
            assert moments(a) == moments(b)
            np.testing.assert_allclose(a.shares, b.shares)


@EACH
def test_growth_brings_more_of_them_year_by_year(model: str, often: str, draw: DrawAs) -> None:
    two = Horizon(YEAR.start, 730, 45.0)
    drawn = [
        draw(model, {often: "8 per year", "growth_a_year_share": 0.5}, r, two).shops for r in range(WORLDS)
    ]
    years = [
        np.array([[s.ready_h[0] // 8760 == y for s in one] for y in (0, 1)]).sum(axis=1) for one in drawn
    ]
    first, second = np.array(years).mean(axis=0)
    # the integral of 1.5^t over a year is (1.5 - 1) / ln 1.5
    expected = 8.0 * 0.5 / np.log(1.5)
    assert abs(first - expected) < 4.0 * np.sqrt(expected / WORLDS)
    assert abs(second - 1.5 * expected) < 4.0 * np.sqrt(1.5 * expected / WORLDS)


@EACH
def test_a_spell_without_offers_has_none(model: str, often: str, draw: DrawAs) -> None:
    none = {"days": "2026-03-01 to 2026-12-31", "times": 0}
    drawn = [draw(model, {often: "20 per year", "spells": [none]}, r).shops for r in range(20)]
    assert max(shop.ready_h[0] for shops in drawn for shop in shops) <= 59 * 24.0


@EACH
def test_none_a_year_is_none(model: str, often: str, draw: DrawAs) -> None:
    assert draw(model, {often: "0 per year"}).shops == ()


@EACH
def test_a_little_more_often_stays_paired(model: str, often: str, draw: DrawAs) -> None:
    for replicate in range(20):
        one, other = (draw(model, {often: f"{n} per year"}, replicate).shops for n in (10, 10.5))
        assert len(one) <= len(other)
        for a, b in zip(one, other, strict=False):
            assert moments(a) == moments(b)
            assert b.ready_h[0] == pytest.approx(a.ready_h[0] * 10 / 10.5)


@EACH
def test_a_longer_horizon_only_adds_offers(model: str, often: str, draw: DrawAs) -> None:
    two = Horizon(YEAR.start, 730, 45.0)
    short, long = (draw(model, {often: "9 per year"}, 3, horizon).shops for horizon in (YEAR, two))
    assert len(long) > len(short)
    for a, b in zip(short, long, strict=False):
        assert (a.name, a.ready_h[0], moments(a)) == (b.name, b.ready_h[0], moments(b))


@EACH
def test_offers_stand_in_all_directions_as_far_as_said(model: str, often: str, draw: DrawAs) -> None:
    settings = {often: "30 per year", "distance": {"gamma": {"mean": "12 km", "sd": "6 km"}}}
    shops = [shop for r in range(60) for shop in draw(model, settings, r).shops]
    away = np.array([hypot(shop.x_km, shop.y_km) for shop in shops])
    error = 4.0 / np.sqrt(away.size)
    assert abs(away.mean() - 12.0) < error * 6.0
    assert away.std() == pytest.approx(6.0, rel=0.1)
    for axis in (np.array([shop.x_km for shop in shops]), np.array([shop.y_km for shop in shops])):
        assert abs(axis.mean()) < error * axis.std()


@EACH
def test_lead_falls_in_what_turns_up_too(model: str, often: str, draw: DrawAs) -> None:
    settings = {often: "30 per year", "mix": {"varies_share": 0}, "lead_falls_a_year_share": 0.06}
    for shop in draw(model, settings, 0, Horizon(YEAR.start, 1095, 45.0)).shops:
        lead = shop.shares[:, :3].sum(axis=1)
        np.testing.assert_allclose(lead, 0.5 - 0.06 * shop.ready_h / 8760.0)


# -- clear-outs --------------------------------------------------------------------------------------------------------


def test_a_clear_out_is_many_buckets_at_once_at_one_price_for_a_few_days(draw: DrawAs) -> None:
    settings = {
        "clearouts": "20 per year",
        "buckets": {"uniform": {"low": 4, "high": 12}},
        "price": {"uniform": {"low": "2 EUR", "high": "6 EUR"}},
        "waits": {"uniform": {"low": "2 days", "high": "5 days"}},
    }
    shops = [shop for r in range(100) for shop in draw("clearouts", settings, r).shops]
    for shop in shops:
        assert len(set(shop.ready_h.tolist())) == len(set(shop.gone_after_h.tolist())) == 1
        assert len(set(shop.price.tolist())) == 1
        assert len(set(shop.mass_kg.tolist())) == shop.mass_kg.size
    sizes, prices, waits = (
        np.array([of(shop) for shop in shops])
        for of in (lambda s: s.mass_kg.size, lambda s: s.price[0], lambda s: s.gone_after_h[0] / 24.0)
    )
    error = 4.0 / np.sqrt(len(shops))
    # a uniform rounded to whole numbers: the two ends come half as often; its variance is that of the sum over them
    values, weights = np.arange(4, 13), np.array([0.5, *[1.0] * 7, 0.5]) / 8.0
    variance = float((weights * (values - 8.0) ** 2).sum())
    assert abs(sizes.mean() - 8.0) < error * np.sqrt(variance)
    assert sizes.var() == pytest.approx(variance, rel=0.1)
    assert abs(prices.mean() - 4.0) < error * 4.0 / np.sqrt(12.0)
    assert abs(waits.mean() - 3.5) < error * 3.0 / np.sqrt(12.0)
    assert (waits.min(), waits.max()) == pytest.approx((2.0, 5.0), abs=0.01)


def test_larger_clear_outs_keep_the_buckets_of_smaller_ones(draw: DrawAs) -> None:
    sizes = ({"gamma": {"mean": mean, "sd": 4}} for mean in (8, 9))
    few, more = (draw("clearouts", {"clearouts": "20 per year", "buckets": of}).shops for of in sizes)
    assert any(a.mass_kg.size < b.mass_kg.size for a, b in zip(few, more, strict=True))
    for a, b in zip(few, more, strict=True):
        n = a.mass_kg.size
        np.testing.assert_array_equal(a.mass_kg, b.mass_kg[:n])
        np.testing.assert_array_equal(a.shares, b.shares[:n])


# -- loose -------------------------------------------------------------------------------------------------------------


@given(
    mass=st.floats(1.0, 3000.0).map(lambda kg: round(kg, 2)),
    bucket=st.floats(5.0, 60.0).map(lambda kg: round(kg, 2)),
    price=st.floats(0.0, 2.0).map(lambda eur: round(eur, 3)),
)
def test_a_heap_fills_as_few_equal_buckets_as_can_be_lifted_at_its_price_a_kilogram(
    draw: DrawAs, mass: float, bucket: float, price: float
) -> None:
    settings = {
        "offers": "20 per year", "mass": f"{mass} kg", "bucket": f"{bucket} kg", "price": f"{price} EUR/kg",
    }  # fmt: skip
    for shop in draw("loose", settings).shops:
        assert shop.mass_kg.sum() == pytest.approx(mass)
        assert shop.mass_kg.max() <= bucket + 1e-6
        assert (shop.mass_kg.size - 1) * bucket < mass
        assert shop.price.sum() == pytest.approx(mass * price)


def test_kilograms_a_year_are_those_of_a_compound_poisson_process(draw: DrawAs) -> None:
    settings = {"offers": "5 per year", "mass": {"gamma": {"mean": "100 kg", "sd": "60 kg"}}}
    kg = np.array(
        [sum(shop.mass_kg.sum() for shop in draw("loose", settings, r).shops) for r in range(WORLDS)]
    )
    variance = 5.0 * (100.0**2 + 60.0**2)
    assert abs(kg.mean() - 500.0) < 4.0 * np.sqrt(variance / WORLDS)
    assert kg.var(ddof=1) == pytest.approx(variance, rel=0.3)


def test_a_heap_is_of_one_mix_and_wet_or_dry_as_a_whole(draw: DrawAs) -> None:
    settings = {"offers": "20 per year", "mass": "200 kg", "wet_share": 0.4}
    shops = [shop for r in range(60) for shop in draw("loose", settings, r).shops]
    for shop in shops:
        assert len(set(map(bytes, shop.shares))) == 1
        assert len(set(shop.wet.tolist())) == 1
        assert len(set(shop.missed_u.tolist())) == shop.mass_kg.size == 8
    wet = np.array([shop.wet[0] for shop in shops])
    assert abs(wet.mean() - 0.4) < 4.0 * np.sqrt(0.24 / wet.size)
    steel = np.array([shop.shares[0, PARTS.index("steel")] for shop in shops])
    assert len(set(steel.tolist())) == len(shops)


def test_another_size_of_bucket_leaves_the_heaps_as_they_are(draw: DrawAs) -> None:
    large, small = (
        draw("loose", {"offers": "20 per year", "bucket": bucket}).shops for bucket in ("30 kg", "20 kg")
    )
    for a, b in zip(large, small, strict=True):
        assert a.mass_kg.sum() == pytest.approx(b.mass_kg.sum())
        assert a.ready_h[0] == b.ready_h[0]
        np.testing.assert_array_equal(a.shares[0], b.shares[0])
        np.testing.assert_array_equal(b.missed_u[: a.missed_u.size], a.missed_u)
