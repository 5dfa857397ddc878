"""One lot's way from the shop to its buyers.

In: a ``Picture``. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from typing import Final

import altair as alt

from planner.report.charts.figure import (
    BLACK,
    BLUE,
    GREEN,
    ORANGE,
    RED,
    ROOM,
    SKY,
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
    "melted": "melted",
    "in stock": "ingots in stock",
    "sold": "sold",
    "left over": "not sold",
}
_COLOURS: Final = {
    "fetched": ORANGE,
    "waits": ORANGE,
    "melted": RED,
    "in stock": SKY,
    "sold": BLUE,
    "left over": GREEN,
}


def draw(picture: Picture, reader: Reader) -> Figure | None:
    """Stages in time; None where no lot's metal reached a buyer."""
    if not picture.way:
        return None
    rows = [
        {
            "stage": _ROWS[one.what],
            "start": one.start,
            "end": one.end,
            "mass": one.mass_kg,
            "words": _words(one, reader),
            "long": one.start != one.end,
        }
        for one in picture.way
    ]
    there = [name for what, name in _ROWS.items() if any(one.what == what for one in picture.way)]
    base = alt.Chart(data(rows)).encode(
        y=alt.Y("stage:N", sort=there, title=None, axis=alt.Axis(ticks=False, domain=False)),
        color=colours("stage", [Mark(_ROWS[what], colour) for what, colour in _COLOURS.items()]),
        tooltip=[
            alt.Tooltip("stage:N", title="Stage"),
            alt.Tooltip("words:N", title="What"),
            alt.Tooltip("start:T", format="%d %b %Y %H:%M", title="from"),
            alt.Tooltip("end:T", format="%d %b %Y %H:%M", title="to"),
        ],
    )
    axis = alt.Axis(
        format="%d %b", tickCount=6, labelOverlap="greedy", labelFlush=True, labelBound=True, grid=True
    )
    spells = (
        base.transform_filter("datum.long")
        .mark_bar(height=9, cornerRadius=4)
        .encode(x=alt.X("start:T", title=None, axis=axis, scale=alt.Scale(padding=14)), x2="end:T")
    )
    points = base.mark_point(filled=True, size=80, opacity=1.0, stroke=BLACK, strokeWidth=0.6).encode(
        x="start:T"
    )
    return Figure(
        "way",
        f"One bucket's way from the shop to its buyers: {picture.option}",
        f"Bucket number {picture.lot} of one typical world, {picture.way[0].start[:4]}: fetched, melted, and sold "
        "piece by piece. A dot is a moment, a bar lasts. Ingots of a melt count for its buckets by the mass that each "
        "had in it.",
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
    if one.what == "left over":
        return f"{mass} in stock at the end, or gone to the yard"
    return f"{mass} of {one.alloy} ingots"
