"""Means with their intervals, a row for each option: a mark and a line through it, and a dark line at zero.

In: ``Dot`` values. Out: a chart, and the same as rows of texts. Must not know: studies, pages.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final, NamedTuple

import altair as alt

from planner.report.charts.figure import BLACK, Mark, amounts, colours, data, finished, option_axis, rows_px
from planner.study import Interval

SHAPES: Final = {"●": "circle", "■": "square", "▶": "triangle-right", "◀": "triangle-left"}
"""What a sign is drawn as."""


class Dot(NamedTuple):
    """One mean: of which option, what it tells (the label of a mark), where it lies."""

    option: str
    told: str
    found: Interval
    """Without its ends where they are not to be told."""

    @property
    def ends(self) -> tuple[float, float]:
        """Where its line begins and ends; the mean itself where there is no interval."""
        low, mean, high = self.found.low, self.found.mean, self.found.high
        return (low, high) if low == low else (mean, mean)


def dots_chart(dots: Sequence[Dot], marks: Sequence[Mark], axis: str, of: str = "Option") -> Any:
    """Options from top to bottom in the order in which they first come; ``axis`` is the title of the axis.

    ``of`` is what a row is of, where it is not an option.
    """
    names = list(dict.fromkeys(dot.option for dot in dots))
    rows = [
        {
            "option": dot.option,
            "told": dot.told,
            "mean": dot.found.mean,
            "low": dot.ends[0],
            "high": dot.ends[1],
        }
        for dot in dots
    ]
    base = alt.Chart(data(rows)).encode(
        y=option_axis(names),
        color=colours("told", marks),
        tooltip=[
            alt.Tooltip("option:N", title=of),
            alt.Tooltip("told:N", title="What"),
            alt.Tooltip("mean:Q", format=",.0f", title=axis),
            alt.Tooltip("low:Q", format=",.0f", title="from"),
            alt.Tooltip("high:Q", format=",.0f", title="to"),
        ],
    )
    shapes = alt.Scale(domain=[mark.label for mark in marks], range=[SHAPES[mark.sign] for mark in marks])
    spans = base.mark_rule(strokeWidth=2.2).encode(x=alt.X("low:Q", axis=amounts(axis)), x2=alt.X2("high:Q"))
    points = base.mark_point(filled=True, size=70, opacity=1.0).encode(
        x=alt.X("mean:Q"), shape=alt.Shape("told:N", scale=shapes, legend=None)
    )
    zero = alt.Chart(data([{"at": 0.0}])).mark_rule(color=BLACK, strokeWidth=1).encode(x=alt.X("at:Q"))
    return finished(zero + spans + points, rows_px(names))


def dots_rows(dots: Sequence[Dot], told: Callable[[float], str]) -> list[tuple[str, ...]]:
    """The same as texts: option, what, mean, from, to."""
    return [
        (dot.option, dot.told, *(told(value) for value in (dot.found.mean, dot.found.low, dot.found.high)))
        for dot in dots
    ]
