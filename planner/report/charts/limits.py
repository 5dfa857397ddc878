"""What held the business back, month by month (of a short time by week or day).

In: a ``Study`` and options. Out: ``Figure`` values. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import altair as alt

from planner.report.charts.figure import AGAIN, Figure, Mark, colours, data, finished
from planner.report.charts.limit_colours import OTHER as OTHER_COLOUR
from planner.report.charts.limit_colours import USED as USED_COLOUR
from planner.report.charts.limit_colours import colour_of, place_of
from planner.report.charts.time_axis import time_axis
from planner.report.phrases import too_few
from planner.report.units import number
from planner.study import Study
from planner.study.monthly import HELD, SPENT, Monthly

USED: Final = "used"
OTHER: Final = "something else"
SHOWN: Final = 6
"""Limits shown by name; the rest is one part."""
_HOW: Final = (
    "One bar a {period}: all your free hours. Dark blue was used; the rest could not be, and the colour says what was "
    "in the way, from the bottom up in the order of this key. Means over all worlds."
)
BAR_PX, BESIDE_PX = 82, 60
"""The most that a bar with its gap is wide, and what stands beside the bars."""
LEAST_H: Final = 1.0
"""Fewer hours than this over all that is shown are not worth a name [h]."""


def draw(study: Study, options: Sequence[str]) -> tuple[Figure, ...]:
    """Free hours of each month: used, or held back by what; one chart an option, the same colours in every report."""
    months = study.months
    if months is None:
        return ()
    if too_few(study.subject.replicates):
        months = months.without_ranges()
    held = [
        (float(sum(_sum(study, months, option, name) for option in options)), name, label)
        for name, label in HELD
    ]
    most = [(name, label) for total, name, label in sorted(held, reverse=True)[:SHOWN] if total > LEAST_H]
    named = sorted(most, key=lambda one: place_of(one[1]))
    marks = [
        Mark(USED, USED_COLOUR),
        *(Mark(label, colour_of(label)) for _, label in named),
        *(
            [Mark(OTHER, OTHER_COLOUR)]
            if sum(total for total, *one in held if tuple(one) not in most)
            else []
        ),
    ]
    found = [_draw(months, study.row(option), option, i, named, marks) for i, option in enumerate(options)]
    return tuple(one for one in found if one is not None)


def _sum(study: Study, months: Monthly, option: str, figure: str) -> float:
    total = float(months.mean[study.row(option), :, months.column(figure)].sum())
    return total if total == total else 0.0


def _draw(
    months: Monthly,
    o: int,
    option: str,
    number_of: int,
    named: Sequence[tuple[str, str]],
    marks: Sequence[Mark],
) -> Figure | None:
    parts = [_parts(months, o, m, named) for m in range(len(months.months))]
    rows = [
        {"month": month, "part": part, "hours": value, "order": i}
        for month, those in zip(months.months, parts, strict=True)
        for i, (part, value) in enumerate(those.items())
        if value == value and any(mark.label == part for mark in marks)
    ]
    if not any(row["hours"] for row in rows):
        return None
    bars = (
        alt.Chart(data(rows))
        .mark_bar(stroke="white", strokeWidth=0.5)
        .encode(
            x=alt.X("month:O", title=None, axis=time_axis(months.months)),
            y=alt.Y("hours:Q", title=f"free hours a {months.period}", stack="zero"),
            color=colours("part", marks),
            order=alt.Order("order:Q"),
            tooltip=[
                alt.Tooltip("month:O", title=months.period.capitalize()),
                alt.Tooltip("part:N", title="Free hours"),
                alt.Tooltip("hours:Q", format=",.1f", title="hours"),
            ],
        )
    )
    return Figure(
        f"limits-{number_of}",
        f"What held the business back, {months.period} by {months.period}: {option}",
        AGAIN if number_of else _HOW.format(period=months.period),
        finished(bars, 220),
        (months.period.capitalize(), *(mark.label for mark in marks)),
        [
            (month, *(_told(months, o, m, those, mark.label, named) for mark in marks))
            for m, (month, those) in enumerate(zip(months.months, parts, strict=True))
        ],
        marks,
        most_px=BESIDE_PX + BAR_PX * len(months.months),
    )


def _parts(months: Monthly, o: int, m: int, named: Sequence[tuple[str, str]]) -> dict[str, float]:
    at = months.mean[o, m]
    used = sum(float(at[months.column(name)]) for name in SPENT)
    held = {label: float(at[months.column(name)]) for name, label in named}
    every = sum(float(at[months.column(name)]) for name, _ in HELD)
    return {USED: used} | held | {OTHER: max(0.0, every - sum(held.values()))}


def _told(
    months: Monthly, o: int, m: int, parts: dict[str, float], label: str, named: Sequence[tuple[str, str]]
) -> str:
    """Hours of one part, with the interval of the mean where the part is one figure."""
    text = number(parts[label], 1)
    figure = next((name for name, words in named if words == label), None)
    if figure is None or not parts[label] > 0.0:
        return text
    low, high = (float(ends[o, m, months.column(figure)]) for ends in (months.mean_low, months.mean_high))
    return f"{text} ({number(max(0.0, low), 1)} to {number(high, 1)})" if low == low else text
