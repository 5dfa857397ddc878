"""What the gain varies with: how much of its spread goes along with each input that is an estimate.

In: a ``Study``. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from math import isnan, nan
from typing import Final

from planner.report.charts.dots import Dot, dots_chart
from planner.report.charts.figure import BLUE, GREY, ORANGE, Figure, Mark
from planner.report.units import number
from planner.report.unknown_words import WORTH, how_read
from planner.study import Interval, Study
from planner.study.unknown import Told

MARKS: Final[dict[Told, Mark]] = {
    "worth it": Mark(WORTH["worth it"], BLUE, "■"),
    "cannot tell": Mark(WORTH["cannot tell"], ORANGE, "▶"),
    "hardly": Mark(WORTH["hardly"], GREY, "●"),
}
PARTS: Final = "parts in 100 of the spread"


def draw(study: Study) -> Figure | None:
    """A row for each estimate, what is most worth knowing first; None where none is one, or worlds are too few."""
    found = study.unknowns
    if found is None:
        return None
    dots = [
        Dot(one.name, MARKS[one.told].label, Interval(100.0 * one.share, nan, nan, found.worlds))
        for one in found.ranked
        if not isnan(one.share)
    ]
    if not dots:
        return None
    marks = [mark for mark in MARKS.values() if any(dot.told == mark.label for dot in dots)]
    return Figure(
        "unknowns",
        f"What the gain of {found.option} varies with",
        how_read(study),
        dots_chart(dots, marks, PARTS, "Input"),
        ("Input", "What", PARTS),
        [(dot.option, dot.told, number(dot.found.mean)) for dot in dots],
        marks=marks,
    )
