"""Bars of parts, one bar for each option: where hours and kilograms went.

In: a ``Study``. Out: ``Figure`` values. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final, NamedTuple

import altair as alt

from planner.report.charts.figure import (
    BLACK,
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
    Mark,
    amounts,
    colours,
    data,
    finished,
    option_axis,
    rows_px,
)
from planner.report.phrases import reader_of, told, too_few
from planner.report.units import number
from planner.study import Interval, Study


class Part(NamedTuple):
    """One part of a bar."""

    measure: str
    label: str
    colour: str


HOURS: Final = (
    Part("melt_hours_h", "at the pot", RED),
    Part("fetch_hours_h", "fetching", BLUE),
    Part("sort_hours_h", "sorting", YELLOW),
    Part("sell_hours_h", "selling and answering", GREEN),
    Part("other_hours_h", "yard, asking around", GREY),
)
KILOGRAMS: Final = (
    Part("sold_kg", "ingots to casters and anglers", BLUE),
    Part("bulk_kg", "ingots in bulk", SKY),
    Part("post_kg", "ingots by post", PINK),
    Part("yard_lead_kg", "ingots to the yard", ORANGE),
    Part("untouched_kg", "weights to the yard untouched", YELLOW),
    Part("skimmed_kg", "clips, zinc, steel", GREY),
    Part("dross_kg", "dross", BLACK),
    Part("rubbish_kg", "rubbish", PALE),
    Part("put_by_kg", "put by for later", GREEN),
)


def draw_hours(study: Study) -> Figure | None:
    """Hours a week of the owner, by what they were spent on."""
    weeks = study.subject.weeks
    return _stacked(
        study,
        HOURS,
        lambda value: value / weeks,
        "hours",
        ("Your hours of each option", "hours a week"),
        "One bar an option: hours of yours in an average week, by what they were spent on; the mean over all worlds."
        + (
            ""
            if too_few(study.subject.replicates)
            else " The dark line at its end: the interval of that mean."
        ),
        total="hours_h",
    )


def draw_kilograms(study: Study) -> Figure | None:
    """Kilograms a year by where they went."""
    reader = reader_of(study.subject)
    return _stacked(
        study,
        KILOGRAMS,
        reader.mass_value,
        "kilograms",
        ("Where the metal goes", f"{reader.mass_unit} {study.subject.period}"),
        "One bar an option: everything that was fetched, by where it went; the mean over all worlds. A bar to the left "
        "of zero is stock that was used up.",
    )


def _stacked(
    study: Study,
    parts: Sequence[Part],
    shown: Callable[[float], float],
    key: str,
    titles: tuple[str, str],
    how: str,
    total: str | None = None,
) -> Figure | None:
    """``total`` is the measure that a whole bar shows; its interval is drawn at the bar's end."""
    title, axis = titles
    names = [name for name in study.allowed() if study.level(name, parts[0].measure).n]
    found = {(name, part.label): told(study.level(name, part.measure)) for name in names for part in parts}
    there = [part for part in parts if any(abs(found[name, part.label].mean) > 1e-9 for name in names)]
    if not there:
        return None
    rows = []
    for name in names:
        for i, part in enumerate(there):
            low, mean, high = _shown(found[name, part.label], shown)
            rows.append(
                {"option": name, "part": part.label, "value": mean, "low": low, "high": high, "order": i}
            )
    marks = [Mark(part.label, part.colour) for part in there]
    chart: Any = (
        alt.Chart(data(rows))
        .mark_bar(height={"band": 0.72}, stroke="white", strokeWidth=0.6)
        .encode(
            y=option_axis(names),
            x=alt.X("value:Q", stack="zero", axis=amounts(axis)),
            color=colours("part", marks),
            order=alt.Order("order:Q"),
            tooltip=[
                alt.Tooltip("option:N", title="Option"),
                alt.Tooltip("part:N", title="Part"),
                alt.Tooltip("value:Q", format=",.1f", title=axis),
                alt.Tooltip("low:Q", format=",.1f", title="from"),
                alt.Tooltip("high:Q", format=",.1f", title="to"),
            ],
        )
    )
    if total is not None and not too_few(study.subject.replicates):
        ends = [_shown(told(study.level(name, total)), shown) for name in names]
        spans = [
            {"option": name, "low": low, "high": high}
            for name, (low, _, high) in zip(names, ends, strict=True)
        ]
        whole = alt.Chart(data(spans)).mark_rule(color=BLACK, strokeWidth=2)
        chart = chart + whole.encode(
            y=option_axis(names), x=alt.X("low:Q", axis=amounts(axis)), x2=alt.X2("high:Q")
        )
    return Figure(
        key,
        title,
        how,
        finished(chart, rows_px(names)),
        ("Option", *(f"{part.label} (from to)" for part in there)),
        [(name, *(_told(found[name, part.label], shown) for part in there)) for name in names],
        marks,
    )


def _shown(found: Interval, shown: Callable[[float], float]) -> tuple[float, float, float]:
    """Low, mean and high as they are shown; the mean itself where there is no interval."""
    low, high = (found.low, found.high) if found.low == found.low else (found.mean, found.mean)
    return shown(low), shown(found.mean), shown(high)


def _told(found: Interval, shown: Callable[[float], float]) -> str:
    low, mean, high = (number(value, 1) for value in _shown(found, shown))
    return mean if found.mean == 0.0 or found.low != found.low else f"{mean} ({low} to {high})"
