"""What each option brings beside what is done today.

In: a ``Study``. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from typing import Any, Final

import altair as alt

from planner.report.charts.figure import (
    BLUE,
    GREY,
    RED,
    ROW_PX,
    Figure,
    Mark,
    colours,
    data,
    finished,
    option_axis,
)
from planner.report.units import signed
from planner.study import Study

MORE, LESS, UNSURE, REFUSED = "brings more", "brings less", "cannot be told from today", "refused"
_MARKS: Final = (
    Mark(MORE, BLUE, "▶"),
    Mark(LESS, RED, "◀"),
    Mark(UNSURE, GREY, "●"),
    Mark(REFUSED, "#B0B4BA", "✚"),
)
_SHAPES: Final = {MORE: "triangle-right", LESS: "triangle-left", UNSURE: "circle", REFUSED: "cross"}


def draw(study: Study) -> Figure | None:
    """Paired difference of every option with its interval; None where there is nothing to compare with."""
    base, currency = study.subject.base, study.subject.currency
    rows: list[dict[str, Any]] = []
    for name in study.ranked():
        found = study.difference(name, study.findings.measure)
        if name == base or found.mean != found.mean:
            continue
        if study.refusals[name, study.outlooks[0]]:
            told = REFUSED
        else:
            told = MORE if found.low > 0.0 else LESS if found.high < 0.0 else UNSURE
        rows.append(
            {"option": name, "mean": found.mean, "low": found.low, "high": found.high, "told": told}
            if found.low == found.low
            else {"option": name, "mean": found.mean, "low": found.mean, "high": found.mean, "told": UNSURE}
        )
    if not rows:
        return None
    names = [str(row["option"]) for row in rows]
    tip = [
        alt.Tooltip("option:N", title="Option"),
        alt.Tooltip("mean:Q", format=",.0f", title=f"{currency} a year more"),
        alt.Tooltip("low:Q", format=",.0f", title="from"),
        alt.Tooltip("high:Q", format=",.0f", title="to"),
        alt.Tooltip("told:N", title="so it"),
    ]
    bars = alt.Chart(data(rows)).encode(y=option_axis(names), color=colours("told", _MARKS), tooltip=tip)
    title = f"{currency} {study.subject.period} more than {base}"
    spans = bars.mark_rule(strokeWidth=2.5).encode(x=alt.X("low:Q", title=title), x2="high:Q")
    points = bars.mark_point(filled=True, size=75, opacity=1.0).encode(
        x="mean:Q",
        shape=alt.Shape(
            "told:N", scale=alt.Scale(domain=list(_SHAPES), range=list(_SHAPES.values())), legend=None
        ),
    )
    zero = alt.Chart(data([{"at": 0.0}])).mark_rule(color="#22262B", strokeWidth=1).encode(x="at:Q")
    sure = f"{100 * study.subject.confidence:g}"
    return Figure(
        "gains",
        f"What each option brings, beside going on {base}",
        f"Mark: the mean over {study.subject.replicates} worlds, each played both ways, after your hours are priced. "
        f"Line: where it lies; all lines together hold {sure} times in 100. Right of the dark line it pays.",
        finished(zero + spans + points, ROW_PX * len(names)),
        ("Option", f"{currency} {study.subject.period} more", "from", "to", "In words"),
        [
            (
                str(row["option"]),
                signed(row["mean"]),
                signed(row["low"]),
                signed(row["high"]),
                str(row["told"]),
            )
            for row in rows
        ],
        [mark for mark in _MARKS if any(row["told"] == mark.label for row in rows)],
    )
