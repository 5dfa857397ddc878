"""What every chart of the report has in common: a title, a line that says how to read it, the same as a table, a look.

In: marks drawn by one of the modules beside this one. Out: ``Figure``. Must not know: studies, pages.

Colours are told apart by people who are colour-blind (Okabe and Ito 2008, "Color universal design"), and what matters
is told by shape or words too.
"""

from __future__ import annotations

import json
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

import altair as alt
from altair.utils.schemapi import debug_mode

BLUE, ORANGE, GREEN, RED = "#0072B2", "#E69F00", "#009E73", "#D55E00"
SKY, PINK, YELLOW, GREY, BLACK = "#56B4E9", "#CC79A7", "#F0E442", "#8A8F98", "#22262B"
PALE: Final = "#DADDE2"

TODAY, AHEAD = BLACK, BLUE
"""What is done today, and the option that is advised or ahead."""

ROOM: Final = {"left": 5, "top": 5, "right": 28, "bottom": 5}
"""Around a chart whose last name reaches beyond its last column [px]."""

AGAIN: Final = "Read it like the one above."
"""How to read the second of two that are alike: what was told once is not told again."""

SMALL: Final = 12
ROW_PX: Final = 22
"""Height of one row of a chart that has a row for each option [px]."""
TWO_LINES_PX: Final = 32
"""The same where a name takes two lines [px]."""
LINE_LETTERS: Final = 18
"""Of a name on one line."""


TICK_PX: Final = 80
"""From one number of an axis to the next, about [px]."""


QUICKLY: Final = debug_mode(False)
"""Within it charts are drawn in half the time: altair holds none of their parts against its schema, as tests do."""


class Mark(NamedTuple):
    """What a colour and a shape stand for."""

    label: str
    colour: str
    sign: str = "■"


@dataclass(frozen=True, slots=True)
class Figure:
    """One chart with everything that belongs to it.

    Parameters
    ----------
    key : str
        Short name, used once on a page.
    title : str
        What it shows, in a few words.
    how : str
        One line that says how to read it.
    chart : alt.Chart or alt.LayerChart
        As wide as the place that it is put in.
    columns, rows : sequence
        The same as a table of texts.
    marks : sequence of Mark
        What colours and shapes stand for; empty where the chart says so itself.
    least_px : int
        Narrower than this it is scrolled sideways.
    most_px : int
        Wider than this it is not drawn; 0: as wide as its place.
    """

    key: str
    title: str
    how: str
    chart: Any
    columns: Sequence[str]
    rows: Sequence[Sequence[str]]
    marks: Sequence[Mark] = ()
    least_px: int = 0
    most_px: int = 0


def data(rows: Sequence[dict[str, Any]]) -> alt.Data:
    """Rows as a chart holds them: a tuple, as altair copies lists whenever a chart gains a part."""
    return alt.Data(values=tuple(rows))  # type: ignore[no-untyped-call]


def finished(chart: Any, height_px: int) -> Any:
    """The look of the house: as wide as its place, quiet lines, readable letters."""
    return (
        chart.properties(width="container", height=height_px, background="transparent")
        .configure(font="system-ui, -apple-system, 'Segoe UI', Roboto, 'Liberation Sans', Arial, sans-serif")
        .configure_view(stroke=None)
        .configure_axis(
            labelFontSize=SMALL,
            titleFontSize=SMALL,
            titleFontWeight="normal",
            labelColor=BLACK,
            titleColor=BLACK,
            gridColor=PALE,
            domainColor=GREY,
            tickColor=GREY,
            labelLimit=128,
        )
    )


def option_axis(names: Sequence[str]) -> alt.Y:
    """A row for each option, in this order; long names are broken over two lines."""
    lines = [lines_of(name) for name in names]
    axis = alt.Axis(ticks=False, domain=False, labelPadding=6)
    if any(len(one) > 1 for one in lines):
        axis.labelExpr = f"{json.dumps(lines)}[indexof({json.dumps(list(names))}, datum.label)]"
    return alt.Y("option:N", sort=list(names), title=None, axis=axis)


def lines_of(name: str) -> list[str]:
    """A name in the lines in which it stands beside its row, two at most."""
    return textwrap.wrap(name, LINE_LETTERS, max_lines=2, placeholder=" …") or [name]


def rows_px(names: Sequence[str]) -> int:
    """Height of a chart that has a row for each of these names."""
    return len(names) * (TWO_LINES_PX if any(len(lines_of(name)) > 1 for name in names) else ROW_PX)


def amounts(title: str) -> alt.Axis:
    """An axis of amounts, a number every so many pixels: few on a phone."""
    return alt.Axis(title=title, tickCount=alt.expr(f"ceil(width / {TICK_PX})"))


def colours(field: str, marks: Sequence[Mark]) -> alt.Color:
    """Colours by name; what they stand for is told beside the chart, where it can wrap."""
    names, found = [mark.label for mark in marks], [mark.colour for mark in marks]
    return alt.Color(f"{field}:N", scale=alt.Scale(domain=names, range=found), legend=None)
