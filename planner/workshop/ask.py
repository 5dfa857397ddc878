"""Asking around: for new shops, and second-hand pewter that turned up.

In: the floor and the time left. Out: a step, or None. Must not know: other tasks.
"""

from __future__ import annotations

from typing import Final

from planner.workshop.floor import Floor, Held, Step

LEAST_H: Final = 0.5
"""Nobody goes asking for less (assumed)."""
FIND_WAITS_H: Final = 14 * 24.0
"""Pewter that is not fetched within two weeks is gone (assumed)."""
MONTH_H: Final = 730.0


class Finds:
    """Pewter finds of a run, in order."""

    def __init__(self, floor: Floor) -> None:
        finds = floor.world.finds
        self.rows = list(
            zip(
                finds.t_h.tolist(),
                finds.mass_kg.tolist(),
                finds.tin_share.tolist(),
                finds.price.tolist(),
                strict=True,
            )
        )
        self.i = 0


def next_step(f: Floor, finds: Finds, t_h: float, until_h: float) -> Step | Held | None:
    """Look at pewter that turned up; else ask around, as far as the month's hours allow."""
    return _pewter(f, finds, t_h, until_h) or _asking(f, t_h, until_h)


def _pewter(f: Floor, finds: Finds, t_h: float, until_h: float) -> Step | None:
    pewter = f.business.pewter
    if pewter.use == "no" or t_h >= f.stopped_h:
        return None
    while finds.i < len(finds.rows):
        found_h, mass, tin_share, price = finds.rows[finds.i]
        if found_h > t_h:
            return None
        hours = pewter.minutes_min / 60.0
        if t_h > found_h + FIND_WAITS_H or price > f.spendable():
            finds.i += 1
            f.note(
                t_h, "pewter not bought", "", "gone" if price <= f.spendable() else "cash: not enough money"
            )
            continue
        if t_h + hours > until_h + 1e-9:
            return None
        finds.i += 1

        def done() -> None:
            f.spend_time(t_h, t_h + hours, "asking around")
            f.pewter_kg += mass
            f.tin_kg += mass * tin_share
            f.pewter_cost += price
            f.book(t_h + hours, "pewter", -price, f"{mass:.2f} kg, {100 * tin_share:.0f} % tin")

        return Step(t_h + hours, "asking around", done)
    return None


def _asking(f: Floor, t_h: float, until_h: float) -> Step | None:
    a_month = f.business.owner.asking_h
    hidden = [s for s in f.shops if not s.known]
    if a_month <= 0 or not hidden or t_h >= f.stopped_h:
        return None
    budget = a_month * (whole_months(t_h) + 1) - f.asked_h
    hours = min(budget, until_h - t_h)
    if hours < min(LEAST_H, a_month) - 1e-9:
        return None

    def done() -> None:
        f.spend_time(t_h, t_h + hours, "asking around")
        f.asked_h += hours
        for state in hidden:
            if state.shop.asking_h <= f.asked_h:
                if state.shop.says_yes:
                    state.found(t_h + hours)
                    f.note(t_h + hours, "new shop", state.shop.name, "found by asking around")

    return Step(t_h + hours, "asking around", done)


def whole_months(t_h: float) -> int:
    """Months that are over (of 730 h)."""
    return int(t_h / MONTH_H)
