"""How far each input moves the gain, and how much of what makes the gain vary the weightiest bring about.

In: ``Hinges``. Out: ``Figure`` values. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from dataclasses import replace
from math import nan
from typing import Final

from planner.report.charts.dots import Dot, dots_chart, dots_rows
from planner.report.charts.figure import BLUE, GREY, ORANGE, Figure, Mark
from planner.report.units import number
from planner.study import Interval
from planner.study.hinge import Direction, Hinges

MARKS: Final[dict[Direction, Mark]] = {
    "raises": Mark("more of it raises the gain", BLUE, "▶"),
    "lowers": Mark("more of it lowers the gain", ORANGE, "◀"),
    "both": Mark("more of it now raises, now lowers the gain", GREY, "●"),
}
TOGETHER: Final = Mark("alone, and together with the others", BLUE, "■")
PARTS: Final = "parts of a hundred"


def draw_effects(found: Hinges) -> Figure | None:
    """A row for each input that moves the gain, the one that moves it most first; None where nothing does."""
    moved = sorted(
        (one for one in found.hinges if one.effect is not None and one.effect.size > 0.0),
        key=lambda one: -one.effect.size if one.effect else 0.0,
    )
    dots = [
        Dot(one.name, MARKS[one.direction].label, Interval(one.effect.size, nan, nan, found.screened))
        for one in moved
        if one.effect is not None
    ]
    if not dots:
        return None
    marks = [mark for mark in MARKS.values() if any(dot.told == mark.label for dot in dots)]
    axis = f"moves the gain by [{found.subject.currency}]"
    return Figure(
        "hinges",
        f"How far each input moves the gain of {found.option}",
        "By how much the gain moves, on average, when the input goes from one end of its range to the other, wherever "
        "the others stand.",
        dots_chart(dots, marks, axis, "Input"),
        ("Input", "What", axis),
        [row[:3] for row in dots_rows(dots, number)],
        marks=marks,
    )


def draw_shares(found: Hinges) -> Figure | None:
    """A row for each input that was taken on, the weightiest first; None where no shares are given."""
    dots = [
        Dot(one.name, TOGETHER.label, _of_100(one.shares.total))
        for one in found.ranked
        if one.shares is not None
    ]
    if not dots:
        return None
    return Figure(
        "hinges-shares",
        "The weightiest moved at once",
        "All inputs that are shown move within their ranges at once. Mark: of a hundred parts of how widely the gain "
        "then varies, those that an input brings about, alone and together with the others; what several do together "
        f"counts for each of them. Line: where that lies {100 * found.subject.confidence:.0f} times in 100.",
        dots_chart(dots, [TOGETHER], PARTS, "Input"),
        ("Input", "What", PARTS, "from", "to"),
        dots_rows(dots, number),
    )


def _of_100(part: Interval) -> Interval:
    """What sampling puts below none or above all is drawn as none and all."""
    mean, low, high = (100.0 * min(1.0, max(0.0, one)) for one in (part.mean, part.low, part.high))
    return replace(part, mean=mean, low=low, high=high)
