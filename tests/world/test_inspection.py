"""What a model may not hand over: each fault is told by column. Weather is in tests/plugin/test_models.py."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from planner.world.inspection import inspect
from planner.world.parts import GOODS, Bill, Crowd, Horizon, Rates, Shop, Supply
from tests.small import YARD, business, crowd, shop, world

HORIZON: Horizon = world(business()).horizon
DAYS = HORIZON.days
PRICES = {good: np.full(DAYS, YARD[good]) for good in GOODS}


def changed(array: np.ndarray[Any, Any], at: Any, value: float) -> np.ndarray[Any, Any]:
    copy = array.copy()
    copy[at] = value
    return copy


def test_sound_parts_pass_and_are_read_only_from_then_on() -> None:
    good, people, prices = shop(), crowd(DAYS), Rates(PRICES)
    inspect(Supply("town", (good, shop("other", buckets=0))), Supply, HORIZON)
    inspect(people, Crowd, HORIZON)
    inspect(prices, Rates, HORIZON)
    assert not any(
        array.flags.writeable for array in (good.shares, good.wet, people.gap_h, prices.per_kg["lead"])
    )


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("mass_kg", np.full(12, -1.0), "shop 'shop A': mass_kg holds -1.0 at [0]; it must be 0.001 or more"),
        ("ready_h", np.arange(12.0)[::-1], "shop 'shop A': ready_h must be in order of time"),
        ("ready_h", np.append(np.arange(11.0), np.inf), "ready_h holds inf"),
        ("price", np.full(11, 5.0), "shop 'shop A': price has the shape (11,); (12,) is needed"),
        ("x_km", float("nan"), "shop 'shop A': x_km is nan; it must be a number"),
        ("wet", np.zeros(12), "shop 'shop A': wet is an array of float64; an array of bool is needed"),
        ("missed_u", np.full(12, 1.5), "shop 'shop A': missed_u holds 1.5 at [0]; it must be from 0 to 1"),
        (
            "shares",
            np.full((12, 6), 0.1),
            "shop 'shop A': shares at [0] sum to 0.6; a bucket's must sum to 1",
        ),
        ("shares", np.full((12, 5), 0.2), "shares has the shape (12, 5); (12, 6) is needed"),
        ("gone_after_h", np.full(12, np.nan), "gone_after_h holds nan"),
        ("owed", np.full(11, 5.0), "shop 'shop A': owed has the shape (11,); (12,) is needed"),
        ("owed", np.full(12, -1.0), "shop 'shop A': owed holds -1.0 at [0]; it must be 0 or more"),
        ("open_hours", (((8.0, 17.0),),), "open_hours must have seven weekdays, not 1"),
    ],
)
def test_a_fault_in_a_shop_is_told(name: str, value: Any, words: str) -> None:
    with pytest.raises(ValueError, match=re.escape(words)):
        inspect(Supply("town", (shop(**{name: value}),)), Supply, HORIZON)


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("price", changed(np.full(12, 5.0), 3, np.nan), "price holds nan at [3]; it must be 0 or more, and 1 of 12"),
        ("shares", changed(shop().shares, (4, 5), -0.5), "shares holds -0.5 at [4, 5]; it must be from 0 to 1"),
        ("shares", changed(shop().shares, 7, 0.0), "shares at [7] sum to 0; a bucket's must sum to 1"),
        ("missed_u", changed(np.zeros(12), 11, 2.0), "missed_u holds 2.0 at [11]; it must be from 0 to 1"),
    ],
)  # fmt: skip
def test_a_fault_in_one_bucket_of_one_shop_is_told_with_both(name: str, value: Any, words: str) -> None:
    those = (shop("first"), shop("second", buckets=0), shop("third", **{name: value}), shop("last"))
    with pytest.raises(ValueError, match=re.escape(f"shop 'third': {words}")):
        inspect(Supply("town", those), Supply, HORIZON)


def test_a_fault_in_one_need_of_one_buyer_is_told_with_both() -> None:
    people = crowd(DAYS, size_kg=changed(np.full((4, 40), 2.0), (2, 39), np.inf))
    with pytest.raises(
        ValueError, match=re.escape("size_kg holds inf at [2, 39]; it must be 0 or more, and 1")
    ):
        inspect(people, Crowd, HORIZON)


def test_what_is_owed_needs_a_shop_that_is_known() -> None:
    unknown = shop(known=False, owed=np.append(np.zeros(11), 8.0))
    with pytest.raises(
        ValueError, match="shop 'shop A': what is owed by contract needs a shop that is known"
    ):
        inspect(Supply("town", (unknown,)), Supply, HORIZON)


def test_two_shops_with_one_name_are_refused() -> None:
    with pytest.raises(ValueError, match="two shops are called 'shop A'"):
        inspect(Supply("town", (shop(), shop())), Supply, HORIZON)


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("known", 5, "5 people are known of 4"),
        ("channel", "market", "the channel is 'market'; it must be one of private, bulk, post"),
        ("gap_h", np.zeros(4), "gap_h has the shape (4,); (people, needs) is needed"),
        ("size_kg", np.full((4, 39), 1.0), "size_kg has the shape (4, 39); (4, 40) is needed"),
        ("operational_h", np.arange(DAYS + 1.0)[::-1], "operational_h must never fall"),
        ("knows_from_h", np.zeros(3), "knows_from_h has the shape (3,); (4,) is needed"),
        (
            "knows_from_h",
            np.array([0.0, np.inf, np.nan, 1.0]),
            "knows_from_h holds inf at [1]; it must be 0 or more, and 2 of 4 values are not",
        ),
        (
            "bills",
            (Bill(1e6, "adverts", 5.0),),
            "Bill(t_h=1000000.0, what='adverts', amount=5.0) is no bill: its time must lie",
        ),
        ("bills", (Bill(1.0, "adverts", -5.0),), "amount=-5.0) is no bill"),
        ("operational_h", np.arange(float(DAYS)), f"operational_h has the shape ({DAYS},)"),
        ("returns_at_share", np.full(4, 1.1), "returns_at_share holds 1.1"),
        ("misses_borne", np.full(4, 2.0), "misses_borne is an array of float64; an array of int64 is needed"),
        ("shows_up", np.ones((4, 40)), "shows_up is an array of float64; an array of bool is needed"),
        ("most_per_kg", {}, "most_per_kg has no alloy; possible are hard, soft, mixed, zinced"),
        ("most_per_kg", {"gold": np.ones((4, 40))}, "most_per_kg has gold"),
        ("most_per_kg", {"hard": np.ones((4, 4))}, "most_per_kg['hard'] has the shape (4, 4)"),
        ("sale_h", float("nan"), "sale_h is nan; it must be a number from 0 up"),
        ("trip_km", -1.0, "trip_km is -1.0"),
    ],
)
def test_a_fault_in_a_crowd_is_told(name: str, value: Any, words: str) -> None:
    with pytest.raises(ValueError, match=re.escape(words)):
        inspect(crowd(DAYS, **{name: value}), Crowd, HORIZON)


@pytest.mark.parametrize(
    ("per_kg", "words"),
    [
        ({good: PRICES[good] for good in GOODS[1:]}, "a price is missing for weights"),
        (PRICES | {"zinc": np.full(DAYS, -0.1)}, "per_kg['zinc'] holds -0.1"),
        (PRICES | {"zinc": np.full(DAYS + 1, 0.1)}, f"per_kg['zinc'] has the shape ({DAYS + 1},)"),
        (
            PRICES | {"zinc": changed(PRICES["zinc"], 3, np.nan)},
            f"per_kg['zinc'] holds nan at [3]; it must be 0 or more, and 1 of {DAYS}",
        ),
    ],
)
def test_a_fault_in_prices_is_told(per_kg: Any, words: str) -> None:
    with pytest.raises(ValueError, match=re.escape(words)):
        inspect(Rates(per_kg), Rates, HORIZON)


def test_another_part_than_asked_for_is_told() -> None:
    with pytest.raises(ValueError, match="it returned Rates, not Supply"):
        inspect(Rates(PRICES), Supply, HORIZON)


def test_a_part_that_only_looks_like_one_is_told() -> None:
    class Likeness(Shop):
        pass

    with pytest.raises(ValueError, match="it returned Likeness, not Supply"):
        inspect(Likeness(**{name: getattr(shop(), name) for name in Shop.__slots__}), Supply, HORIZON)


def test_a_copy_with_a_change_is_looked_at_again() -> None:
    sound = crowd(DAYS)
    inspect(sound, Crowd, HORIZON)
    with pytest.raises(ValueError, match="parcel_kg is -27"):
        inspect(replace(sound, parcel_kg=-27.0), Crowd, HORIZON)
