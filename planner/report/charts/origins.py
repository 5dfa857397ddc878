"""Where the values of a business come from, as one bar.

In: ``Origins``. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from typing import Final

import altair as alt

from planner.report.charts.figure import (
    BLUE,
    GREEN,
    ORANGE,
    PALE,
    ROW_PX,
    Figure,
    Mark,
    amounts,
    colours,
    data,
    finished,
)
from planner.scenario.origins import SOURCES, Origins, Source

MARKS: Final[dict[Source, Mark]] = {
    "own records": Mark("own records", GREEN),
    "your word": Mark("your word", BLUE),
    "guess": Mark("guess", ORANGE),
    "default": Mark("default", PALE),
}


def draw(found: Origins) -> Figure:
    """One bar: how many values come from where."""
    counts = found.by_source
    marks = [Mark(f"{mark.label}: {counts[source]}", *mark[1:]) for source, mark in MARKS.items()]
    rows = [
        {"place": place, "source": marks[place].label, "values": counts[source]}
        for place, source in enumerate(SOURCES)
    ]
    chart = (
        alt.Chart(data(rows))
        .mark_bar()
        .encode(
            x=alt.X("values:Q", axis=amounts("values"), stack="zero"),
            color=colours("source", marks),
            order=alt.Order("place:Q"),
            tooltip=[alt.Tooltip("source:N", title="From"), alt.Tooltip("values:Q", title="Values")],
        )
    )
    return Figure(
        "origins-bar",
        "Own records, your word, guess or default",
        "So many values of the business come from each.",
        finished(chart, 2 * ROW_PX),
        ("From", "values"),
        [(source, f"{counts[source]}") for source in SOURCES],
        marks=marks,
    )
