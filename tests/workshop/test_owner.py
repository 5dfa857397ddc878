"""The owner: free hours, holidays, what comes first, and what free time was lost to."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from planner.workshop.calendar import windows
from planner.workshop.result import Run
from tests.small import business, crowd, shop, world
from tests.workshop.books import played

LOT = {"mass": "60 kg", "clip_on_share": 0.7, "zinc_share": 0.1, "steel_share": 0.2}


def run_with(**changes: Any) -> Run:
    of = business(**changes)
    return played(of, world(of))


def first_hours(run: Run) -> list[str]:
    """What was done, in order, repeats left out."""
    found: list[str] = []
    for row in run.hours:
        if row.who == "owner" and row.what not in found:
            found.append(row.what)
    return found


def lost(run: Run) -> dict[str, float]:
    found: dict[str, float] = {}
    for row in run.limits:
        found[row.limit] = found.get(row.limit, 0.0) + row.hours
    return found


def test_priority_says_what_comes_first() -> None:
    """Everything can be done on the first evening: a buyer waits, a bucket is full, weights lie ready."""
    ready = {"stock": {"hard": "50 kg", "lots": [LOT] * 2}}
    now = crowd(120, gap_h=np.full((4, 40), 1.0))
    order = {}
    for name, priority in (
        ("serve first", ["serve", "fetch", "melt"]),
        ("melt first", ["melt", "fetch", "serve"]),
    ):
        of = business(owner={"priority": priority}, **ready)
        order[name] = first_hours(played(of, world(of, crowds=(now,))))
    assert order["serve first"][:2] == ["selling", "fetching"]
    assert order["melt first"][0] == "setting up"


@pytest.mark.parametrize(
    ("left_out", "what"), [("serve", "selling"), ("fetch", "fetching"), ("melt", "melting"), ("yard", "yard")]
)
def test_what_is_left_out_of_the_priorities_is_never_done(left_out: str, what: str) -> None:
    tasks = [task for task in ("serve", "fetch", "yard", "melt", "sort", "ask") if task != left_out]
    run = run_with(owner={"priority": tasks}, yard={"least": "10 kg", "open": "00:00-24:00"})
    assert what not in first_hours(run)
    assert what in first_hours(run_with(yard={"least": "10 kg", "open": "00:00-24:00"}))


def test_nothing_is_done_on_holidays() -> None:
    run = run_with(owner={"holidays": "2026-03-09 to 2026-03-22"})
    assert not [row for row in run.hours if 7 * 24.0 <= row.t_h < 21 * 24.0]
    assert [row for row in run.hours if row.t_h < 7 * 24.0]
    assert [row for row in run.hours if row.t_h > 21 * 24.0]
    assert run.measures["free_hours_h"] == pytest.approx(run_with().measures["free_hours_h"] - 2 * 23.0)


def test_single_days_may_have_hours_of_their_own_holidays_or_not() -> None:
    own = {"holidays": "2026-03-03", "other_hours": ["2026-03-03 12:00-17:00", "2026-03-13 none"]}
    run, usual = run_with(owner=own), run_with()
    tuesday = [row for row in run.hours if 24.0 <= row.t_h < 48.0]
    assert tuesday
    assert all(36.0 <= row.t_h < row.end_h <= 41.0 for row in tuesday)
    assert not [row for row in run.hours if 11 * 24.0 <= row.t_h < 12 * 24.0]
    assert [row for row in usual.hours if 11 * 24.0 <= row.t_h < 12 * 24.0]
    less = usual.measures["free_hours_h"] - run.measures["free_hours_h"]
    assert less == pytest.approx(2 * 3.0 - 5.0)


def test_no_hours_no_business() -> None:
    run = run_with(owner={"hours": "none"})
    assert run.hours == run.lots == run.sales == []
    assert run.measures["free_hours_h"] == 0.0


def test_a_window_past_midnight_is_worked_through() -> None:
    run = run_with(owner={"hours": {"fri": "22:00-04:00"}}, stock={"lots": [LOT] * 4})
    assert any(row.t_h % 24.0 < 4.0 for row in run.hours)
    assert any(row.t_h < 5 * 24.0 < row.end_h for row in run.hours if row.what == "melting")
    assert {int(row.t_h // 24) % 7 for row in run.hours} == {4, 5}


def test_an_owner_who_is_always_free_still_notices_what_a_new_day_brings() -> None:
    """All windows are one stretch; weekdays, lifts and buckets of later days count all the same."""
    run = run_with(
        owner={"hours": "00:00-24:00"},
        fetching={"days": ["wed"], "every": "1 days"},
        melting={"days": ["thu"]},
    )
    assert {int(trip.t_h // 24) % 7 for trip in run.trips if trip.kind == "shops"} == {2}
    assert {int(melt.t_h // 24) % 7 for melt in run.melts} == {3}
    assert len(run.lots) > 8


def test_a_horizon_of_one_day_is_a_business_day() -> None:
    run = run_with(calendar={"days": 1})
    assert [row.what for row in run.hours][:1] == ["fetching"]
    assert all(row.end_h <= 24.0 for row in run.hours)
    assert len(run.lots) == 1


def test_what_ends_with_the_horizon_still_counts() -> None:
    of = business(
        calendar={"days": 1},
        owner={"hours": {"mon": "21:00-24:00"}},
        sorting={"on": True, "rate": "25 kg/h"},
        stock={"lots": [LOT] * 2},
        fetching={"on": False},
        melting={"days": ["sun"]},
    )
    run = played(of, world(of, crowds=()))
    assert run.measures["sort_hours_h"] == pytest.approx(3.0)


def test_every_free_hour_is_used_or_lost_to_something() -> None:
    of = business()
    run = played(of, world(of))
    free = sum(b - a for a, b in windows(world(of).horizon, of.owner.hours))
    used = run.measures["hours_h"]
    assert used + sum(lost(run).values()) == pytest.approx(free, abs=len(run.hours) / 60)
    assert run.measures["free_hours_h"] == pytest.approx(used + sum(lost(run).values()))


def test_free_time_is_lost_to_what_holds_the_business_back() -> None:
    fetch_much = {"every": "1 days", "scrap_at_most": "9999 kg"}
    plenty = (shop(buckets=400, every_days=0.25, gone_after_h=np.full(400, np.inf)),)

    def most(shops: tuple[Any, ...], crowds: tuple[Any, ...] | None = None, **changes: Any) -> str:
        of = business(**changes)
        found = lost(played(of, world(of, shops=shops, crowds=crowds)))
        return max(found, key=lambda name: found[name])

    rich, tired = {"opening": "9999 EUR"}, {"most_a_day": 4}
    often, no_end = shop(every_days=3.0, buckets=40, misses_borne=999), {"stop_above": "9999 kg"}
    assert most(plenty, (), fetching=fetch_much, cash=rich) == "buyers"
    assert most((shop(),), fetching={"every": "1 days"}) == "supply"
    assert most((often,), fetching={"every": "28 days"}, lifting=tired) == "pickups"
    assert most(plenty, fetching=fetch_much, melting=no_end, lifting=tired, cash=rich) == "hours"


def test_an_order_wakes_an_owner_who_has_nothing_to_do() -> None:
    of = business(
        stock={"hard": "50 kg"}, fetching={"on": False}, melting={"on": False}, yard={"least": "9999 kg"}
    )
    buyer = crowd(120, 1, 1, gap_h=np.full((1, 1), 19.5))
    run = played(of, world(of, shops=(), crowds=(buyer,)))
    assert run.sales[0].t_h == pytest.approx(19.5 + 0.5)
    assert run.sales[0].waited_h == pytest.approx(0.5)
