"""Fetching: the pace, stops, cash, payload, lifting and hours that bound a trip, and what is told of what was left."""

from __future__ import annotations

from itertools import pairwise, permutations
from math import hypot

import numpy as np
import pytest

from planner.workshop.floor import Floor
from planner.workshop.premises import StartUp, premises
from planner.workshop.result import Run, TripRow
from planner.world.parts import Marks, Shop
from tests.small import Asking, business, crowd, shop, tables, world
from tests.workshop.books import entries, played

FREE_NOW = {"melting": {"on": False}}
"""No melting, so that fetching has the owner's hours for itself."""


def many(count: int, name: str = "shop A", **changes: object) -> Shop:
    """A shop where buckets of 50 kg stand from the first hour on and never go."""
    full = {"ready_h": np.zeros(count), "gone_after_h": np.full(count, np.inf)}
    return shop(name, buckets=count, **(full | changes))  # type: ignore[arg-type]


def fetched(*shops: Shop, **changes: object) -> Run:
    of = business(**(FREE_NOW | changes))
    return played(of, world(of, shops=shops))


def trips(run: Run) -> list[TripRow]:
    return [trip for trip in run.trips if trip.kind == "shops"]


def left_because(run: Run, limit: str) -> bool:
    """Does the diary say that a bucket was left for this?"""
    return any(note.what == "bucket left" and note.cause.startswith(f"{limit}: ") for note in run.notes)


def buckets(run: Run, trip: TripRow) -> int:
    return sum(lot.t_h == trip.end_h for lot in run.lots)


# -- pace, stops, days -------------------------------------------------------------------------------------------------


def test_trips_keep_the_pace_that_is_set() -> None:
    weekly = fetched(
        many(100), fetching={"every": "7 days", "scrap_at_most": "9999 kg"}, lifting={"most_a_day": 4}
    )
    monthly = fetched(
        many(100), fetching={"every": "28 days", "scrap_at_most": "9999 kg"}, lifting={"most_a_day": 4}
    )
    assert len(trips(weekly)) == 18
    assert len(trips(monthly)) == 5
    days = [int(trip.t_h // 24) for trip in trips(weekly)]
    assert {then - day for day, then in pairwise(days)} == {7}
    assert weekly.measures["lost_pickups_h"] > 0


def test_a_trip_waits_for_the_shop_to_open() -> None:
    run = fetched(
        many(100, open_hours=((),) * 5 + (((11.0, 16.0),), ())),
        fetching={"every": "7 days", "days": ["sat"], "scrap_at_most": "9999 kg"},
        lifting={"most_a_day": 4},
    )
    assert len(trips(run)) == 17
    assert [trip.t_h % 168.0 for trip in trips(run)] == pytest.approx([5 * 24.0 + 11.0 - 3.0 / 40.0] * 17)


def test_a_trip_put_off_within_its_day_does_not_put_off_the_next() -> None:
    """A buyer comes first on the first Saturday; on the next one the owner drives at nine again."""
    of = business(
        **FREE_NOW,
        fetching={"every": "7 days", "days": ["sat"], "scrap_at_most": "9999 kg"},
        lifting={"most_a_day": 4},
        owner={"hours": {"sat": "09:00-17:00"}},
        stock={"hard": "10 kg"},
    )
    buyer = crowd(120, 1, 1, gap_h=np.full((1, 1), 1.0))
    run = played(of, world(of, shops=(many(100),), crowds=(buyer,)))
    assert [trip.t_h % 24.0 for trip in trips(run)][:3] == pytest.approx([9.5, 9.0, 9.0])


def test_a_trip_passes_at_most_so_many_shops() -> None:
    shops = [many(1, f"shop {k}", x_km=float(k)) for k in (1, 2, 3)]
    run = fetched(*shops, fetching={"stops": 2})
    assert [trip.stops.count("shop") for trip in trips(run)] == [2, 1]


def test_trips_are_driven_on_their_weekdays_and_for_enough_buckets_only() -> None:
    run = fetched(shop(), fetching={"days": ["wed"], "least_buckets": 2})
    assert trips(run)
    assert {int(trip.t_h // 24) % 7 for trip in trips(run)} == {2}
    assert min(buckets(run, trip) for trip in trips(run)) == 2


def test_a_bucket_that_fills_while_the_owner_is_free_is_fetched_then() -> None:
    saturday_noon = shop(buckets=1, ready_h=np.array([5 * 24.0 + 12.0]))
    assert trips(fetched(saturday_noon))[0].t_h == 5 * 24.0 + 12.0


def test_a_drive_after_midnight_belongs_to_the_evening_before() -> None:
    late = (((), (), (), (), (), ((0.5, 4.0),), ()), {"hours": {"fri": "20:00-04:00"}})
    on_friday, on_saturday = (
        fetched(many(9, open_hours=late[0]), owner=late[1], fetching={"days": [day]})
        for day in ("fri", "sat")
    )
    assert trips(on_friday)[0].t_h == pytest.approx(24.0 * 5 + 0.5, abs=0.3)
    assert trips(on_saturday) == []


def test_no_more_is_fetched_while_enough_weights_wait() -> None:
    run = fetched(many(20), fetching={"scrap_at_most": "60 kg"}, lifting={"most_a_day": 4})
    assert [lot.mass_kg for lot in run.lots] == [50.0, 50.0]
    assert run.measures["lost_weights_enough_h"] > 0


def test_a_trip_goes_the_short_way_round() -> None:
    """Nearest first would zigzag; reversing stretches finds the shortest round of these."""
    places = [(1.0, 0.0), (-2.0, 0.0), (4.0, 0.5), (-7.0, 1.0), (3.0, 6.0)]
    shops = [many(1, f"shop {k}", x_km=x, y_km=y) for k, (x, y) in enumerate(places)]
    run = fetched(*shops, fetching={"stops": 5, "stop": "5 min"})

    def length(order: tuple[tuple[float, float], ...]) -> float:
        points = [(0.0, 0.0), *order, (0.0, 0.0)]
        return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points))

    assert trips(run)[0].km == pytest.approx(min(length(order) for order in permutations(places)))


# -- time --------------------------------------------------------------------------------------------------------------


def test_a_trip_takes_driving_stopping_splitting_and_lifting() -> None:
    run = fetched(many(1), lifting={"portion": "30 kg", "time_per_lift": "2 min", "time_per_split": "3 min"})
    trip = trips(run)[0]
    driving, stop, lifts, splits = 6.0 / 40.0, 15 / 60, 4 * 2 / 60, 2 * 3 / 60
    assert trip.end_h - trip.t_h == pytest.approx(driving + stop + lifts + splits)
    assert trip.lifts == 4


def test_a_window_too_short_for_a_trip_leaves_the_bucket() -> None:
    run = fetched(many(1), owner={"hours": {"mon": "18:00-18:20"}})
    assert trips(run) == []
    assert left_because(run, "hours")
    assert run.measures["lost_hours_h"] > 0


def test_a_shop_is_passed_while_it_is_open_only() -> None:
    shut_when_free = ((((8.0, 17.0),),) * 5) + ((), ())
    run = fetched(many(1, open_hours=shut_when_free), owner={"hours": {"mon-fri": "18:00-21:00"}})
    assert trips(run) == []
    assert run.measures["lost_shops_shut_h"] > 0


# -- money -------------------------------------------------------------------------------------------------------------


def test_driving_and_every_bucket_are_paid() -> None:
    run = fetched(
        many(2),
        vehicle={"cost": "0.50 EUR/km"},
        costs=[
            {"name": "tolls", "amount": "2 EUR", "per": "trip"},
            {"name": "tips", "amount": "1 EUR", "per": "bucket"},
        ],
    )
    assert [entry.amount for entry in entries(run, "driving")] == [-3.0]
    assert [entry.amount for entry in entries(run, "weights")] == [-10.0, -10.0]
    assert [entry.amount for entry in entries(run, "tolls")] == [-2.0]
    assert [entry.amount for entry in entries(run, "tips")] == [-1.0, -1.0]


def test_no_bucket_is_bought_without_cash_for_it_and_for_the_drive() -> None:
    drive = 6.0 * 0.43
    enough = fetched(many(2), cash={"opening": f"{20.01 + drive:.2f} EUR"})
    assert len(enough.lots) == 2
    short = fetched(many(2), cash={"opening": f"{19.9 + drive:.2f} EUR"})
    assert len(short.lots) == 1
    assert left_because(short, "cash")
    none = fetched(many(2), cash={"opening": "9 EUR"})
    assert none.lots == []
    assert none.measures["lost_cash_h"] > 0


def test_what_each_bucket_and_trip_costs_beside_its_price_is_kept_back() -> None:
    tips = [
        {"name": "tips", "amount": "3 EUR", "per": "bucket"},
        {"name": "tolls", "amount": "3 EUR", "per": "trip"},
    ]
    drive = 6.0 * 0.43
    enough, short = (
        fetched(many(2), costs=tips, cash={"opening": f"{eur + drive:.2f} EUR"}) for eur in (29.01, 28.9)
    )
    assert len(enough.lots) == 2
    assert len(short.lots) == 1


def test_the_reserve_is_not_touched() -> None:
    assert fetched(many(2), cash={"opening": "100 EUR", "reserve": "95 EUR"}).lots == []


def test_a_bucket_dearer_than_the_most_is_left() -> None:
    run = fetched(many(2, price=np.array([10.0, 25.0])), fetching={"most_price": "20 EUR"})
    assert [lot.cost for lot in run.lots] == [10.0]
    assert left_because(run, "price")


def test_what_a_served_shop_asks_creeps_up() -> None:
    run = fetched(shop(price_creep_share=0.05), fetching={"scrap_at_most": "9999 kg"})
    costs = [lot.cost for lot in run.lots]
    assert costs == pytest.approx([10.0 * 1.05**k for k in range(len(costs))])
    assert len(costs) > 5


def test_a_shop_left_waiting_too_often_gives_no_more_and_a_served_one_goes_on() -> None:
    served = fetched(shop(), fetching={"every": "14 days", "scrap_at_most": "9999 kg"})
    left = fetched(
        shop(gone_after_h=np.full(12, 120.0)), fetching={"every": "60 days", "scrap_at_most": "9999 kg"}
    )
    assert len(served.lots) == 12
    assert len(left.lots) <= 2
    assert any("gives no more" in note.cause for note in left.notes)


# -- payload -----------------------------------------------------------------------------------------------------------


def test_payload_bounds_a_trip_and_the_diary_says_so() -> None:
    run = fetched(many(3), vehicle={"payload": "130 kg"})
    assert [buckets(run, trip) for trip in trips(run)] == [1, 1, 1]
    assert left_because(run, "payload")


def test_a_payload_used_up_by_the_driver_is_refused() -> None:
    run = fetched(many(3), vehicle={"payload": "60 kg"})
    assert trips(run) == []
    assert run.measures["lost_payload_h"] > 0


def test_the_rear_axle_can_be_the_limit() -> None:
    run = fetched(many(3), vehicle={"rear_axle_spare": "45 kg", "rear_share": 0.8})
    assert [buckets(run, trip) for trip in trips(run)] == [1, 1, 1]


def test_an_overload_that_is_accepted_wears_the_vehicle_and_ends_at_its_most() -> None:
    heavy = {"payload": "130 kg", "overload_accepted": True, "overload_at_most_share": 0.7}
    run = fetched(many(3), vehicle=heavy)
    assert [buckets(run, trip) for trip in trips(run)] == [2, 1]
    first, second = trips(run)
    assert first.overloaded_share == pytest.approx(38.0 / 100.0)
    assert second.overloaded_share == 0.0
    full_share_per_km = 0.5
    wear = full_share_per_km * 38.0 / (0.7 * 62.0) * 3.0
    assert [entry.amount for entry in entries(run, "wear by overload")] == pytest.approx([-wear])


# -- lifting -----------------------------------------------------------------------------------------------------------


def test_a_full_bucket_is_above_the_lifting_limit_and_half_of_it_is_not() -> None:
    full, split = (
        fetched(many(1), lifting={"portion": "60 kg"}),
        fetched(many(1), lifting={"portion": "30 kg"}),
    )
    assert full.lots == []
    assert full.measures["lost_lifting_h"] > 0
    assert len(split.lots) == 1
    assert 1.0 < trips(split)[0].lifting_index < 3.0


def test_a_bucket_too_heavy_for_how_it_is_lifted_is_left_and_the_diary_says_so() -> None:
    heavy_and_light = many(2, mass_kg=np.array([60.0, 32.0]))
    base = business(**FREE_NOW)
    unsplit = base.model_copy(update={"lifting": base.lifting.model_copy(update={"portion_kg": None})})
    run = played(unsplit, world(unsplit, shops=(heavy_and_light,)))
    assert [lot.mass_kg for lot in run.lots] == [32.0]
    assert left_because(run, "lifting")


@pytest.mark.parametrize("method", ["plank", "hand truck", "hoist", "two people"])
def test_what_takes_load_off_the_hands_lets_full_buckets_be_lifted(method: str) -> None:
    run = fetched(many(1), lifting={"portion": "60 kg", "method": method})
    assert len(run.lots) == 1
    assert trips(run)[0].lifting_index < 3.0


def test_the_days_lifts_bound_a_trip() -> None:
    run = fetched(many(3), lifting={"portion": "30 kg", "most_a_day": 9})
    assert [buckets(run, trip) for trip in trips(run)] == [2, 1]
    assert left_because(run, "lifting")


# -- ways of lifting: time, wage, payload ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("method", "lift_min", "ready_min"),
    [("by hand", 2, 0), ("two people", 2, 0), ("plank", 3, 2), ("hand truck", 2.5, 2), ("hoist", 4, 4)],
)
def test_each_way_of_lifting_takes_its_own_time_at_the_shops_and_at_home(
    method: str, lift_min: float, ready_min: float
) -> None:
    """Two shops, two buckets of 30 kg: four lifts; what helps is set up at both shops and at home."""
    light = {"mass_kg": np.array([30.0])}
    stops = many(1, "shop A", **light), many(1, "shop B", **light)
    (trip,) = trips(fetched(*stops, lifting={"method": method}))
    driving, stopping = 6.0 / 40.0, 2 * 15 / 60
    lifting_h = trip.end_h - trip.t_h - driving - stopping
    assert lifting_h == pytest.approx((4 * lift_min + 3 * ready_min) / 60.0)
    assert (trip.way, trip.lifts) == (method, 4)


def test_the_time_of_a_way_of_lifting_can_be_set() -> None:
    own = {"method": "hoist", "time_per_lift": "6 min", "time_per_stop": "10 min", "portion": "60 kg"}
    (trip,) = trips(fetched(many(1), lifting=own))
    assert trip.end_h - trip.t_h == pytest.approx(6.0 / 40.0 + (15 + 2 * 6 + 2 * 10) / 60.0)


def test_half_buckets_by_hand_take_longer_than_full_ones_on_a_hand_truck() -> None:
    halves = fetched(shop(), lifting={"portion": "30 kg"})
    full = fetched(shop(), lifting={"portion": "60 kg", "method": "hand truck"})
    assert len(halves.lots) == len(full.lots) > 5
    assert full.measures["lifts"] == halves.measures["lifts"] / 2
    assert full.measures["profit"] == pytest.approx(halves.measures["profit"])
    saved_h = halves.measures["fetch_hours_h"] - full.measures["fetch_hours_h"]
    assert saved_h == pytest.approx(len(full.lots) * (2 * 3 + 4 * 2 - 2 * 2.5 - 2 * 2) / 60.0)
    more = full.measures["profit_after_hours"] - halves.measures["profit_after_hours"]
    assert more == pytest.approx(10.0 * saved_h)


def test_splitting_a_bucket_costs_time() -> None:
    quick, slow = (
        fetched(shop(), lifting={"portion": "30 kg", "time_per_split": f"{minutes} min"})
        for minutes in (0, 6)
    )
    longer_h = slow.measures["fetch_hours_h"] - quick.measures["fetch_hours_h"]
    assert longer_h == pytest.approx(len(slow.lots) * 2 * 6 / 60.0)
    assert slow.measures["profit_after_hours"] < quick.measures["profit_after_hours"]


def test_a_slow_way_of_lifting_leaves_a_bucket_behind_on_a_short_evening() -> None:
    evening = {"owner": {"hours": {"fri": "18:00-18:45"}}}
    by_hand, hoist = (
        fetched(many(2), lifting={"portion": "60 kg", "method": method, "carried_share": 0.4}, **evening)
        for method in ("by hand", "hoist")
    )
    assert buckets(by_hand, trips(by_hand)[0]) == 2
    assert buckets(hoist, trips(hoist)[0]) == 1
    assert left_because(hoist, "hours")


TWO = {"method": "two people", "portion": "60 kg", "second_wage": "15 EUR/h"}


def test_a_second_person_lifts_full_buckets_and_is_paid_for_the_whole_trip() -> None:
    alone, two = fetched(shop(), lifting={"portion": "60 kg"}), fetched(shop(), lifting=TWO)
    assert alone.lots == []
    assert len(two.lots) > 5
    away_h = sum(trip.end_h - trip.t_h for trip in trips(two))
    assert sum(entry.amount for entry in entries(two, "wages")) == pytest.approx(-15.0 * away_h)
    assert two.measures["helper_hours_h"] == pytest.approx(away_h)
    assert all(1.0 < trip.lifting_index < 3.0 for trip in trips(two))
    friend = fetched(shop(), lifting=TWO | {"second_wage": "0 EUR/h"})
    assert two.measures["profit"] == pytest.approx(friend.measures["profit"] - 15.0 * away_h)


def test_a_second_person_takes_up_payload() -> None:
    tight = {"vehicle": {"payload": "235 kg"}}
    hand_truck, two = (
        fetched(many(4), lifting={**TWO, "method": m}, **tight) for m in ("hand truck", "two people")
    )
    assert buckets(hand_truck, trips(hand_truck)[0]) == 3
    assert buckets(two, trips(two)[0]) == 1


def test_no_trip_without_cash_for_the_second_person() -> None:
    poor = {"cash": {"opening": "100 EUR"}}
    assert fetched(many(1), lifting=TWO, **poor).lots == []
    assert fetched(many(1), lifting=TWO | {"second_wage": "5 EUR/h"}, **poor).lots


SATURDAYS = {"helper": {"wage": "10 EUR/h", "days": ["sat"], "absent_share": 0.1}}


def test_with_a_helper_heavier_portions_are_lifted_on_the_days_of_the_helper() -> None:
    alone = fetched(many(3), lifting={"portion": "50 kg"})
    helped = fetched(many(3), lifting={"portion": "50 kg"}, **SATURDAYS)
    assert alone.lots == []
    assert {int(trip.t_h // 24) % 7 for trip in trips(helped)} == {5}
    assert len(helped.lots) == 3


def test_a_helper_who_does_not_come_cannot_lift_and_is_not_paid() -> None:
    of = business(**FREE_NOW, lifting={"portion": "50 kg"}, **SATURDAYS)
    away = Marks(np.full(120, 0.99), np.full(120, 0.05), np.full(120, 0.99))
    run = played(of, world(of, shops=(many(3),), marks=away))
    assert run.lots == []
    assert entries(run, "wages") == []


def test_a_helper_rides_along_and_takes_up_payload() -> None:
    tight = {"vehicle": {"payload": "170 kg"}, "fetching": {"days": ["sat"]}}
    alone, helped = fetched(many(4), **tight), fetched(many(4), **tight, **SATURDAYS)
    assert buckets(alone, trips(alone)[0]) == 2
    assert helped.lots == []
    assert fetched(many(4), **(tight | {"vehicle": {"payload": "190 kg"}}), **SATURDAYS).lots


def test_with_a_helper_full_buckets_need_no_splitting() -> None:
    days = {"fetching": {"days": ["sat"]}}
    halves = fetched(many(1), **days, **SATURDAYS)
    full = fetched(many(1), **days, helper=SATURDAYS["helper"] | {"portion": "60 kg"})
    (slow,), (quick,) = trips(halves), trips(full)
    assert (slow.lifts, quick.lifts) == (4, 2)
    saved_h = (2 * 3 + 2 * 2) / 60.0
    assert quick.end_h - quick.t_h == pytest.approx(slow.end_h - slow.t_h - saved_h)
    assert sum(e.amount for e in entries(full, "wages")) > sum(e.amount for e in entries(halves, "wages"))
    assert slow.lifting_index < 1.3 < quick.lifting_index < 3.0


def test_on_the_helpers_days_the_helper_is_the_second_person() -> None:
    every_day = {"fetching": {"days": ["fri", "sat"], "every": "1 days"}}
    run = fetched(shop(every_days=1.0, buckets=60), lifting=TWO, **every_day, **SATURDAYS)
    days = {
        who: {int(row.t_h // 24) % 7 for row in run.hours if row.who == who}
        for who in ("helper", "second person")
    }
    assert days == {"helper": {5}, "second person": {4}}
    sitting = {"helper": SATURDAYS["helper"] | {"lifts": False}}
    both = fetched(shop(every_days=1.0, buckets=60), lifting=TWO, **every_day, **sitting)
    assert {int(row.t_h // 24) % 7 for row in both.hours if row.who == "second person"} == {4, 5}


@pytest.mark.parametrize(
    "near",
    [
        shop("near and dear", x_km=1.0, price=np.full(12, 30.0)),
        shop("near and shut", x_km=1.0, open_hours=(((3.0, 4.0),),) * 7),
    ],
    ids=["dear", "shut"],
)
def test_a_shop_where_nothing_can_be_bought_takes_up_no_stop(near: Shop) -> None:
    far = shop("far and cheap", x_km=5.0)
    limits = {"stops": 1, "most_price": "20 EUR"}
    alone, both = fetched(far, fetching=limits), fetched(near, far, fetching=limits)
    assert len(alone.lots) == len(both.lots) > 0
    assert {lot.source for lot in both.lots} == {"far and cheap"}


def test_lifts_of_one_night_count_together_past_midnight() -> None:
    of = business(owner={"hours": {"fri": "20:00-06:00"}}, lifting={"most_a_day": 12})
    floor = Floor(of, world(of), Asking(), StartUp(), premises(of), tables())
    friday = 24.0 * 4
    floor.lifted(friday + 23.0, 12)
    assert floor.lifts_left(friday + 23.5) == floor.lifts_left(friday + 24.5) == 0
    assert floor.lifts_left(friday + 36.0) == 12
