"""Money of each option, before and after the owner's hours are priced.

In: a ``Study``. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from typing import Final

from planner.report.charts.dots import Dot, dots_chart, dots_rows
from planner.report.charts.figure import BLUE, ORANGE, Figure, Mark
from planner.report.phrases import told, too_few
from planner.report.units import number
from planner.study import Study

_BEFORE: Final = Mark("before your hours are priced", ORANGE, "●")
_AFTER: Final = Mark("after your hours are priced", BLUE, "■")


def draw(study: Study) -> Figure | None:
    """Two marks for each option, each with the interval of its mean."""
    dots = [
        Dot(name, mark.label, told(study.level(name, measure)))
        for name in study.allowed()
        if study.level(name, "profit").n
        for measure, mark in (("profit", _BEFORE), ("profit_after_hours", _AFTER))
    ]
    if not dots:
        return None
    axis = f"{study.subject.currency} {study.subject.period}"
    line = (
        "" if too_few(study.subject.replicates) else "; the line through a mark is the interval of that mean"
    )
    return Figure(
        "money",
        "Money of each option",
        f"Marks: the mean over all worlds{line}. The gap between the two marks is what your hours cost at the price "
        "you set.",
        dots_chart(dots, (_BEFORE, _AFTER), axis),
        ("Option", "Money", axis, "from", "to"),
        dots_rows(dots, number),
        (_BEFORE, _AFTER),
    )
