"""What was foretold and what happened, week by week: one small chart a figure.

In: a ``Backtest``. Out: ``Figure`` values. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from typing import Any, Final

import altair as alt

from planner.fit.backtest import Backtest
from planner.fit.judged import Judged
from planner.fit.weekly import WEEK
from planner.report.backtest_words import reader_of
from planner.report.charts.figure import AGAIN, BLUE, GREY, ORANGE, Figure, Mark, colours, data, finished
from planner.report.charts.time_axis import time_axis
from planner.report.units import Reader, number

FORETOLD, HAPPENED = "foretold: the middle world, and eight of ten", "happened"
MARKS: Final = (Mark(FORETOLD, BLUE, "━"), Mark(HAPPENED, ORANGE, "●"))
HEIGHT_PX: Final = 150
LEAST: Final = 2
"""Of fewer periods there is no course."""


def draw(found: Backtest) -> Iterator[Figure]:
    """A chart for each figure that has a course."""
    reader, told = reader_of(found), set[str]()
    for one in found.judged:
        if len(one.course.starts) >= LEAST:
            figure = _drawn(one, reader)
            yield replace(figure, how=AGAIN) if figure.how in told else figure
            told.add(figure.how)


def value(of: float, one: Judged, reader: Reader) -> float:
    """An amount in the reader's unit."""
    return reader.mass_value(of) if one.unit == "kg" else of


def unit(one: Judged, reader: Reader) -> str:
    """That unit."""
    return {"kg": reader.mass_unit, "currency": reader.currency}.get(one.unit, one.unit)


def _drawn(one: Judged, reader: Reader) -> Figure:
    course, monthly = one.course, one.period == "month"
    name = "%Y-%m" if monthly else "%Y-%m-%d"
    split = course.starts[0]
    earlier = [
        {
            "day": f"{split - timedelta(days=WEEK * (len(one.earlier) - i)):{name}}",
            "series": HAPPENED,
            "happened": value(amount, one, reader),
        }
        for i, amount in enumerate(one.earlier)
    ]
    foretold = [
        {"day": f"{start:{name}}", "series": FORETOLD}
        | {
            key: value(amount, one, reader)
            for key, amount in (("low", low), ("middle", middle), ("high", high))
        }
        for start, low, middle, high in zip(
            course.starts, course.low, course.middle, course.high, strict=True
        )
    ]
    happened = [
        {"day": f"{start:{name}}", "series": HAPPENED, "happened": value(amount, one, reader)}
        for start, amount in zip(course.starts, course.happened, strict=True)
    ]
    title = unit(one, reader) or "number"
    days = [str(row["day"]) for row in (*earlier, *happened)]
    x = alt.X("day:O", title=None, axis=time_axis(days), scale=alt.Scale(domain=days))
    shown = alt.Tooltip("day:O", title=one.period.capitalize())
    base = alt.Chart(data(foretold)).encode(x=x, color=colours("series", MARKS))
    band = base.mark_area(opacity=0.2).encode(y=alt.Y("low:Q", title=title), y2=alt.Y2("high:Q"))
    middle = base.mark_line(strokeWidth=2.0).encode(
        y=alt.Y("middle:Q", title=title), tooltip=[shown, _number("low"), _number("middle"), _number("high")]
    )
    points = (
        alt.Chart(data([*earlier, *happened]))
        .mark_point(filled=True, size=36, opacity=1.0)
        .encode(
            x=x,
            y=alt.Y("happened:Q", title=title),
            color=colours("series", MARKS),
            tooltip=[shown, _number("happened")],
        )
    )
    layers: list[Any] = [band, middle, points]
    if earlier:
        at = alt.Chart(data([{"day": f"{split:{name}}"}]))
        layers.insert(0, at.mark_rule(color=GREY, strokeDash=[4, 3]).encode(x=x))
    before = " Dashed: from here on it is foretold; before it stands the last month." if earlier else ""
    return Figure(
        one.key.replace("_", "-"),
        f"{one.label.capitalize()}, {one.period} by {one.period}",
        f"Points: what happened. Line: the middle world; band: eight of ten.{before}",
        finished(alt.layer(*layers), HEIGHT_PX),
        (
            one.period.capitalize(),
            "happened",
            "one in ten below",
            "middle",
            "one in ten above",
            "happened so far",
            "one in ten below so far",
            "one in ten above so far",
        ),
        [
            (
                f"{start:{name}}",
                *(
                    _written(of, one, reader)
                    for of in (
                        course.happened[i],
                        course.low[i],
                        course.middle[i],
                        course.high[i],
                        one.so_far.happened[i],
                        one.so_far.low[i],
                        one.so_far.high[i],
                    )
                ),
            )
            for i, start in enumerate(course.starts)
        ],
        MARKS,
    )


def _number(field: str) -> alt.Tooltip:
    titles = {"low": "one in ten below", "middle": "the middle", "high": "one in ten above"}
    return alt.Tooltip(f"{field}:Q", title=titles.get(field, field), format=",.1f")


def _written(of: float, one: Judged, reader: Reader) -> str:
    return number(value(of, one, reader), 1 if one.unit == "h" else 0)
