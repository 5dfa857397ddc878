"""A calendar picture: on which days it could be melted, and on which it was.

In: a ``Picture`` of one option in one world. Out: a ``Figure``. Must not know: pages.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date, timedelta
from typing import Any, Final

import altair as alt

from planner.report.charts.figure import (
    AGAIN,
    BLACK,
    RED,
    ROOM,
    SMALL,
    Figure,
    Mark,
    colours,
    data,
    finished,
)
from planner.report.charts.limit_colours import LIMIT_COLOURS, OTHER, USED
from planner.report.charts.time_axis import MONTHS, NARROW_PX, by_width
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
_ROWS: Final = len(_WEEKDAYS) + 1
"""Of a year: one for its number and its months, then one a weekday."""
ROW_PX, WEEK_PX, BESIDE_PX = 17, 24, 70
"""A row's height, the most that a week is wide, and what stands beside the weeks."""
LEAST: Final = len(_WEEKDAYS)
"""Of fewer days there is no calendar [d]."""
A_YEAR: Final = 366
"""Up to so many days lie beside each other, whatever the calendar year [d]."""
IN_FULL: Final = 16
"""So many weeks and fewer have room for whole names on a phone."""
APART: Final = 3
"""Names of months stand so many weeks apart at least."""


def draw(picture: Picture, reader: Reader, key: str, again: bool) -> Figure | None:
    """All years that were played below each other; ``again``: it stands below one that is read alike."""
    if len(picture.days) < LEAST:
        return None
    days = [(date.fromisoformat(row.day), row) for row in picture.days]
    blocks = _blocks([day for day, _ in days])

    def place(day: date) -> tuple[int, int]:
        """Block and week."""
        block = next(i for i, those in enumerate(blocks) if day <= those[-1])
        aligned = date(day.year, 1, 1) if len(blocks) > 1 else blocks[0][0]
        return block, (day - _monday(aligned)).days // 7

    squares: list[dict[str, Any]] = []  # short names: there is one row a day
    for day, row in days:
        block, week = place(day)
        at = block * _ROWS + 1 + day.weekday()
        squares.append({"w": week, "d": at, "s": row.state, "t": _tip(row, day, reader)})
    weeks = max(one["w"] for one in squares) + 1
    names = [name for i, block in enumerate(blocks) for name in _names(i, block, place)]
    there = [state for state in STATES if any(row.state == state for row in picture.days)]
    marks = [Mark(STATES[state], _COLOURS[state]) for state in there]
    return Figure(
        f"calendar-{key}",
        f"When it could be melted, and when it was: {picture.option}",
        AGAIN
        if again
        else "One square a day of one typical world, a column a week. Dark blue: melted. Orange: you were free, but "
        "the weather forbade it. Touch a square for its weather and what was poured.",
        finished(
            _chart(squares, names, marks, there, [block[0].year for block in blocks], weeks),
            _ROWS * len(blocks) * ROW_PX,
        ).properties(padding=ROOM if weeks < APART else 5),
        ("Month", *(STATES[state] for state in there), f"poured [{reader.mass_unit}]"),
        _by_month(picture.days, there, reader),
        marks,
        most_px=BESIDE_PX + WEEK_PX * weeks,
    )


def _chart(
    squares: Sequence[dict[str, Any]],
    names: Sequence[dict[str, Any]],
    marks: Sequence[Mark],
    there: Sequence[DayState],
    years: Sequence[int],
    weeks: int,
) -> Any:
    words = ", ".join(f"'{state}': '{STATES[state]}'" for state in there)
    rows = {i * _ROWS: str(year) for i, year in enumerate(years)} | {
        i * _ROWS + 1 + d: name for i in range(len(years)) for d, name in enumerate(_WEEKDAYS)
    }
    x = alt.X("w:O", scale=alt.Scale(domain=list(range(weeks))), axis=None)
    y = alt.Y(
        "d:O",
        title=None,
        scale=alt.Scale(domain=sorted(rows)),
        axis=alt.Axis(
            labelExpr=by_width(rows, rows),
            labelFontWeight=alt.condition(
                f"datum.value % {_ROWS} == 0", alt.value("bold"), alt.value("normal")
            ),
            labelOverlap=False,
            labelPadding=6,
            ticks=False,
            domain=False,
        ),
    )
    cells = (
        alt.Chart(data(squares))
        .transform_calculate(state=f"({{{words}}})[datum.s]")
        .mark_rect(stroke="white", strokeWidth=1)
        .encode(
            x=x,
            y=y,
            color=colours("state", marks),
            tooltip=[alt.Tooltip("t:N", title="Day"), alt.Tooltip("state:N", title="What became of it")],
        )
    )
    months = (
        alt.Chart(data(names))
        .mark_text(
            align="left",
            fontSize=SMALL,
            color=BLACK,
            text=alt.expr(f"width < {NARROW_PX} && {weeks} > {IN_FULL} ? datum.n : datum.m"),
        )
        .encode(x=x.bandPosition(0), y=y)
    )
    return cells + months


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _blocks(days: Sequence[date]) -> list[list[date]]:
    """Days that lie beside each other: up to a year in one block, of more each calendar year in its own."""
    if len(days) <= A_YEAR:
        return [list(days)]
    return [[day for day in days if day.year == year] for year in sorted({day.year for day in days})]


def _names(
    at: int, block: Sequence[date], place: Callable[[date], tuple[int, int]]
) -> Iterator[dict[str, Any]]:
    """Names of months: where each begins, and at the first day, unless the next name would touch it.

    A block is named by its first year; where another begins, its January tells that.
    """
    found = [(place(day)[1], day) for day in block if day == block[0] or day.day == 1]
    if len(found) > 1 and found[1][0] - found[0][0] < APART:
        found = found[1:]
    for week, day in found:
        other = day.month == 1 and day.year != block[0].year
        wide = MONTHS[day.month - 1] + (f" {day.year}" if other else "")
        yield {"w": week, "d": at * _ROWS, "m": wide, "n": f"’{day:%y}" if other else wide[0]}


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
