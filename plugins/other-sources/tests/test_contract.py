"""Supply model sources.contract: so many buckets owed a year, on dates that hang on nothing but the contract."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from planner.world.parts import PARTS, Horizon, Shop, Supply

DrawAs = Callable[..., Supply]
Build = Callable[..., Any]
YEAR = Horizon(date(2026, 1, 1), 365, 45.0)
TERMS = {"shop": "depot", "x": "4 km", "y": "3 km", "price": "6 EUR"}
LIKE = ("gone_after_h", "mass_kg", "price", "wet", "missed_u", "owed")


@pytest.fixture
def depot(draw: DrawAs) -> Callable[..., Shop]:
    def drawn(replicate: int = 0, horizon: Horizon = YEAR, **settings: Any) -> Shop:
        (shop,) = draw("contract", {**TERMS, **settings}, replicate, horizon).shops
        return shop

    return drawn


def dates(shop: Shop, horizon: Horizon = YEAR) -> list[date]:
    return [horizon.start + timedelta(hours=h) for h in shop.ready_h.tolist()]


@given(a_year=st.integers(1, 400), years=st.integers(1, 3), replicate=st.integers(0, 50))
def test_so_many_buckets_a_year_in_equal_steps_and_every_one_is_owed(
    draw: DrawAs, a_year: int, years: int, replicate: int
) -> None:
    horizon = Horizon(YEAR.start, 365 * years, 45.0)
    (shop,) = draw("contract", {**TERMS, "buckets_a_year": a_year}, replicate, horizon).shops
    by_year = Counter((shop.ready_h // (365 * 24)).astype(int).tolist())
    assert by_year == dict.fromkeys(range(years), a_year)
    steps = np.diff(shop.ready_h) / 24.0
    assert steps.size == 0 or steps.max() - steps.min() <= 1.0
    assert shop.ready_h[0] == 0.0
    assert shop.owed is not None
    assert (shop.owed == 6.0).all()
    assert (shop.price == 6.0).all()
    assert shop.bound


def test_by_month_each_month_has_its_own_number_in_equal_steps(depot: Callable[..., Shop]) -> None:
    months = {"jan-mar": 0, "apr": 3, "may-oct": 1, "nov": 2, "dec": 0}
    due = dates(depot(by_month=months))
    assert Counter(day.month for day in due) == {4: 3, **dict.fromkeys(range(5, 11), 1), 11: 2}
    assert [day.day for day in due if day.month in (4, 11)] == [1, 11, 21, 1, 16]


def test_dates_are_the_same_in_every_world_and_contents_are_not(depot: Callable[..., Shop]) -> None:
    one, other = depot(0, buckets_a_year=12), depot(1, buckets_a_year=12)
    np.testing.assert_array_equal(one.ready_h, other.ready_h)
    assert not np.array_equal(one.mass_kg, other.mass_kg)


def test_more_buckets_a_year_move_dates_and_leave_what_each_holds(depot: Callable[..., Shop]) -> None:
    few, more = (
        depot(buckets_a_year=n, lead_falls_a_year_share=0, waits="9 days", wet_share=0.5) for n in (12, 13)
    )
    assert (more.ready_h[1:12] < few.ready_h[1:]).all()
    for name in (*LIKE, "shares"):
        np.testing.assert_array_equal(getattr(few, name), getattr(more, name)[:12])


def test_a_longer_horizon_only_adds_buckets(depot: Callable[..., Shop]) -> None:
    short, long = depot(buckets_a_year=7), depot(0, Horizon(YEAR.start, 730, 45.0), buckets_a_year=7)
    for name in ("ready_h", "shares", *LIKE):
        np.testing.assert_array_equal(getattr(short, name), getattr(long, name)[:7])


def test_a_contract_begins_and_ends_on_its_days(depot: Callable[..., Shop]) -> None:
    due = dates(depot(buckets_a_year=73, begins="2026-03-02", ends="2026-04-01"))
    assert due == [date(2026, 3, 2) + timedelta(days=5 * k) for k in range(7)]
    months = dates(depot(by_month=2, begins="2026-02-10", ends="2026-03-01"))
    assert months == [date(2026, 2, 15), date(2026, 3, 1)]
    assert dates(depot(buckets_a_year=9, begins="2027-01-01")) == []


def test_one_that_began_earlier_goes_on_with_the_buckets_it_had_come_to(depot: Callable[..., Shop]) -> None:
    whole = depot(0, Horizon(date(2025, 7, 1), 549, 45.0), buckets_a_year=12, lead_falls_a_year_share=0)
    rest = depot(buckets_a_year=12, begins="2025-07-01", lead_falls_a_year_share=0)
    later = whole.ready_h >= 184 * 24.0
    np.testing.assert_array_equal(whole.ready_h[later] - 184 * 24.0, rest.ready_h)
    for name in (*LIKE, "shares"):
        np.testing.assert_array_equal(getattr(whole, name)[later], getattr(rest, name))


def test_masses_and_wet_buckets_have_the_mean_and_variance_of_their_distribution(
    depot: Callable[..., Shop],
) -> None:
    mass = {"triangular": {"low": "40 kg", "mode": "50 kg", "high": "66 kg"}}
    shops = [depot(r, buckets_a_year=100, mass=mass, wet_share=0.3) for r in range(20)]
    kg, wet = (np.concatenate([getattr(shop, name) for shop in shops]) for name in ("mass_kg", "wet"))
    a, c, b = 40.0, 50.0, 66.0
    variance = (a * a + b * b + c * c - a * b - a * c - b * c) / 18.0
    assert abs(kg.mean() - (a + b + c) / 3.0) < 4.0 * np.sqrt(variance / kg.size)
    assert kg.var() == pytest.approx(variance, rel=0.08)
    assert abs(wet.mean() - 0.3) < 4.0 * np.sqrt(0.21 / wet.size)


def test_lead_gives_way_to_steel_and_zinc_year_by_year(depot: Callable[..., Shop]) -> None:
    mix = {"clip_share": 0.1, "varies_share": 0}
    falling = {"lead_falls_a_year_share": 0.04, "lead_falls_from": "2026-07-02", "falls_to_steel_share": 0.75}
    shop = depot(0, Horizon(YEAR.start, 1095, 45.0), buckets_a_year=10, mix=mix, **falling)
    fallen = 0.04 * np.maximum(shop.ready_h / 24.0 - 182.0, 0.0) / 365.0
    np.testing.assert_allclose(shop.shares[:, :3].sum(axis=1), 0.5 - fallen)
    np.testing.assert_allclose(shop.shares[:, PARTS.index("steel")], 0.34 + 0.75 * fallen)
    np.testing.assert_allclose(shop.shares[:, PARTS.index("zinc")], 0.08 + 0.25 * fallen)


def test_where_nothing_is_paid_nothing_is_owed(depot: Callable[..., Shop]) -> None:
    assert not depot(buckets_a_year=12, price="0 EUR").bound


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({}, "write buckets_a_year or by_month"),
        ({"buckets_a_year": 12, "by_month": 1}, "write buckets_a_year or by_month"),
        ({"buckets_a_year": 0}, "greater than or equal to 1"),
        ({"by_month": 1.5}, "buckets by month are whole numbers"),
        ({"by_month": 100}, "together at most 1000 a year"),
        ({"buckets_a_year": 12, "begins": "2026-03-01", "ends": "2026-02-01"}, "it ends before it begins"),
        ({"buckets_a_year": 12, "waits": "0 days"}, "greater than 0"),
    ],
)
def test_a_contract_that_cannot_be_is_refused(settings: dict[str, Any], words: str, build: Build) -> None:
    with pytest.raises(ValidationError, match=words):
        build("contract", {**TERMS, **settings})
