"""Asking around: for new shops, and second-hand pewter that turned up.

In: the floor and the time left. Out: a step, or None. Must not know: other tasks.
"""

from __future__ import annotations

from functools import partial
from typing import Final, NamedTuple

from planner.workshop.floor import Floor, Held, Step

LEAST_H: Final = 0.5
"""Nobody goes asking for less (assumed)."""
FIND_WAITS_H: Final = 14 * 24.0
"""Pewter that is not fetched within two weeks is gone (assumed)."""
MONTH_H: Final = 730.0


class Find(NamedTuple):
    """Second-hand pewter: when it turns up [h], mass [kg], tin in it, what is asked [currency]."""

    t_h: float
    mass_kg: float
    tin_share: float
    price: float


class Finds:
    """Pewter finds of a run, in order."""

    def __init__(self, floor: Floor) -> None:
        finds = floor.world.finds
        columns = (finds.t_h, finds.mass_kg, finds.tin_share, finds.price)
        self.rows = [Find(*row) for row in zip(*(column.tolist() for column in columns), strict=True)]
        self.i = 0


def next_step(f: Floor, finds: Finds, t_h: float, until_h: float) -> Step | Held | None:
    """Look at pewter that turned up; else ask around, as far as the month's hours allow."""
    return _pewter(f, finds, t_h, until_h) or _asking(f, t_h, until_h)


def _pewter(f: Floor, finds: Finds, t_h: float, until_h: float) -> Step | None:
    """Buy the next find that is still there and can be paid."""
    pewter = f.business.pewter
    hours = pewter.minutes_min / 60.0
    if pewter.use == "no" or t_h >= f.stopped_h or t_h + hours > until_h + 1e-9:
        return None
    while finds.i < len(finds.rows) and finds.rows[finds.i].t_h <= t_h:
        find = finds.rows[finds.i]
        finds.i += 1
        if t_h > find.t_h + FIND_WAITS_H:
            f.note(t_h, "pewter not bought", "", "gone")
        elif find.price > f.spendable():
            f.note(t_h, "pewter not bought", "", "cash: not enough money")
        else:
            return Step(t_h + hours, "asking around", partial(_bought, f, find, t_h, t_h + hours))
    return None


def _bought(f: Floor, find: Find, start_h: float, end_h: float) -> None:
    f.spend_time(start_h, end_h, "asking around")
    f.pewter_kg += find.mass_kg
    f.tin_kg += find.mass_kg * find.tin_share
    f.pewter_cost += find.price
    f.book(end_h, "pewter", -find.price, f"{find.mass_kg:.2f} kg, {100 * find.tin_share:.0f} % tin")
    f.note(end_h, "pewter bought", "", f"{find.mass_kg:.2f} kg")


def _asking(f: Floor, t_h: float, until_h: float) -> Step | None:
    a_month = f.business.owner.asking_h
    if a_month <= 0 or t_h >= f.stopped_h:
        return None
    budget = a_month * (whole_months(t_h) + 1) - f.asked_h
    hours = min(budget, until_h - t_h)
    if hours < min(LEAST_H, a_month) - 1e-9:
        return None
    hidden = [s for s in f.shops if not s.known]
    if not hidden:
        return None

    def done() -> None:
        f.spend_time(t_h, t_h + hours, "asking around")
        f.asked_h += hours
        for state in hidden:
            if state.shop.says_yes and state.shop.asking_h <= f.asked_h:
                state.found(t_h + hours)
                f.note(t_h + hours, "new shop", state.shop.name, "found by asking around")

    return Step(t_h + hours, "asking around", done)


def whole_months(t_h: float) -> int:
    """Months that are over (of 730 h)."""
    return int(t_h / MONTH_H)
