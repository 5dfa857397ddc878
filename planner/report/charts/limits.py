"""What held the business back, month by month.

In: a ``Study`` and an option. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from typing import Final

import altair as alt

from planner.report.charts.figure import (
    BLUE,
    GREEN,
    GREY,
    ORANGE,
    PALE,
    PINK,
    RED,
    SKY,
    YELLOW,
    Figure,
    data,
    finished,
    scale,
)
from planner.report.units import number
from planner.study import Study
from planner.study.monthly import Monthly
from planner.workshop.measures import HOURS, LIMITS, limit_measure

USED: Final = "used"
OTHER: Final = "something else"
SHOWN: Final = 6
"""Limits shown by name; the rest is one part."""
_COLOURS: Final = (ORANGE, SKY, PINK, YELLOW, RED, GREEN)


def draw(study: Study, option: str, key: str) -> Figure | None:
    """Free hours of each month: used, or held back by what; None where months are not known."""
    months = study.months
    if months is None:
        return None
    o = study.row(option)
    sums = [
        (float(months.mean[o, :, months.column(limit_measure(limit))].sum()), limit, label)
        for limit, label in LIMITS
    ]
    named = [(limit, label) for total, limit, label in sorted(sums, reverse=True)[:SHOWN] if total > 0.5]
    rows = []
    for m, month in enumerate(months.months):
        parts = _parts(months, o, m, named)
        rows += [
            {"month": month, "part": part, "hours": value, "order": i}
            for i, (part, value) in enumerate(parts.items())
        ]
    if not any(row["hours"] == row["hours"] and row["hours"] for row in rows):
        return None
    colours = [
        (USED, BLUE),
        *((label, colour) for (_, label), colour in zip(named, _COLOURS, strict=False)),
        (OTHER, PALE),
    ]
    bars = (
        alt.Chart(data(rows))
        .mark_bar(stroke="white", strokeWidth=0.5)
        .encode(
            x=alt.X("month:O", title=None, axis=month_axis(months.months)),
            y=alt.Y("hours:Q", title="free hours a month", stack="zero"),
            color=alt.Color("part:N", scale=scale(colours)),
            order=alt.Order("order:Q"),
            tooltip=[
                alt.Tooltip("month:O", title="Month"),
                alt.Tooltip("part:N", title="Free hours"),
                alt.Tooltip("hours:Q", format=",.1f", title="hours"),
            ],
        )
    )
    labels = [name for name, _ in colours]
    return Figure(
        f"limits-{key}",
        f"What held the business back, month by month: {option}",
        "One bar a month: all your free hours. Blue was used; the rest could not be, and the colour says what was in "
        "the way. Means over all worlds.",
        finished(bars, 220),
        ("Month", *labels),
        [
            (month, *(number(_parts(months, o, m, named)[label], 1) for label in labels))
            for m, month in enumerate(months.months)
        ],
    )


def _parts(months: Monthly, o: int, m: int, named: list[tuple[str, str]]) -> dict[str, float]:
    at = months.mean[o, m]
    used = sum(float(at[months.column(name)]) for name in HOURS)
    held = {label: float(at[months.column(limit_measure(limit))]) for limit, label in named}
    every = sum(float(at[months.column(limit_measure(limit))]) for limit, _ in LIMITS)
    return {USED: used} | held | {OTHER: max(0.0, every - sum(held.values()))}


def month_axis(months: tuple[str, ...]) -> alt.Axis:
    """Months by their short names, January with its year."""
    names = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
    words = {month: names[int(month[5:]) - 1] for month in months}
    told = ", ".join(f"'{month}': '{word}'" for month, word in words.items())
    step = 1 if len(months) <= 12 else 3
    return alt.Axis(
        labelExpr=f"({{{told}}})[datum.value]",
        labelAngle=0,
        labelOverlap="greedy",
        values=list(months[::step]),
        tickColor=GREY,
    )
