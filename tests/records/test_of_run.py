"""What an owner who wrote everything down would have kept of a simulated year adds up with the year."""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from math import fsum
from pathlib import Path

import numpy as np
import pytest

import planner
from planner import load
from planner.engine.player import Player, Setting
from planner.records.of_run import records_of
from planner.records.records import Records
from planner.records.tables import ACTIVITIES, ALLOYS, GOODS, TABLES
from planner.scenario.business import Business
from planner.workshop.play import play
from planner.workshop.premises import StartUp
from planner.workshop.result import OPENING, Run
from planner.world.parts import World
from tests.small import Asking, business, crowd, shop, tables, world

TOWN = Path(planner.__file__).parent / "testing" / "town.yaml"
Year = tuple[Run, Business, World, Records]


@pytest.fixture(scope="module")
def year() -> Year:
    """A year with sorting, pewter, a bulk buyer, wet weights and the yard in it."""
    scenario = load(TOWN)
    in_world, run = Player(Setting(scenario, 1)).see("as today", "expected", 0)
    of = scenario.business("as today", "expected")
    return run, of, in_world, records_of(run, of, in_world)


def small(of: Business, in_world: World) -> tuple[Run, Records]:
    run = play(of, in_world, Asking(), None, tables())
    return run, records_of(run, of, in_world)


def test_every_kilogram_of_the_year_is_in_the_tables(year: Year) -> None:
    run, _, _, kept = year
    balance = run.balance
    assert balance is not None
    bought = fsum(lot.mass_kg for lot in run.lots if lot.source != OPENING)
    assert bought > 100
    assert kept["pickups"]["bucket_kg"].sum() == pytest.approx(bought)
    assert kept["sales"]["sold_kg"].sum() == pytest.approx(balance.sold_kg)
    assert kept["yard"]["mass_kg"].sum() == pytest.approx(balance.yard_kg)
    melts = kept["melts"]
    assert melts["ingots_kg"].sum() == pytest.approx(fsum(melt.poured_kg for melt in run.melts))
    assert melts["weights_kg"].sum() == pytest.approx(fsum(melt.charged_kg for melt in run.melts))
    assert melts["skimmed_kg"].sum() == pytest.approx(
        fsum(melt.clip_kg + melt.zinc_kg + melt.steel_kg for melt in run.melts)
    )


def test_cash_at_first_and_what_the_tables_say_is_cash_at_the_end(year: Year) -> None:
    run, _, _, kept = year
    came = kept["sales"]["money"].sum() + kept["yard"]["money"].sum()
    went = kept["pickups"]["paid"].sum() + kept["expenses"]["amount"].sum()
    assert run.opening_cash + came - went == pytest.approx(run.months[-1].cash)


def test_money_that_came_in_otherwise_is_an_expense_below_zero() -> None:
    of = business(calendar={"days": 20}, owner={"priority": []})
    in_world = world(of, shops=(), crowds=())
    run = play(of, in_world, Asking(), StartUp(cost=80.0, resale=30.0), tables())
    paid = records_of(run, of, in_world)["expenses"]
    assert dict(zip(paid["what"], paid["amount"], strict=True)) == {
        "start-up cost": 80.0,
        "resale of gear": -30.0,
    }


def test_the_hours_of_the_year_are_in_the_table_by_activity(year: Year) -> None:
    run, _, _, kept = year
    hours = kept["hours"].groupby("activity")["hours_h"].sum()
    assert hours.sum() == pytest.approx(run.measures["hours_h"])
    assert hours["melt"] == pytest.approx(run.measures["melt_hours_h"])
    assert hours["sort"] == pytest.approx(run.measures["sort_hours_h"])
    assert hours["fetch"] == pytest.approx(run.measures["fetch_hours_h"])
    moved = kept["hours"].groupby("activity")["moved_kg"].sum()
    assert moved["sort"] == pytest.approx(fsum(row.mass_kg for row in run.sorts))
    assert moved["fetch"] == pytest.approx(kept["pickups"]["bucket_kg"].sum())
    assert moved["melt"] == pytest.approx(kept["melts"]["weights_kg"].sum())


def test_a_melt_lasts_until_all_is_packed_away_or_the_next_is_lit(year: Year) -> None:
    run, of, _, kept = year
    melts = kept["melts"]
    whole = melts.groupby("date")["hours_h"].sum()
    assert whole.sum() + fsum(
        row.end_h - row.t_h for row in run.hours if row.who == "owner" and row.what == "setting up"
    ) == pytest.approx(run.measures["melt_hours_h"], rel=0.02)  # a session that is not lit is set up in vain
    rows = [(row.date, row.lit_at_h, row.hours_h) for row in melts.itertuples()]
    same_day = [
        (one, then) for one, then in pairwise(rows) if one[0] == then[0] and one[1] + one[2] >= then[1] - 1e-9
    ]
    assert same_day
    assert all(one[1] + one[2] == pytest.approx(then[1]) for one, then in same_day)
    last = run.melts[-1]
    assert rows[-1][2] == pytest.approx(last.end_h - last.t_h + of.melting.clean_up_min / 60)


def test_who_asked_and_did_not_buy_is_counted_by_month_class_and_cause(year: Year) -> None:
    run, _, in_world, kept = year
    asked = kept["asked"]
    assert len(asked) == 12 * len(in_world.crowds)
    part = {(sale.t_h, sale.buyers, sale.person) for sale in run.sales}
    lost = [row for row in run.lost if (row.t_h, row.buyers, row.person) not in part]
    assert asked["did_not_buy"].sum() == len(lost) > 0
    assert asked["too_dear"].sum() == sum(row.cause == "price" for row in lost) > 0
    known = asked[["too_dear", "no_stock", "did_not_come"]].sum(axis=1)
    assert (known <= asked["did_not_buy"]).all()
    assert asked["price_per_kg"].between(2, 5).all()


def test_a_buyer_who_got_less_than_wanted_is_in_the_sales_and_not_among_those_who_did_not_buy() -> None:
    of = business(calendar={"days": 60}, stock={"mixed": "6 kg"}, selling={"part_orders": True})
    run, kept = small(of, world(of, shops=(shop(buckets=0),), crowds=(crowd(60, people=1),)))
    sale = kept["sales"].iloc[0]
    assert (sale["sold_kg"], sale["wanted_kg"]) == (pytest.approx(6), pytest.approx(10))
    assert kept["asked"]["did_not_buy"].sum() == len(run.lost) - 1


def test_how_many_buckets_stood_there_is_what_waited_when_the_owner_set_off() -> None:
    of = business(calendar={"days": 60}, fetching={"every": "28 days"})
    full = shop(every_days=9.0, buckets=7, mass_kg=50.0 + np.arange(7), gone_after_h=np.full(7, 300 * 24.0))
    run, kept = small(of, world(of, shops=(full,)))
    for trip in run.trips:
        if trip.kind == "shops":
            rows = kept["pickups"][
                kept["pickups"]["date"] == np.datetime64(of.calendar.start, "D") + int(trip.t_h / 24)
            ]
            fetched = sum(lot.t_h < trip.t_h for lot in run.lots)
            assert set(rows["stood_ready"]) == {float((full.ready_h <= trip.t_h).sum() - fetched)}
    assert kept["pickups"]["stood_ready"].max() > 1


def test_what_each_bucket_held_is_there_only_if_the_owner_weighs_it(year: Year) -> None:
    run, of, in_world, kept = year
    parts = ["clip-on_kg", "stick-on_kg", "zinc_kg", "steel_kg", "rubbish_kg"]
    assert kept["pickups"][parts].isna().all().all()
    weighed = records_of(run, of, in_world, weighs_mix=True)["pickups"]
    assert weighed[parts].sum(axis=1).to_numpy() == pytest.approx(weighed["bucket_kg"].to_numpy())


def test_air_and_wind_of_a_melt_are_those_of_its_hours(year: Year) -> None:
    run, _, in_world, kept = year
    melt = next(one for one in run.melts if one.lit)
    hours = slice(int(melt.t_h), int(melt.end_h) + 1)
    air = in_world.weather.temperature_c[hours]
    assert air.min() <= kept["melts"]["air_c"].iloc[0] <= air.max()
    assert kept["melts"]["wind_m_s"].max() <= in_world.weather.wind_m_s.max()


def test_the_tables_use_their_own_words_and_days(year: Year) -> None:
    _, _, in_world, kept = year
    assert set(kept["melts"]["alloy"]) <= set(ALLOYS)
    assert set(kept["yard"]["good"]) <= set(GOODS)
    assert set(kept["hours"]["activity"]) <= set(ACTIVITIES)
    assert set(kept.tables) == set(TABLES)
    for name, table in TABLES.items():
        assert list(kept[name].columns) == ["line", *(one.key for one in table.columns)]
    assert kept.days is not None
    first, last = kept.days
    assert in_world.horizon.start <= first <= last == date(2026, 12, 31)


def test_a_run_in_which_nothing_happened_leaves_empty_tables() -> None:
    of = business(calendar={"days": 20}, owner={"priority": []})
    _, kept = small(of, world(of, shops=(), crowds=()))
    assert {name: len(kept[name]) for name in TABLES} == dict.fromkeys(TABLES, 0)
    assert kept.days is None
