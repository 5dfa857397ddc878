"""One lot's way from the shop to its buyers and the yard.

In: a ``Picture``. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import altair as alt

from planner.report.charts.figure import (
    BLACK,
    BLUE,
    GREEN,
    ORANGE,
    PINK,
    RED,
    ROOM,
    SKY,
    TICK_PX,
    Figure,
    Mark,
    colours,
    data,
    finished,
)
from planner.report.units import Reader, number, signed
from planner.study.picture import Picture, Stage

HOURS_A_DAY: Final = 24.0
_ROWS: Final = {
    "fetched": "fetched",
    "waits": "waits at home",
    "melted": "melted, cast",
    "in stock": "ingots in stock",
    "sold": "sold",
    "to the yard": "to the yard",
    "left over": "not sold",
}
_COLOURS: Final = {
    "fetched": ORANGE,
    "waits": ORANGE,
    "melted": RED,
    "in stock": SKY,
    "sold": BLUE,
    "to the yard": PINK,
    "left over": GREEN,
}


def draw(picture: Picture, reader: Reader) -> Figure | None:
    """Stages in time; None where no lot's metal reached a buyer."""
    if not picture.way:
        return None
    there = {
        what: _row(what, [one for one in picture.way if one.what == what], reader)
        for what in _ROWS
        if any(one.what == what for one in picture.way)
    }
    rows = [
        {
            "stage": there[one.what],
            "start": one.start,
            "end": one.end,
            "mass": one.mass_kg,
            "words": _words(one, reader),
            "long": one.start != one.end,
        }
        for one in picture.way
    ]
    base = alt.Chart(data(rows)).encode(
        y=alt.Y("stage:N", sort=list(there.values()), title=None, axis=alt.Axis(ticks=False, domain=False)),
        color=colours("stage", [Mark(name, _COLOURS[what]) for what, name in there.items()]),
        tooltip=[
            alt.Tooltip("stage:N", title="Stage"),
            alt.Tooltip("words:N", title="What"),
            alt.Tooltip("start:T", format="%d %b %Y %H:%M", title="from"),
            alt.Tooltip("end:T", format="%d %b %Y %H:%M", title="to"),
        ],
    )
    axis = alt.Axis(
        format="%d %b",
        tickCount=alt.expr(f"ceil(width / {TICK_PX})"),
        labelOverlap="greedy",
        labelFlush=True,
        labelBound=True,
        grid=True,
    )
    spells = (
        base.transform_filter("datum.long")
        .mark_bar(height=9, cornerRadius=4)
        .encode(x=alt.X("start:T", title=None, axis=axis, scale=alt.Scale(padding=14)), x2=alt.X2("end:T"))
    )
    points = base.mark_point(filled=True, size=80, opacity=1.0, stroke=BLACK, strokeWidth=0.6).encode(
        x=alt.X("start:T")
    )
    return Figure(
        "way",
        f"One bucket's way from the shop to its buyers: {picture.option}",
        f"Bucket number {picture.lot} of one typical world, {picture.way[0].start[:4]}: fetched, melted, and sold "
        "piece by piece. A dot is a moment, a bar lasts. Beside a name: how much of it in all. Ingots of a melt count "
        "for its buckets by the mass that each had in it.",
        finished(spells + points, 34 * len(there)).properties(padding=ROOM),
        ("When", "What", "In words", f"{reader.mass_unit} of it", reader.currency),
        [
            (
                one.start.replace("T", " "),
                _ROWS[one.what],
                _words(one, reader),
                reader.mass(one.mass_kg),
                signed(one.money, 2) if one.money else number(0),
            )
            for one in picture.way
        ],
    )


def _row(what: str, those: Sequence[Stage], reader: Reader) -> str:
    """A row's name, with how much of the bucket there is in it where that is not the same all the time."""
    if what in ("waits", "in stock"):
        return _ROWS[what]
    return f"{_ROWS[what]} {reader.mass(sum(one.mass_kg for one in those), 0)} {reader.mass_unit}"


def _words(one: Stage, reader: Reader) -> str:
    """A stage in the reader's units."""
    unit, mass = reader.mass_unit, f"{reader.mass(one.mass_kg)} {reader.mass_unit}"
    if one.what == "fetched":
        return f"{mass} from {one.who}"
    if one.what == "waits":
        return f"{number(one.hours_h / HOURS_A_DAY)} days at home"
    if one.what == "melted":
        charged = f"{reader.mass(one.charged_kg)} {unit}"
        return f"{charged} in a melt of {number(one.hours_h, 1)} h: {mass} of {one.alloy} ingots"
    if one.what == "sold":
        return f"{mass} to {one.who} at {reader.per_mass(one.price_per_kg)} a {unit}"
    metal = f"{mass} of {one.alloy} ingots" if one.alloy else f"{mass} of weights as they came"
    if one.what == "to the yard":
        return f"{metal} to the yard at {reader.per_mass(one.price_per_kg)} a {unit}"
    return f"{metal}, still there at the end" if one.what == "left over" else metal
