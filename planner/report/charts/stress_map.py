"""The best option over two inputs at once.

In: a ``BestMap``. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from typing import Any, Final

import altair as alt

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
    YELLOW,
    Figure,
    Mark,
    data,
    finished,
)
from planner.report.phrases import ends
from planner.report.stress_words import figure, letters
from planner.report.units import signed
from planner.scenario.axis import Axis
from planner.study.stress import BestMap, Cell

CELL_PX: Final = 44
SHOWN: Final = (SKY, ORANGE, YELLOW, PINK, GREEN, BLUE)
"""The paler ones first, since a letter stands on each."""
NONE: Final = Mark("no option has a figure", "#FFFFFF", "□")


def draw(found: BestMap, currency: str, period: str, key: str = "stress-map") -> Figure | None:
    """Cells with a letter and a colour for the best option; None where no option has a figure.

    Parameters
    ----------
    found : BestMap
        Two inputs at once.
    currency, period : str
        Of the scenario; what a figure "a year" stands for.
    key : str
        Short name, used once on a page.
    """
    across, up = found.axes
    letter = letters(found)
    if not letter:
        return None
    colour = {name: SHOWN[n] if n < len(SHOWN) else PALE for n, name in enumerate(letter)}
    rows = [_row(cell, across, up, letter, colour) for cell in found.cells]
    base = alt.Chart(data(rows)).encode(
        x=alt.X(
            "x:O",
            sort=[figure(across, x) for x in found.columns],
            title=_title(across),
            axis=alt.Axis(labelAngle=0, ticks=False, domain=False, labelOverlap="greedy"),
        ),
        y=alt.Y(
            "y:O",
            sort=[figure(up, y) for y in reversed(found.rows)],
            title=_title(up),
            axis=alt.Axis(ticks=False, domain=False),
        ),
        tooltip=[
            alt.Tooltip("x:O", title=across.label),
            alt.Tooltip("y:O", title=up.label),
            alt.Tooltip("option:N", title="best"),
            alt.Tooltip("gain:N", title=f"{currency} {period} more than as today"),
        ],
    )
    cells = base.mark_rect(stroke=GREY, strokeWidth=0.5).encode(color=alt.Color("colour:N", scale=None))
    words = base.mark_text(fontSize=13, color=BLACK).encode(text=alt.Text("letter:N"))
    marks = [Mark(f"{sign} {name}", colour[name]) for name, sign in letter.items()]
    if any(cell.best.option is None for cell in found.cells):
        marks.append(NONE)
    return Figure(
        key,
        f"The best option by {across.label} and {up.label}",
        f"Letter and colour: the option that brings most there, on average over {found.worlds} worlds, after your "
        "hours are priced. ?: the next best cannot be told from it.",
        finished(cells + words, CELL_PX * len(found.rows)).properties(padding=ROOM),
        (across.label, up.label, "best", "surely", f"{currency} {period} more than as today", "from ... to"),
        [
            (
                figure(across, cell.x),
                figure(up, cell.y),
                cell.best.option or "none",
                "yes" if cell.best.sure else "no",
                signed(cell.best.gain.mean),
                ends(cell.best.gain),
            )
            for cell in found.cells
        ],
        marks,
        least_px=120 + 34 * len(found.columns),
    )


def _row(
    cell: Cell, across: Axis, up: Axis, letter: dict[str, str], colour: dict[str, str]
) -> dict[str, Any]:
    name = cell.best.option
    return {
        "x": figure(across, cell.x),
        "y": figure(up, cell.y),
        "option": name or "none",
        "letter": "" if name is None else f"{letter[name]}{'' if cell.best.sure else '?'}",
        "colour": NONE.colour if name is None else colour[name],
        "gain": f"{signed(cell.best.gain.mean)} ({ends(cell.best.gain)})",
    }


def _title(axis: Axis) -> str:
    return f"{axis.label}{f' [{axis.unit}]' if axis.unit else ''}"
