"""The scrap yard: when it is driven to, what goes there, what it pays."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from planner.workshop.result import Run
from planner.world.parts import Marks, Rates
from tests.small import YARD, business, crowd, world
from tests.workshop.books import entries, played

DAYS = 120
LOT = {
    "mass": "60 kg",
    "cost": "12 EUR",
    "clip_on_share": 0.6,
    "stick_on_share": 0.1,
    "zinc_share": 0.1,
    "steel_share": 0.2,
}
OPEN = {"least": "1 kg", "every": "7 days", "open": "00:00-24:00"}


def run_with(lots: int = 0, marks: Marks | None = None, **changes: Any) -> Run:
    stock = {"lots": [LOT] * lots} | changes.pop("stock", {})
    of = business(**({"stock": stock, "fetching": {"on": False}, "yard": OPEN} | changes))
    worlds = {} if marks is None else {"marks": marks}
    return played(of, world(of, shops=(), crowds=(), **worlds))


def receipts(run: Run) -> dict[str, float]:
    found: dict[str, float] = {}
    for entry in run.ledger:
        if entry.kind.startswith("yard: "):
            found[entry.kind[6:]] = found.get(entry.kind[6:], 0.0) + entry.amount
    return found


def test_clips_and_dross_bring_what_the_yard_pays() -> None:
    run = run_with(4)
    skimmed = sum(melt.clip_kg + melt.zinc_kg + melt.steel_kg for melt in run.melts)
    dross = sum(melt.dross_kg for melt in run.melts)
    got = receipts(run)
    assert got["clips"] == pytest.approx(skimmed * YARD["clips"])
    assert got["dross"] == pytest.approx(dross * YARD["dross"])
    assert run.measures["yard_receipts"] == pytest.approx(sum(got.values()))


def test_a_yard_that_refuses_leaded_clips_leaves_them_here() -> None:
    run = run_with(4, yard=OPEN | {"takes_leaded_clips": False})
    assert "clips" not in receipts(run)
    assert run.balance is not None
    assert run.balance.clips_kg > 50.0


def test_a_trip_to_the_yard_costs_distance_and_time() -> None:
    run = run_with(
        2, yard=OPEN | {"distance": "15 km", "visit": "40 min"}, lifting={"time_per_lift": "2 min"}
    )
    trips = [trip for trip in run.trips if trip.kind == "yard"]
    assert sum(e.amount for e in entries(run, "driving")) == pytest.approx(-len(trips) * 30.0 * 0.43)
    for trip in trips:
        assert trip.end_h - trip.t_h == pytest.approx(30.0 / 40.0 + 40 / 60 + trip.lifts / 2 * 2 / 60)


def test_the_yard_is_visited_while_it_is_open() -> None:
    run = run_with(4, yard=OPEN | {"open": {"sat": "13:00-15:00"}})
    trips = [trip for trip in run.trips if trip.kind == "yard"]
    assert trips
    for trip in trips:
        arrives = trip.t_h + 10.0 / 40.0 + trip.lifts / 2 * 2 / 60
        assert int(trip.t_h // 24) % 7 == 5
        assert arrives % 24.0 >= 13.0 - 1e-9
        assert (arrives + 40 / 60) % 24.0 <= 15.0 + 1e-9
    never = run_with(4, yard=OPEN | {"open": {"mon-fri": "08:00-17:00"}})
    assert never.trips == []


def test_a_trip_is_made_for_the_least_mass_and_at_its_pace() -> None:
    assert run_with(4, yard=OPEN | {"least": "500 kg"}).trips == []
    much = {"stop_above": "9999 kg", "days": ["sat"]}
    near = OPEN | {"distance": "2 km"}
    often, seldom = (run_with(12, melting=much, yard=near | {"every": f"{days} days"}) for days in (7, 60))
    assert len(often.trips) > len(seldom.trips) >= 1


def test_nobody_drives_to_the_yard_at_a_loss() -> None:
    """60 kg of weights bring 24; a drive of 27 km each way costs 23.2, one of 29 km 24.9."""
    idle = {"melting": {"on": False}}
    worth, too_far = (
        run_with(1, **idle, yard=OPEN | {"weights": "all", "distance": f"{km} km"}) for km in (27, 29)
    )
    assert len(worth.trips) == 1
    assert too_far.trips == []


def test_what_the_yard_does_not_pay_for_is_not_taken_there() -> None:
    of = business(
        stock={"lots": [LOT]}, fetching={"on": False}, melting={"on": False}, yard=OPEN | {"weights": "all"}
    )
    free = Rates({good: np.full(DAYS, 0.0 if good == "weights" else price) for good, price in YARD.items()})
    assert played(of, world(of, shops=(), crowds=(), rates=free)).trips == []


def test_ingots_above_a_stock_go_to_the_yard_zinced_ones_first() -> None:
    run = run_with(stock={"hard": "80 kg", "mixed": "60 kg"}, yard=OPEN | {"lead_above": "50 kg"})
    assert run.measures["yard_lead_kg"] == pytest.approx(90.0)
    assert receipts(run)["lead"] == pytest.approx(90.0 * YARD["lead"])
    notes = [entry.note for entry in entries(run, "yard: lead")]
    assert notes == ["60.0 kg mixed at the price of lead", "30.0 kg hard at the price of lead"]
    assert run_with(stock={"hard": "80 kg"}).measures["yard_lead_kg"] == 0.0


def test_ingots_that_are_promised_stay() -> None:
    of = business(
        stock={"hard": "100 kg"},
        fetching={"on": False},
        yard=OPEN | {"lead_above": "20 kg"},
        owner={"priority": ["yard"]},
    )
    wants = {
        "size_kg": np.full((1, 1), 70.0),
        "gap_h": np.full((1, 1), 1.0),
        "patience_h": np.full((1, 1), 1e4),
    }
    waiting = crowd(DAYS, 1, 1, **wants)
    run = played(of, world(of, shops=(), crowds=(waiting,)))
    assert run.measures["yard_lead_kg"] == pytest.approx(30.0)


def test_home_made_ingots_are_sometimes_taken_at_the_price_of_weights() -> None:
    day = Marks(np.full(DAYS, 0.99), np.full(DAYS, 0.99), np.full(DAYS, 0.05))
    run = run_with(
        marks=day, stock={"hard": "80 kg"}, yard=OPEN | {"lead_above": "0 kg", "downgraded_share": 0.1}
    )
    assert receipts(run)["lead"] == pytest.approx(80.0 * YARD["weights"])
    assert any("downgraded" in note.cause for note in run.notes)


def test_weights_are_kept_sold_above_half_the_limit_or_all_sold() -> None:
    idle = {"melting": {"on": False}, "fetching": {"on": False, "scrap_at_most": "200 kg"}}
    kept, surplus, everything = (
        run_with(4, **idle, yard=OPEN | {"weights": how}) for how in ("keep", "surplus", "all")
    )
    assert "weights" not in receipts(kept)
    assert receipts(surplus)["weights"] == pytest.approx(140.0 * YARD["weights"])
    assert receipts(everything)["weights"] == pytest.approx(240.0 * YARD["weights"])
    assert {entry.lot for entry in entries(everything, "yard: weights")} == {1, 2, 3, 4}


def test_payload_and_the_days_lifts_bound_a_load() -> None:
    idle = {"melting": {"on": False}, "yard": OPEN | {"weights": "all"}}
    light = run_with(4, **idle, vehicle={"payload": "168 kg"})
    assert [trip.mass_kg for trip in light.trips] == pytest.approx([100.0, 100.0, 40.0])
    tired = run_with(4, **idle, lifting={"portion": "20 kg", "most_a_day": 8})
    assert [trip.mass_kg for trip in tired.trips] == pytest.approx([80.0, 80.0, 80.0])
    assert {trip.lifts for trip in tired.trips} == {8}


def test_an_accepted_overload_to_the_yard_wears_the_vehicle() -> None:
    heavy = {"payload": "168 kg", "overload_accepted": True, "overload_at_most_share": 0.2}
    run = run_with(2, melting={"on": False}, yard=OPEN | {"weights": "all"}, vehicle=heavy)
    assert run.trips[0].mass_kg == pytest.approx(120.0)
    assert sum(e.amount for e in entries(run, "wear by overload")) == pytest.approx(-0.5 * 20.0 / 20.0 * 10.0)


def test_once_stopped_all_weights_go_sorted_ones_too() -> None:
    stopped = {"date": "2026-03-20", "reason": "neighbours"}
    ahead = {"on": True, "ahead": "999 kg"}
    near = OPEN | {"distance": "0 km"}
    run = run_with(8, stopped=stopped, sorting=ahead, owner={"priority": ["sort", "yard"]}, yard=near)
    assert run.melts == []
    assert run.balance is not None
    assert run.balance.lots_kg == pytest.approx(0.0)
    assert receipts(run)["weights"] > 0


def test_clips_that_the_yard_refuses_are_worth_nothing_at_the_end_either() -> None:
    kept = {"least": "99999 kg", "open": "00:00-24:00"}
    taken, refused = (run_with(4, yard=kept | {"takes_leaded_clips": takes}) for takes in (True, False))
    clips_kg = sum(melt.clip_kg + melt.zinc_kg + melt.steel_kg for melt in taken.melts)
    more = taken.measures["stock_end_yard"] - refused.measures["stock_end_yard"]
    assert more == pytest.approx(clips_kg * YARD["clips"])


def test_loading_for_the_yard_takes_the_time_and_the_wage_of_the_way_of_lifting() -> None:
    """60 kg untouched, three lifts of 20 kg up and three down; unloading is part of the visit."""
    no_melt = {"melting": {"on": False}, "yard": OPEN | {"weights": "all"}}

    def trip_h(run: Run) -> float:
        (trip,) = run.trips
        assert trip.lifts == 6
        return trip.end_h - trip.t_h

    def loading(method: str, wage: str = "9 EUR/h") -> Run:
        return run_with(1, lifting={"portion": "20 kg", "method": method, "second_wage": wage}, **no_melt)

    by_hand, hoist, two = loading("by hand"), loading("hoist"), loading("two people")
    assert trip_h(hoist) - trip_h(by_hand) == pytest.approx((4 + 3 * (4 - 2)) / 60.0)
    assert trip_h(two) == pytest.approx(trip_h(by_hand))
    assert sum(entry.amount for entry in entries(two, "wages")) == pytest.approx(-9.0 * trip_h(two))
    assert loading("two people", "40 EUR/h").trips == []


def test_nobody_drives_to_the_yard_for_less_than_the_overload_wears() -> None:
    """120 kg bring 48 and the drive costs 8.6; the wear of 20 kg too much is put at more than what is left."""
    heavy = {"payload": "168 kg", "overload_accepted": True, "overload_at_most_share": 0.2}
    idle = {"melting": {"on": False}, "yard": OPEN | {"weights": "all"}}
    worth, too_dear = (
        run_with(2, **idle, vehicle=heavy | {"overload_wear": f"{wear} EUR/km"}) for wear in (0.5, 9)
    )
    assert len(worth.trips) >= 1
    assert too_dear.trips == []
