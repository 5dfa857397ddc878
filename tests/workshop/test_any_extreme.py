"""Businesses thrown from one number, and pushed to an end: nobody buys, no shop, no money, no hours, a storm.

Audited as in test_any_business; and what is thrown is looked at, for what never comes up is never audited.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from typing import Any, Final

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.scenario.business import Business
from planner.workshop.fetch import UNFETCHED
from planner.workshop.play import play
from planner.workshop.premises import StartUp
from planner.workshop.result import Run
from planner.world.parts import Supply, Weather, World
from tests.small import Asking, business, tables
from tests.workshop.books import audit
from tests.workshop.dice import METHODS, Dice, thrown_business, thrown_world

Pushed = tuple[Business, World]


def changed(of: Business, section: str, **values: Any) -> Business:
    return of.model_copy(update={section: getattr(of, section).model_copy(update=values)})


def air(in_world: World, temperature_c: float, wind_m_s: float, rain_mm: float) -> World:
    n = in_world.horizon.hours
    columns = (np.full(n, value) for value in (temperature_c, wind_m_s, rain_mm, 0.0))
    return replace(in_world, weather=Weather.rounded(*columns), scratch={})


def nobody_buys(of: Business, in_world: World) -> Pushed:
    return of, replace(in_world, crowds=(), scratch={})


def no_shop(of: Business, in_world: World) -> Pushed:
    return of, replace(in_world, supplies=(Supply("shops", ()),), scratch={})


def no_cash(of: Business, in_world: World) -> Pushed:
    return changed(of, "cash", opening=0.0, reserve=0.0), in_world


def no_hours(of: Business, in_world: World) -> Pushed:
    none = business(owner={"hours": "none"}).owner
    return changed(of, "owner", hours=none.hours, other_hours=none.other_hours), in_world


def one_lift_a_day(of: Business, in_world: World) -> Pushed:
    return changed(of, "lifting", most_a_day=1), in_world


def storm(of: Business, in_world: World) -> Pushed:
    return changed(of, "melting", place="open air"), air(in_world, 5.0, 25.0, 4.0)


def frost(of: Business, in_world: World) -> Pushed:
    return of, air(in_world, -35.0, 0.0, 0.0)


def four_pots(of: Business, in_world: World) -> Pushed:
    return changed(of, "melting", pots=4, heel_kg=0.0), in_world


def no_priority(of: Business, in_world: World) -> Pushed:
    return changed(of, "owner", priority=()), in_world


ENDS: tuple[Callable[[Business, World], Pushed], ...] = (
    nobody_buys, no_shop, no_cash, no_hours, one_lift_a_day, storm, frost, four_pots, no_priority,
)  # fmt: skip


SEEDS = st.integers(0, 2**64 - 1)


@given(SEEDS)
@settings(max_examples=60)
def test_a_business_at_its_end_still_adds_up(seed: int) -> None:
    dice = Dice(seed)
    of = thrown_business(dice)
    in_world = thrown_world(of, dice)
    pushed = dice.sample(ENDS, dice.randint(1, 3))
    for push in pushed:
        of, in_world = push(of, in_world)
    run = play(of, in_world, Asking(), StartUp(), tables())
    audit(run, of, in_world)
    for push in pushed:
        EXPECTED.get(push, anything)(run)


def anything(run: Run) -> None:
    del run


def nothing_is_sold(run: Run) -> None:
    assert run.sales == []
    assert run.lost == []
    assert run.measures["takings"] == run.measures["enquiries"] == 0.0


def nothing_is_fetched(run: Run) -> None:
    assert {lot.source for lot in run.lots} == {"opening stock"}


def nothing_is_done(run: Run) -> None:
    assert run.hours == run.melts == run.sales == run.trips == run.sorts == []
    assert run.measures["hours_h"] == run.measures["exposure_h"] == run.measures["profit"] * 0.0


def nothing_is_lifted(run: Run) -> None:
    assert all(trip.lifts == 0 for trip in run.trips)
    nothing_is_fetched(run)


def nothing_is_lit(run: Run) -> None:
    assert run.melts == []


EXPECTED: dict[Callable[[Business, World], Pushed], Callable[[Run], None]] = {
    nobody_buys: nothing_is_sold,
    no_shop: nothing_is_fetched,
    no_hours: nothing_is_done,
    one_lift_a_day: nothing_is_lifted,
    storm: nothing_is_lit,
    frost: nothing_is_lit,
    no_priority: nothing_is_done,
}


MUST_COME_UP: Final = {
    *(f"lifts {method}" for method in METHODS), "melts in roof", "melts in open air", "melts in enclosed", "1 pots",
    "2 pots", "3 pots", "4 pots", "no melt", "sold: private", "sold: bulk", "sold: post", "shops", "yard", "buyer",
    "owner: melting", "owner: sorting", "owner: messages", "owner: asking around", "helper: fetching",
    "helper: melting", "helper: sorting", "lost: price", "lost: stock", "lost: no-show", "lost: time",
    "broken off: weather", "held: weather", "held: hours", "held: daylight", "held: burner", "held: supply",
    "held: pickups", "held: cash", "held: place", "held: buyers", "held: lifting", "zinced", "several loads", "pewter",
    "weights untouched", "ingots to the yard", "owed in vain",
}  # fmt: skip


def test_thrown_businesses_do_all_that_an_owner_can_do_and_add_up() -> None:
    seen: Counter[str] = Counter()

    @given(SEEDS)
    @settings(max_examples=150)
    def look(seed: int) -> None:
        dice = Dice(seed)
        of = thrown_business(dice)
        in_world = thrown_world(of, dice)
        run = play(of, in_world, Asking(), StartUp(20.0, 5.0), tables())
        audit(run, of, in_world)
        seen.update(came_up(of, run))

    look()
    missing = {what for what in MUST_COME_UP if seen[what] < 3}
    assert not missing, (missing, seen)


def came_up(of: Business, run: Run) -> set[str]:
    """What happened in a run, in the words of ``MUST_COME_UP``."""
    booked = {entry.kind for entry in run.ledger}
    happened = {
        f"lifts {of.lifting.method}": bool(run.trips),
        f"melts in {of.melting.place}": bool(run.melts),
        f"{of.melting.pots} pots": bool(run.melts),
        "no melt": not run.melts,
        "zinced": any(melt.zinced for melt in run.melts),
        "several loads": any(melt.loads > 1 for melt in run.melts),
        "pewter": "pewter" in booked,
        "owed in vain": UNFETCHED in booked,
        "weights untouched": "yard: weights" in booked,
        "ingots to the yard": "yard: lead" in booked,
    }
    return (
        {what for what, did in happened.items() if did}
        | {f"sold: {sale.channel}" for sale in run.sales}
        | {trip.kind for trip in run.trips}
        | {f"{row.who}: {row.what}" for row in run.hours}
        | {f"lost: {row.cause}" for row in run.lost}
        | {f"broken off: {melt.cause}" for melt in run.melts if melt.cause}
        | {f"held: {row.limit}" for row in run.limits}
    )
