"""A calendar picture: on which days it could be melted, and on which it was.

In: a ``Picture`` of one option in one world. Out: ``Figure`` values, one a year. Must not know: pages.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any, Final

import altair as alt

from planner.report.charts.figure import RED, Figure, Mark, colours, data, finished
from planner.report.charts.limit_colours import LIMIT_COLOURS, OTHER, USED
from planner.report.units import Reader, number
from planner.study.picture import STATES, DayRow, DayState, Picture

_COLOURS: Final[dict[DayState, str]] = {
    "melted": USED,
    "broken off": RED,
    "held back": OTHER,
    "busy": "#99C4E0",
    "weather": LIMIT_COLOURS["weather"],
    "dark": LIMIT_COLOURS["daylight"],
    "not free": "#F3F4F6",
}
RAIN_MM: Final = 0.1
"""Less rain in a day than this is not told."""
_WEEKDAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def draw(picture: Picture, reader: Reader, key: str) -> tuple[Figure, ...]:
    """One picture for each calendar year that was played."""
    years = sorted({row.day[:4] for row in picture.days})
    return tuple(
        _year(picture, [row for row in picture.days if row.day[:4] == year], reader, f"{key}-{year}")
        for year in years
    )


def _year(picture: Picture, days: Sequence[DayRow], reader: Reader, key: str) -> Figure:
    first = date.fromisoformat(days[0].day)
    monday = first - timedelta(days=first.weekday())
    rows: list[dict[str, Any]] = []
    labels: dict[int, str] = {}
    for row in days:  # short names: there is one row a day
        day = date.fromisoformat(row.day)
        week = (day - monday).days // 7
        if day.day == 1 or not labels:
            labels[week] = f"{day:%b}"
        rows.append({"w": week, "d": day.weekday(), "s": row.state, "t": _tip(row, day, reader)})
    there = [state for state in STATES if any(row.state == state for row in days)]
    marks = [Mark(STATES[state], _COLOURS[state]) for state in there]
    words = ", ".join(f"'{state}': '{STATES[state]}'" for state in there)
    chart = (
        alt.Chart(data(rows))
        .transform_calculate(state=f"({{{words}}})[datum.s]")
        .mark_rect(stroke="white", strokeWidth=1)
        .encode(
            x=alt.X(
                "w:O", title=None, axis=_axis(labels, "slice(({})[datum.value], 0, width < 420 ? 1 : 3)")
            ),
            y=alt.Y("d:O", title=None, axis=_axis(dict(enumerate(_WEEKDAYS)), "({})[datum.value]")),
            color=colours("state", marks),
            tooltip=[alt.Tooltip("t:N", title="Day"), alt.Tooltip("state:N", title="What became of it")],
        )
    )
    return Figure(
        f"calendar-{key}",
        f"When it could be melted, and when it was: {picture.option}, {days[0].day[:4]}",
        "One square a day of one typical world, a column a week. Dark blue: melted. Orange: you were free, but the "
        "weather forbade it. Touch a square for its weather and what was poured.",
        finished(chart, 7 * 18),
        ("Month", *(STATES[state] for state in there), f"poured [{reader.mass_unit}]"),
        _by_month(days, there, reader),
        marks,
    )


def _axis(labels: dict[int, str], label: str) -> alt.Axis:
    """An axis of numbers that have names."""
    names = ", ".join(f"'{at}': '{name}'" for at, name in labels.items())
    return alt.Axis(
        values=list(labels),
        labelExpr=label.replace("{}", f"{{{names}}}"),
        labelAngle=0,
        labelOverlap="greedy",
        ticks=False,
        domain=False,
    )


def _tip(row: DayRow, day: date, reader: Reader) -> str:
    """A day in words: weather from 8 to 20 o'clock, free hours, what was poured."""
    rain = f", {number(row.rain_mm, 1)} mm rain" if row.rain_mm >= RAIN_MM else ""
    poured = f"; poured {reader.mass(row.poured_kg)} {reader.mass_unit}" if row.poured_kg else ""
    weather = f"{reader.air(row.air_c)}, {reader.wind(row.wind_m_s)}{rain}"
    return f"{day:%d %b}: {weather}; {number(row.free_h, 1)} h free{poured}"


def _by_month(days: Sequence[DayRow], there: Sequence[DayState], reader: Reader) -> list[tuple[str, ...]]:
    """Days of each month by what became of them."""
    months = dict.fromkeys(row.day[:7] for row in days)
    return [
        (
            month,
            *(number(sum(row.day[:7] == month and row.state == state for row in days)) for state in there),
            reader.mass(sum(row.poured_kg for row in days if row.day[:7] == month)),
        )
        for month in months
    ]
