"""Money of each option, before and after the owner's hours are priced.

In: a ``Study``. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from typing import Any

import altair as alt

from planner.report.charts.figure import (
    BLUE,
    ORANGE,
    ROW_PX,
    Figure,
    Mark,
    colours,
    data,
    finished,
    option_axis,
)
from planner.report.units import number
from planner.study import Study

BEFORE, AFTER = "before your hours are priced", "after your hours are priced"
_FIGURES = (("profit", BEFORE), ("profit_after_hours", AFTER))


def draw(study: Study) -> Figure | None:
    """Two marks for each option, each with the interval of its mean."""
    currency = study.subject.currency
    rows: list[dict[str, Any]] = []
    names = [name for name in study.ranked() if study.level(name, "profit").n]
    for name in names:
        for measure, told in _FIGURES:
            found = study.level(name, measure)
            low, high = (found.low, found.high) if found.low == found.low else (found.mean, found.mean)
            rows.append({"option": name, "mean": found.mean, "low": low, "high": high, "told": told})
    if not rows:
        return None
    marks = (Mark(BEFORE, ORANGE, "●"), Mark(AFTER, BLUE, "■"))
    base = alt.Chart(data(rows)).encode(
        y=option_axis(names),
        color=colours("told", marks),
        tooltip=[
            alt.Tooltip("option:N", title="Option"),
            alt.Tooltip("told:N", title="Money"),
            alt.Tooltip("mean:Q", format=",.0f", title=f"{currency} {study.subject.period}"),
            alt.Tooltip("low:Q", format=",.0f", title="from"),
            alt.Tooltip("high:Q", format=",.0f", title="to"),
        ],
    )
    spans = base.mark_rule(strokeWidth=2).encode(
        x=alt.X("low:Q", title=f"{currency} {study.subject.period}"), x2="high:Q"
    )
    shape = alt.Shape(
        "told:N", scale=alt.Scale(domain=[BEFORE, AFTER], range=["circle", "square"]), legend=None
    )
    points = base.mark_point(filled=True, size=60, opacity=1.0).encode(x="mean:Q", shape=shape)
    zero = alt.Chart(data([{"at": 0.0}])).mark_rule(color="#22262B", strokeWidth=1).encode(x="at:Q")
    return Figure(
        "money",
        "Money of each option",
        "Marks: the mean over all worlds; the line through a mark is the interval of that mean. The gap between the "
        "two marks is what your hours cost at the price you set.",
        finished(zero + spans + points, ROW_PX * len(names)),
        ("Option", "Money", f"{currency} {study.subject.period}", "from", "to"),
        [
            (
                str(row["option"]),
                str(row["told"]),
                number(row["mean"]),
                number(row["low"]),
                number(row["high"]),
            )
            for row in rows
        ],
        marks,
    )
