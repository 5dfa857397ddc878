"""A run month by month: what was there at each month's end, and where the owner's free hours went.

In: a finished ``Run``. Out: an array of figures by month. Must not know: other runs, how it is shown.

Months of a short horizon would be a dot or two: there, what is called a month here is a week or a day.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Final, Literal, NamedTuple

import numpy as np

from planner.workshop.calendar import calendar_months
from planner.workshop.measures import HOURS, LIMITS, MEASURES, limit_measure
from planner.workshop.result import Run
from planner.world.parts import FloatArray

Period = Literal["day", "week", "month"]

MOST_BY_DAY: Final = 31
"""So many days and fewer are told day by day."""
MOST_BY_WEEK: Final = 182
"""So many days and fewer are told week by week, from the first day on."""


def period_of(days: int) -> Period:
    """What a horizon is told by."""
    return "day" if days <= MOST_BY_DAY else "week" if days <= MOST_BY_WEEK else "month"


def periods(start: date, days: int) -> Iterator[tuple[int, int]]:
    """First day of each day, week or calendar month of a horizon, and the day after its last, counted from 0."""
    period = period_of(days)
    if period == "month":
        yield from ((begun, ends) for begun, ends, _ in calendar_months(start, days))
    else:
        step = 1 if period == "day" else 7
        yield from ((begun, min(begun + step, days)) for begun in range(0, days, step))


class MonthFigure(NamedTuple):
    """One figure of a month."""

    name: str
    label: str
    unit: str


MONTH_FIGURES: Final[tuple[MonthFigure, ...]] = (
    MonthFigure("cash", "Cash at the period's end", "currency"),
    MonthFigure("ingots_stock_kg", "Ingots in stock at the period's end", "kg"),
    MonthFigure("weights_stock_kg", "Weights not melted at the period's end", "kg"),
    MonthFigure("cast_kg", "Ingots cast", "kg"),
    MonthFigure("sold_kg", "Ingots sold", "kg"),
    *(MonthFigure(one.name, one.label, "h") for one in MEASURES if one.name in HOURS),
    *(MonthFigure(limit_measure(limit), f"Free hours held back by {label}", "h") for limit, label in LIMITS),
)
"""In the order of an array's last axis."""

_AT: Final = {figure.name: i for i, figure in enumerate(MONTH_FIGURES)}


def months_of(run: Run) -> FloatArray:
    """Every figure of every month; shape (months, figures).

    What lasts belongs to the month in which it began.
    """
    ends = np.array([row.t_h for row in run.months])
    found = np.zeros((ends.size, len(MONTH_FIGURES)))
    for i, row in enumerate(run.months):
        found[i, :3] = row.cash, row.ingots_kg, row.weights_kg
    _add(found, ends, ((m.t_h, _AT["cast_kg"], m.poured_kg) for m in run.melts))
    _add(found, ends, ((s.t_h, _AT["sold_kg"], s.mass_kg) for s in run.sales))
    spent = {what: _AT[name] for name, whats in HOURS.items() for what in whats}
    _add(found, ends, ((h.t_h, spent[h.what], h.end_h - h.t_h) for h in run.hours if h.who == "owner"))
    _add(found, ends, ((one.t_h, _AT[limit_measure(one.limit)], one.hours) for one in run.limits))
    return found


def _add(found: FloatArray, ends: FloatArray, rows: Iterable[tuple[float, int, float]]) -> None:
    """Add (hour, figure, amount) to the months in which the hours lie."""
    those = np.array(list(rows), dtype=np.float64).reshape(-1, 3)
    month = np.minimum(np.searchsorted(ends, those[:, 0], side="right"), ends.size - 1)
    np.add.at(found, (month, those[:, 1].astype(np.int64)), those[:, 2])
