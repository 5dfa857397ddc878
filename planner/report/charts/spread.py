"""How differently one and the same option turns out from world to world.

In: a ``Study``. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from typing import Final

from planner.report.charts.dots import Dot, dots_chart, dots_rows
from planner.report.charts.figure import BLUE, Figure, Mark
from planner.report.phrases import too_few
from planner.report.units import number
from planner.study import Interval, Study

_MIDDLE: Final = Mark("the middle world", BLUE, "●")


def draw(study: Study) -> Figure | None:
    """Median of each option, and where eight worlds of ten lie; None of too few worlds."""
    if too_few(study.subject.replicates):
        return None
    dots = []
    for name in study.allowed():
        found = study.sample.spreads.at(study.row(name), 0)
        if found.n:
            eight = Interval(found.median.value, found.p10.value, found.p90.value, found.n)
            dots.append(Dot(name, _MIDDLE.label, eight))
    if not dots:
        return None
    axis = f"{study.subject.currency} {study.subject.period}, your hours priced"
    return Figure(
        "spread",
        "How good and how bad it may turn out",
        f"Mark: half of the {study.subject.replicates} worlds bring more, half less. Line: one world in ten lies left "
        "of it, one right of it. Left of the dark line money is lost, once your hours are priced.",
        dots_chart(dots, (_MIDDLE,), axis),
        ("Option", "What", axis, "one in ten below", "one in ten above"),
        dots_rows(dots, number),
    )
