"""What each step of the ladder brings, and all of them so far.

In: a ``Ladder``. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from typing import Final

from planner.report.charts.dots import Dot, dots_chart, dots_rows
from planner.report.charts.figure import BLUE, GREY, ORANGE, Figure, Mark
from planner.report.ladder_words import step_name
from planner.report.units import signed
from planner.study.ladder import Ladder

_STEP: Final = Mark("this step", BLUE, "▶")
_ALTOGETHER: Final = Mark("all steps so far", ORANGE, "■")
_NOT_TAKEN: Final = Mark("looked at next, not taken", GREY, "●")
_MARKS: Final = (_STEP, _ALTOGETHER, _NOT_TAKEN)


def draw(found: Ladder) -> Figure | None:
    """A row a step, from the first down; None where nothing was looked at."""
    dots = []
    for number, rung in enumerate(found.rungs, 1):
        name = f"{number}. {step_name(rung.options)}"
        dots.append(Dot(name, _STEP.label, rung.gain))
        if number > 1:  # of the first both are the same
            dots.append(Dot(name, _ALTOGETHER.label, rung.altogether))
    if found.stop.looked_at is not None:
        rung = found.stop.looked_at
        dots.append(Dot(f"({step_name(rung.options)})", _NOT_TAKEN.label, rung.gain))
    if not dots:
        return None
    axis = f"{found.subject.currency} {found.subject.period} more"
    return Figure(
        "ladder",
        "The ladder: what each step brings on top of those before",
        f"From the top down, in the order in which to take them. Mark: the mean over {found.subject.replicates} "
        "worlds, each played with and without the step, after your hours are priced; line: where it lies. Right of the "
        "dark line it pays.",
        dots_chart(dots, _MARKS, axis),
        ("Step", "What", axis, "from", "to"),
        dots_rows(dots, signed),
        [mark for mark in _MARKS if any(dot.told == mark.label for dot in dots)],
    )
