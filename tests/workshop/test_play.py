"""One run: what is there at the start, what falls due on a date, what is left at the end, and cash by hand."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import repeat
from typing import Any

import numpy as np
import pytest

from planner.workshop.clock import clock, most_events
from planner.workshop.floor import Floor
from planner.workshop.measures import MEASURES
from planner.workshop.play import RunError, Watch, play
from planner.workshop.premises import StartUp
from planner.workshop.result import Run
from planner.world.parts import Rates
from tests.small import YARD, Asking, business, crowd, tables, world
from tests.workshop.books import entries, played

IDLE = {"fetching": {"on": False}, "melting": {"on": False}, "yard": {"least": "99999 kg"}}
LOT = {"mass": "60 kg", "cost": "12 EUR", "clip_on_share": 0.7, "zinc_share": 0.1, "steel_share": 0.2}


def run_with(start_up: StartUp | None = None, **changes: Any) -> Run:
    of = business(**changes)
    return played(of, world(of), start_up=start_up)


def amounts(run: Run, kind: str) -> list[tuple[float, float]]:
    return [(entry.t_h / 24.0, entry.amount) for entry in entries(run, kind)]


# -- on a date ---------------------------------------------------------------------------------------------------------


def test_a_cost_a_month_falls_due_at_each_months_end_by_the_days_played() -> None:
    gloves = [{"name": "gloves", "amount": "31 EUR", "per": "month"}]
    run = run_with(calendar={"start": "2026-03-02", "days": 50}, costs=gloves, **IDLE)
    assert amounts(run, "gloves") == [(30.0, pytest.approx(-30.0)), (50.0, pytest.approx(-31.0 * 20 / 30))]


@pytest.mark.parametrize("start", ["2026-01-01", "2026-01-15", "2026-06-30"])
def test_a_year_has_twelve_months_wherever_it_begins(start: str) -> None:
    gloves = [{"name": "gloves", "amount": "10 EUR", "per": "month"}]
    run = run_with(calendar={"start": start, "days": 365}, costs=gloves, **IDLE)
    assert sum(amount for _, amount in amounts(run, "gloves")) == pytest.approx(-120.0, abs=0.4)


def test_what_it_costs_to_start_is_paid_on_the_first_day_and_gear_brings_its_resale_on_the_last() -> None:
    costs = [{"name": "blood test", "amount": "45 EUR", "per": "start"}]
    run = run_with(StartUp(90.0, 35.0), costs=costs, **IDLE)
    assert amounts(run, "start-up cost") == [(0.0, -90.0)]
    assert amounts(run, "blood test") == [(0.0, -45.0)]
    assert amounts(run, "resale of gear") == [(120.0, 35.0)]
    assert run.measures["profit"] == pytest.approx(-90.0 - 45.0 + 35.0)
    assert run.measures["lowest_cash"] == pytest.approx(500.0 - 135.0)


def test_a_start_up_cost_leaves_less_to_buy_with() -> None:
    assert run_with().lots
    assert run_with(StartUp(495.0)).lots == []


def test_once_stopped_nothing_is_fetched_or_melted_and_the_gear_is_sold() -> None:
    stop = {"date": "2026-04-11", "gear_resale": "30 EUR", "reason": "neighbours complain"}
    run = run_with(stopped=stop)
    on = 40 * 24.0
    assert [trip for trip in run.trips if trip.kind == "shops"]
    assert all(trip.t_h < on for trip in run.trips if trip.kind == "shops")
    assert all(melt.t_h < on for melt in run.melts)
    assert any(sale.t_h > on for sale in run.sales)
    assert amounts(run, "resale of gear") == [(40.0, 30.0)]
    assert [(note.t_h, note.cause) for note in run.notes if note.what == "stopped"] == [
        (on, "neighbours complain")
    ]
    assert run.measures["ingots_kg"] < run_with().measures["ingots_kg"]


def test_a_business_stopped_before_it_begins_sells_what_is_there() -> None:
    run = run_with(stopped={"date": "2026-01-01"}, stock={"hard": "50 kg"})
    assert run.lots == run.melts == []
    assert run.sales


# -- stock -------------------------------------------------------------------------------------------------------------


def test_opening_ingots_are_sold_and_opening_lots_melted() -> None:
    run = run_with(fetching={"on": False}, stock={"mixed": "15 kg", "cost": "0.5 EUR/kg", "lots": [LOT]})
    assert {lot.source for lot in run.lots} == {"opening stock"}
    assert run.measures["buckets"] == 0.0
    assert run.sales[0].melts[0][0] == 0
    assert run.sales[0].metal_cost == pytest.approx(0.5 * run.sales[0].mass_kg)
    assert {key for melt in run.melts for key, _ in melt.lots} == {1}
    assert entries(run, "weights") == []


def test_stock_is_valued_at_the_yards_price_and_at_expected_sale() -> None:
    of = business(stock={"hard": "40 kg", "lots": [LOT] * 2, "sale_share": 0.7}, **IDLE)
    run = played(of, world(of, crowds=()), Asking(4.0))
    yard = 40.0 * YARD["lead"] + 120.0 * YARD["weights"]
    assert run.measures["stock_end_yard"] == pytest.approx(yard)
    assert run.measures["stock_end_sale"] == pytest.approx(yard + 40.0 * (4.0 * 0.7 - YARD["lead"]))
    assert run.measures["stock_change"] == pytest.approx(0.0)
    assert run.measures["profit"] == pytest.approx(0.0)


def test_a_yard_price_that_falls_takes_from_the_stock() -> None:
    of = business(stock={"hard": "40 kg"}, **IDLE)
    falling = {good: np.linspace(price, price / 2, 120) for good, price in YARD.items()}
    run = played(of, world(of, crowds=(), rates=Rates(falling)))
    assert run.measures["stock_change"] == pytest.approx(-40.0 * YARD["lead"] / 2)


def test_what_was_fetched_and_not_sold_counts_at_the_yards_price() -> None:
    of = business(melting={"on": False}, yard={"least": "99999 kg"}, fetching={"scrap_at_most": "120 kg"})
    run = played(of, world(of, crowds=()))
    assert run.measures["stock_change"] == pytest.approx(150.0 * YARD["weights"])
    assert run.measures["profit"] == pytest.approx(
        150.0 * YARD["weights"] - 30.0 - run.measures["driving_cost"]
    )


# -- money -------------------------------------------------------------------------------------------------------------


def test_cash_can_be_added_up_by_hand() -> None:
    """Start plus every row of lots, melts, sales and trips, each at its price, is the cash at the end."""
    of = business(
        costs=[{"name": "flux", "amount": "0.4 EUR", "per": "melt"}],
        yard={"least": "30 kg", "open": "00:00-24:00"},
        cash={"opening": "300 EUR"},
    )
    run = played(of, world(of), Asking(4.0))
    by_hand = 300.0
    by_hand -= sum(lot.cost for lot in run.lots)
    by_hand -= sum(trip.km for trip in run.trips) * 0.43
    by_hand -= sum(melt.fuel_kg for melt in run.melts) * 2.5 + 0.4 * len(run.melts)
    by_hand += sum(sale.mass_kg * sale.price_per_kg for sale in run.sales)
    gone = {"clips": 0.0, "dross": 0.0}
    for entry in run.ledger:
        if entry.kind.startswith("yard: "):
            gone[entry.kind[6:]] += entry.amount / YARD[entry.kind[6:]]  # type: ignore[index]
    skimmed = sum(melt.clip_kg + melt.zinc_kg + melt.steel_kg for melt in run.melts)
    assert run.balance is not None
    assert gone["clips"] == pytest.approx(skimmed - run.balance.clips_kg)
    assert gone["dross"] == pytest.approx(sum(melt.dross_kg for melt in run.melts) - run.balance.dross_kg)
    by_hand += gone["clips"] * YARD["clips"] + gone["dross"] * YARD["dross"]
    assert run.opening_cash + sum(entry.amount for entry in run.ledger) == pytest.approx(by_hand)
    kinds = {"weights", "driving", "propane", "flux", "sales: private", "yard: clips", "yard: dross"}
    assert {entry.kind for entry in run.ledger} == kinds


def test_one_lot_can_be_followed_from_shop_to_buyer() -> None:
    of = business()
    run = played(of, world(of))
    lot = run.lots[0]
    melts = [melt.melt for melt in run.melts if lot.lot in [key for key, _ in melt.lots]]
    buyers = [sale for sale in run.sales if set(melts) & {melt for melt, _ in sale.melts}]
    assert melts
    assert buyers
    assert [entry.amount for entry in entries(run, "weights") if entry.lot == lot.lot] == [-lot.cost]
    assert [note.what for note in run.notes if note.lot == lot.lot] == ["bucket home"]
    assert "poured" in [note.what for note in run.notes if note.melt in melts]


def test_the_diary_and_the_ledger_are_in_order_of_time() -> None:
    run = run_with(stopped={"date": "2026-04-11", "gear_resale": "30 EUR"})
    for rows in (run.ledger, run.notes):
        times = [row.t_h for row in rows]
        assert times == sorted(times)


def test_the_owners_hours_are_priced_after_the_profit() -> None:
    run = run_with(owner={"hour_price": "7 EUR/h"})
    m = run.measures
    assert m["profit"] - m["profit_after_hours"] == pytest.approx(7.0 * m["hours_h"])
    assert m["profit_per_hour"] == pytest.approx(m["profit"] / m["hours_h"])
    parts = ("melt_hours_h", "fetch_hours_h", "sort_hours_h", "sell_hours_h", "other_hours_h")
    assert m["hours_h"] == pytest.approx(sum(m[name] for name in parts))


def test_income_less_costs_is_the_profit() -> None:
    run = run_with(
        costs=[{"name": "flux", "amount": "1 EUR", "per": "melt"}],
        helper={"wage": "9 EUR/h", "days": ["sat"]},
        yard={"least": "30 kg", "open": "00:00-24:00"},
    )
    m = run.measures
    income = m["takings"] + m["bulk_takings"] + m["post_takings"] + m["tin_takings"] + m["yard_receipts"]
    costs = sum(m[f"{name}_cost"] for name in ("weights", "driving", "fuel", "wages", "other"))
    assert m["profit"] == pytest.approx(income - costs + m["stock_change"])
    assert m["wages_cost"] > 0


def test_a_longer_horizon_is_told_by_the_year() -> None:
    rent = [{"name": "rent", "amount": "5 EUR", "per": "month"}]
    two_years = {"days": 730, "start": "2026-01-01"}
    of = business(calendar=two_years, **IDLE, stock={"hard": "900 kg"}, costs=rent)
    run = played(of, world(of, shops=(), crowds=(crowd(730, needs=60),)))
    assert run.measures["other_cost"] == pytest.approx(60.0)
    assert run.measures["sales"] == len(run.sales) / 2


def test_every_measure_of_the_table_is_there_and_no_other() -> None:
    run = run_with()
    assert list(run.measures) == [measure.name for measure in MEASURES]


def test_doing_nothing_brings_and_costs_nothing() -> None:
    of = business(**IDLE)
    run = played(of, world(of, crowds=()))
    assert run.measures["profit"] == 0.0
    assert run.measures["hours_h"] == 0.0
    assert run.ledger == []


class PickyError(Exception):
    """An exception that cannot be made from its arguments alone."""

    def __init__(self, *, why: str) -> None:
        super().__init__(why)


def test_a_failure_inside_a_run_keeps_its_words(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise PickyError(why="the owner fell ill")

    monkeypatch.setattr("planner.workshop.ask.next_step", fails)
    of = business()
    with pytest.raises(RunError, match="PickyError: the owner fell ill"):
        play(of, world(of), Asking())


# -- the diary ---------------------------------------------------------------------------------------------------------


def test_whether_a_diary_is_kept_changes_nothing_else() -> None:
    of = business()
    told, silent = (play(of, world(of), Asking(), tables=tables(), diary=diary) for diary in (True, False))
    assert told.notes
    assert silent.notes == []
    assert (silent.measures, silent.ledger, silent.melts) == (told.measures, told.ledger, told.melts)


# -- watched -----------------------------------------------------------------------------------------------------------


def test_whoever_watches_sees_the_floor_at_their_hours_and_changes_nothing() -> None:
    of = business()
    seen: list[tuple[float, float]] = []

    def look(t_h: float, floor: Floor) -> None:
        seen.append((t_h, floor.ingot_total_kg()))

    hours = [0.0, 100.25, 1000.5, 2879.0]
    plain = play(of, world(of), Asking(), tables=tables())
    watched = play(of, world(of), Asking(), tables=tables(), watch=Watch(hours, look))
    assert (watched.notes, watched.ledger, watched.melts) == (plain.notes, plain.ledger, plain.melts)
    assert [t_h for t_h, _ in seen] == hours
    assert len({kg for _, kg in seen}) > 1


class Again(list[float]):
    """Hours that never end, though their number is told."""

    def __iter__(self) -> Iterator[float]:
        return repeat(self[0])


def test_what_goes_round_without_time_passing_is_stopped_and_says_so() -> None:
    of = business(calendar={"days": 1})
    with pytest.raises(
        RunError, match=r"stopped after [\d,]+ events, many times what a business of this size"
    ):
        play(of, world(of), Asking(), watch=Watch(Again([3.0]), lambda t_h, floor: None))


def test_the_bound_on_events_is_the_same_for_whoever_loops_and_grows_with_the_business() -> None:
    of, twice = business(calendar={"days": 60}), business(calendar={"days": 120})
    small = most_events(world(of))
    assert small < most_events(world(twice)) < 2.1 * small
    assert most_events(world(of, crowds=())) < small
    env = clock(5)
    for number in range(5):
        env.timeout(float(number))
    with pytest.raises(RunError):
        env.timeout(0.0)
    env.timeout(0.0)  # so that the failure itself can be told
