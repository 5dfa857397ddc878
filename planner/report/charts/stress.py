"""Options along one input: what each brings beside what is done today, and where they change places.

In: an ``Along`` and whom the numbers are written for. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

import altair as alt
import numpy as np

from planner.report.charts.figure import (
    BLACK,
    BLUE,
    GREEN,
    GREY,
    ORANGE,
    PALE,
    PINK,
    ROOM,
    SKY,
    TODAY,
    Figure,
    Mark,
    amounts,
    colours,
    data,
    finished,
)
from planner.report.phrases import ends, too_few
from planner.report.stress_words import at, figure
from planner.report.units import signed
from planner.scenario.header import AS_TODAY
from planner.study.along import Along, Course
from planner.study.held import NOTHING

HEIGHT_PX: Final = 300
CENTS: Final = 2
SHOWN: Final = (BLUE, ORANGE, GREEN, PINK, SKY)
"""Colours of the options that are looked at; all others are grey."""
OTHERS: Final = "other options"
SAME: Final = Mark("two bring the same", BLACK, "●")
NOW: Final = Mark("as the scenario has it", GREY, "┆")


def draw(along: Along, currency: str, period: str, key: str = "stress") -> Figure | None:
    """Lines with bands; None where nothing can be compared.

    Parameters
    ----------
    along : Along
        One input along its range.
    currency, period : str
        Of the scenario; what a figure "a year" stands for.
    key : str
        Short name, used once on a page.
    """
    axis = along.axis
    named = _named(along)
    few = bool(too_few(along.worlds))
    rows = [row for one in along.courses if one.option != AS_TODAY for row in _rows(along, one, named, few)]
    if not rows:
        return None
    unit = f"{currency} {period} more than {AS_TODAY}"
    marks = [Mark(name, colour, "━") for name, colour in named.items()]
    across = alt.X(
        "x:Q",
        axis=amounts(f"{axis.label}{f' [{axis.unit}]' if axis.unit else ''}"),
        scale=alt.Scale(domain=[axis.low, axis.high], nice=False),
    )

    def lines(those: list[dict[str, Any]], *further: alt.Tooltip) -> Any:
        return alt.Chart(data(those)).encode(
            x=across,
            color=colours("told", marks),
            detail=alt.Detail("option:N"),
            tooltip=[
                alt.Tooltip("option:N", title="Option"),
                alt.Tooltip("at:N", title=axis.label),
                alt.Tooltip("mean:Q", format="+,.0f", title=unit),
                *further,
            ],
        )

    up, zero = (
        alt.Y("mean:Q", title=unit),
        alt.Chart(data([{"y": 0.0}])).mark_rule(color=TODAY, strokeWidth=1),
    )
    layers = [zero.encode(y=alt.Y("y:Q"))]
    if others := [row for row in rows if row["told"] == OTHERS]:
        marks.append(Mark(OTHERS, PALE, "━"))
        layers.insert(0, lines(others).mark_line(strokeWidth=1.2).encode(y=up))
    if ours := [row for row in rows if row["told"] != OTHERS]:
        span = alt.Tooltip("span:N", title="from ... to")
        if not few:
            layers.append(
                lines(ours, span)
                .mark_area(opacity=0.18)
                .encode(y=alt.Y("low:Q", title=unit), y2=alt.Y2("high:Q"))
            )
        layers.append(lines(ours, span).mark_line(strokeWidth=2.4).encode(y=up))
    if axis.today is not None and axis.low <= axis.today <= axis.high:
        now = alt.Chart(data([{"x": axis.today}])).mark_rule(color=GREY, strokeDash=[3, 3])
        layers.append(now.encode(x=alt.X("x:Q")))
        marks.append(NOW)
    if dots := list(_dots(along, named)):
        points = alt.Chart(data(dots)).mark_point(filled=True, size=64, color=BLACK, opacity=1.0)
        layers.append(
            points.encode(x=alt.X("x:Q"), y=alt.Y("y:Q"), tooltip=[alt.Tooltip("words:N", title="the same")])
        )
        marks.append(SAME)
    layered = layers[0]
    for layer in layers[1:]:
        layered = layered + layer
    return Figure(
        key,
        f"What each option brings along {axis.label}",
        f"Line: the mean of {along.worlds} worlds, the same at every point, after your hours are priced. "
        f"{'' if few else 'Band: where it lies, each by itself. '}"
        f"Above the dark line an option brings more than going on {AS_TODAY}.",
        finished(layered, HEIGHT_PX).properties(padding=ROOM),
        (axis.label, *(one.option for one in along.courses if one.option != AS_TODAY)),
        _table(along),
        marks,
    )


def _named(along: Along) -> dict[str, str]:
    """Options that are looked at, each with its colour: the best ones, then those that others are held against."""
    best = [one.option for one in along.best if one.option is not None]
    between = [name for one in along.changes for name in (one.first, one.then)]
    held = [one.against for one in along.break_evens if one.against != NOTHING]
    names = dict.fromkeys((*best, *between, *held))
    names.pop(AS_TODAY, None)
    return dict(zip(names, SHOWN, strict=False))


def _rows(along: Along, one: Course, named: dict[str, str], few: bool) -> Iterator[dict[str, Any]]:
    """A row a point; of options that are not looked at no band, and money to the cent: a page has many of them."""
    for best, gain in zip(along.best, one.gains, strict=True):
        if gain.mean != gain.mean:
            continue
        row = {
            "x": best.x,
            "at": figure(along.axis, best.x),
            "option": one.option,
            "told": one.option if one.option in named else OTHERS,
            "mean": round(gain.mean, CENTS),
        }
        if one.option in named:
            low, high = (gain.mean, gain.mean) if few else (gain.low, gain.high)
            row |= {"low": round(low, CENTS), "high": round(high, CENTS), "span": ends(gain, "...")}
        yield row


def _dots(along: Along, named: dict[str, str]) -> Iterator[dict[str, Any]]:
    """Where an option that is looked at brings the same as today or as another; told ones only."""
    for found in along.break_evens:
        if not {found.option, found.against} <= {AS_TODAY, *named}:
            continue
        for cross in found.crossings:
            if cross.told:
                words = f"{found.option} and {found.against}: {at(along.axis, cross)}"
                yield {"x": cross.at, "y": _height(along, found.option, cross.at), "words": words}
    for change in along.changes:
        if change.crossing.told and (change.first in named or change.then in named):
            words = f"{change.first}, then {change.then}: {at(along.axis, change.crossing)}"
            shown = change.first if change.first in named else change.then
            yield {"x": change.crossing.at, "y": _height(along, shown, change.crossing.at), "words": words}


def _height(along: Along, option: str, x: float) -> float:
    """Where a line of the chart passes."""
    known = [(best.x, gain.mean) for best, gain in zip(along.best, along.course(option).gains, strict=True)]
    there = [(here, mean) for here, mean in known if mean == mean]
    return float(np.interp(x, [here for here, _ in there], [mean for _, mean in there]))


def _table(along: Along) -> list[list[str]]:
    """The same as texts: a row a point."""
    return [
        [
            figure(along.axis, best.x),
            *(
                "n/a"
                if one.gains[p].mean != one.gains[p].mean
                else f"{signed(one.gains[p].mean)} ({ends(one.gains[p])})"
                for one in along.courses
                if one.option != AS_TODAY
            ),
        ]
        for p, best in enumerate(along.best)
    ]
