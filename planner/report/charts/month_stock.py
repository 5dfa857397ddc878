"""What is in stock from week to week, or month to month, until the season's end.

In: a ``Month``. Out: a ``Figure``, or None where there is no course. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from typing import Any, Final

import altair as alt

from planner.report.charts.figure import BLUE, ORANGE, Figure, Mark, colours, data, finished
from planner.report.charts.time_axis import time_axis
from planner.report.month_phrases import reader_of
from planner.report.phrases import too_few
from planner.report.units import number
from planner.study.month.answers import Month

LEAST: Final = 2
"""Of fewer weeks or months there is no course."""
INGOTS, WEIGHTS = "ingots in stock", "weights waiting, not melted"


def draw(month: Month) -> Figure | None:
    """Ingots and weights at each week's or month's end."""
    course, reader = month.left.course, reader_of(month)
    few = bool(too_few(month.worlds))
    rows: list[dict[str, Any]] = []
    for stock in course:
        for series, found in ((INGOTS, stock.ingots), (WEIGHTS, stock.weights)):
            low, middle, high = (reader.mass_value(kg) for kg in (found.low, found.middle, found.high))
            if middle == middle:
                rows.append({"day": stock.day, "series": series, "low": low, "middle": middle, "high": high})
    if len(course) < LEAST or not rows:
        return None
    period = "month" if len(course[0].day) == len("2026-01") else "week"
    marks = (Mark(INGOTS, BLUE, "━"), Mark(WEIGHTS, ORANGE, "━"))
    unit = reader.mass_unit
    base = alt.Chart(data(rows)).encode(
        x=alt.X("day:O", title=None, axis=time_axis([one.day for one in course])),
        color=colours("series", marks),
        tooltip=[
            alt.Tooltip("day:O", title=period.capitalize()),
            alt.Tooltip("series:N", title="Of"),
            alt.Tooltip("middle:Q", format=",.0f", title="the middle"),
        ],
    )
    band = base.mark_area(opacity=0.2).encode(y=alt.Y("low:Q", title=unit), y2=alt.Y2("high:Q"))
    line = base.mark_line(strokeWidth=2.2, point=alt.OverlayMarkDef(filled=True, size=28)).encode(
        y=alt.Y("middle:Q", title=unit), strokeDash=alt.StrokeDash("series:N", legend=None)
    )
    spread = "" if few else " Band: from one world in ten below to one in ten above."
    return Figure(
        "stock",
        f"Stock at each {period}'s end",
        f"Line: the middle world.{spread} Stock that only grows is metal nobody has asked for yet.",
        finished(line if few else band + line, 200),
        (
            period.capitalize(),
            "Of",
            f"one in ten below [{unit}]",
            f"middle [{unit}]",
            f"one in ten above [{unit}]",
        ),
        [
            (row["day"], row["series"], number(row["low"]), number(row["middle"]), number(row["high"]))
            for row in rows
        ],
        marks,
    )
