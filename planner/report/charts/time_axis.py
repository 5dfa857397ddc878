"""Axes of months, or of the weeks or days of a short time, each with its year told once.

In: names of months, such as ``2026-03``, or of days. Out: axes. Must not know: studies, what is drawn along them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any, Final

import altair as alt

from planner.report.charts.figure import GREY

MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
NARROW_PX: Final = 420
"""A chart narrower than this has room for a letter a month, and for fewer of them."""
IN_FULL: Final = 12
"""Of more months or days than this only some are named."""
BY_WEEK, BY_FORTNIGHT = 7, 2
"""Every so many days or weeks is named."""


def time_axis(months: Sequence[str]) -> alt.Axis:
    """Names and, below the first of a year, the year."""
    if len(months[0]) > len("2026-03"):
        return _axis(*_days(months))
    several = len(months) > IN_FULL
    ticks = [month for month in months if _number(month) % 3 == 1] if several else list(months)
    half_years = [month for month in ticks if _number(month) % 6 == 1] if several else ticks
    return _axis(ticks, _labels(half_years, 1), _labels(ticks, 3))


def _axis(ticks: Sequence[str], narrow: Mapping[str, Any], wide: Mapping[str, Any]) -> alt.Axis:
    return alt.Axis(
        labelExpr=by_width(narrow, wide),
        labelAngle=0,
        labelOverlap="greedy",
        values=list(ticks),
        tickColor=GREY,
    )


def _days(days: Sequence[str]) -> tuple[list[str], dict[str, list[str]], dict[str, list[str]]]:
    """Ticks, and days by their number; below the first of a month the month, below the first of all the year too."""
    a_day = len(days) < 2 or date.fromisoformat(days[1]) - date.fromisoformat(days[0]) == timedelta(days=1)
    step = 1 if len(days) <= IN_FULL else BY_WEEK if a_day else BY_FORTNIGHT
    ticks, labels, before = list(days[::step]), dict[str, list[str]](), ""
    for tick in ticks:
        day = date.fromisoformat(tick)
        lines = [str(day.day)]
        if before[:7] != tick[:7]:
            lines.append(MONTHS[day.month - 1])
        if before[:4] != tick[:4]:
            lines.append(tick[:4])
        labels[tick], before = lines, tick
    return ticks, labels, labels


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
