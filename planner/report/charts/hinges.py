"""How much of what makes the gain vary each input brings about.

In: ``Hinges``. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from planner.report.charts.dots import Dot, dots_chart, dots_rows
from planner.report.charts.figure import BLUE, ORANGE, Figure, Mark
from planner.report.units import number
from planner.study import Interval
from planner.study.hinge import Hinges

ALONE: Final = Mark("alone", BLUE, "●")
TOGETHER: Final = Mark("with what it does together with others", ORANGE, "■")
AXIS: Final = "of 100 parts of how widely the gain varies"


def draw(found: Hinges) -> Figure | None:
    """A row for each input that was taken on, the weightiest first; None where no shares are given."""
    dots = [
        Dot(one.name, mark.label, _of_100(part))
        for one in found.ranked
        if one.shares is not None
        for mark, part in ((TOGETHER, one.shares.total), (ALONE, one.shares.first))
    ]
    if not dots:
        return None
    return Figure(
        "hinges",
        f"What the gain of {found.option} hangs on",
        "All inputs that are shown move within their ranges at once. Mark: the parts of a hundred that an input "
        f"brings about. Line: where that lies {100 * found.subject.confidence:.0f} times in 100.",
        dots_chart(dots, (ALONE, TOGETHER), AXIS, "Input"),
        ("Input", "What", AXIS, "from", "to"),
        dots_rows(dots, number),
        marks=(ALONE, TOGETHER),
    )


def _of_100(part: Interval) -> Interval:
    """What sampling puts below none or above all is drawn as none and all."""
    mean, low, high = (100.0 * min(1.0, max(0.0, one)) for one in (part.mean, part.low, part.high))
    return replace(part, mean=mean, low=low, high=high)
