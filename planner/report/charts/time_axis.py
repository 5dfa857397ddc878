"""Axes of months, each with its year told once.

In: names of months, such as ``2026-03``. Out: axes. Must not know: studies, what is drawn along them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

import altair as alt

from planner.report.charts.figure import GREY

MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
NARROW_PX: Final = 420
"""A chart narrower than this has room for a letter a month, and for fewer of them."""
IN_FULL: Final = 12
"""Of more months than this only some are named."""


def time_axis(months: Sequence[str]) -> alt.Axis:
    """Months by their short names; below the first, and below each January, the year."""
    several = len(months) > IN_FULL
    ticks = [month for month in months if _number(month) % 3 == 1] if several else list(months)
    half_years = [month for month in ticks if _number(month) % 6 == 1] if several else ticks
    wide, narrow = _labels(ticks, 3), _labels(half_years, 1)
    return alt.Axis(
        labelExpr=by_width(narrow, wide),
        labelAngle=0,
        labelOverlap="greedy",
        values=ticks,
        tickColor=GREY,
    )


def by_width(narrow: Mapping[Any, Any], wide: Mapping[Any, Any]) -> str:
    """Labels by an axis's values, for a narrow chart and for a wide one, as an expression."""
    return f"(width < {NARROW_PX} ? {_object(narrow)} : {_object(wide)})[datum.value] || ''"


def _labels(ticks: Sequence[str], letters: int) -> dict[str, list[str]]:
    """Lines of each label."""
    return {
        month: [MONTHS[_number(month) - 1][:letters]]
        + ([month[:4]] if _number(month) == 1 or month == ticks[0] else [])
        for month in ticks
    }


def _number(month: str) -> int:
    return int(month[5:7])


def _object(labels: Mapping[Any, Any]) -> str:
    return f"({{{', '.join(f'{name!r}: {label!r}' for name, label in labels.items())}}})"
