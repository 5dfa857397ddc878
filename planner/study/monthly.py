"""Months of a comparison: what each option's months are like over the worlds.

In: figures of every month of every run. Out: ``Monthly``, their means and spread. Must not know: single runs' rows,
how anything is shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

import numpy as np

from planner.study.intervals import FloatArray, intervals
from planner.workshop.measures import HOURS, LIMITS, limit_measure
from planner.workshop.months import MONTH_FIGURES, Period, period_of, periods
from planner.workshop.months import MonthFigure as MonthFigure

SPENT: Final = tuple(HOURS)
"""Figures that count free hours that were used."""

HELD: Final = tuple((limit_measure(limit), label) for limit, label in LIMITS)
"""Figures that count free hours that were not, and what was in the way."""

SPREAD: Final = (0.1, 0.5, 0.9)
"""Shares of the worlds below low, middle and high of a spread."""


@dataclass(frozen=True, slots=True, eq=False)
class Monthly:
    """Figures by month under the outlook in which the choice was made.

    Parameters
    ----------
    months : tuple of str
        Such as ``2026-01``; of a short horizon weeks or days by their first day, such as ``2026-01-05``.
    figures : tuple of MonthFigure
        Name, label, unit.
    mean, mean_low, mean_high : array, shape (options, months, figures)
        Mean over the worlds and its interval, each on its own.
    low, middle, high : array, shape (options, months, figures)
        One world in ten lies below, half of them, nine in ten.
    """

    months: tuple[str, ...]
    figures: tuple[MonthFigure, ...]
    mean: FloatArray
    mean_low: FloatArray
    mean_high: FloatArray
    low: FloatArray
    middle: FloatArray
    high: FloatArray

    @property
    def period(self) -> Period:
        """What the figures are told by."""
        if len(self.months[0]) == len("2026-01"):
            return "month"
        days = [date.fromisoformat(name) for name in self.months[:2]]
        return "week" if days[-1] - days[0] == timedelta(days=7) else "day"

    def without_ranges(self) -> Monthly:
        """The same with means and middles only, where there are too few worlds for more."""
        nothing = np.full_like(self.mean, np.nan)
        return replace(self, mean_low=nothing, mean_high=nothing, low=nothing, high=nothing)

    def column(self, figure: str) -> int:
        """Where a figure stands."""
        return next(i for i, one in enumerate(self.figures) if one.name == figure)


def month_names(start: date, days: int) -> tuple[str, ...]:
    """Calendar months that a horizon touches, in order; of a short horizon its weeks or days."""
    named = "%Y-%m" if period_of(days) == "month" else "%Y-%m-%d"
    return tuple(f"{start + timedelta(days=first):{named}}" for first, _ in periods(start, days))


def monthly(values: FloatArray, months: Sequence[str], confidence: float) -> Monthly:
    """Means and spread over the worlds.

    Parameters
    ----------
    values : array, shape (options, months, figures, replicates)
        nan where a run failed; it does not count.
    months : sequence of str
        Names of the months.
    confidence : float
        Of the intervals of the means.
    """
    found = intervals(values, confidence)
    low, middle, high = _quantiles(values)
    return Monthly(tuple(months), MONTH_FIGURES, found.mean, found.low, found.high, low, middle, high)


def _quantiles(values: FloatArray) -> FloatArray:
    """Spread over the worlds that have a value; nan for an option that has none."""
    found = np.full((len(SPREAD), *values.shape[:-1]), np.nan)
    for o, option in enumerate(values):
        played = ~np.isnan(option).any(axis=(0, 1))
        if played.any():
            found[:, o] = np.quantile(option[..., played], SPREAD, axis=-1)
    return found
