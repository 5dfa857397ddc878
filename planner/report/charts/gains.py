"""What each option brings beside what is done today.

In: a ``Study``. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from typing import Final

from planner.report.charts.dots import Dot, dots_chart, dots_rows
from planner.report.charts.figure import BLACK, BLUE, GREY, RED, Figure, Mark
from planner.report.phrases import told, too_few
from planner.report.units import signed
from planner.study import Interval, Study

MORE, LESS, UNSURE = "brings more", "brings less", "cannot be told from today"
AFRESH = "in fresh worlds"
_MARKS: Final = (
    Mark(MORE, BLUE, "▶"),
    Mark(LESS, RED, "◀"),
    Mark(UNSURE, GREY, "●"),
    Mark(AFRESH, BLACK, "■"),
)


def draw(study: Study) -> Figure | None:
    """Paired difference of every option with its interval; None where there is nothing to compare with."""
    base = study.subject.base
    found = [
        (name, told(study.difference(name, study.findings.measure)))
        for name in study.allowed()
        if name != base
    ]
    dots = [Dot(name, _told(gain), gain) for name, gain in found if gain.mean == gain.mean]
    fresh = study.fresh
    if fresh is not None:
        dots += [
            Dot(name, AFRESH, fresh.difference(name, study.findings.measure))
            for name, _ in found
            if name in fresh.options
        ]
    if not dots:
        return None
    axis = f"{study.subject.currency} {study.subject.period} more than {base}"
    line = (
        ""
        if too_few(study.subject.replicates)
        else f"Line: where it lies; all coloured lines together hold {100 * study.subject.confidence:g} times in 100. "
    )
    return Figure(
        "gains",
        f"What each option brings, beside going on {base}",
        f"Mark: the mean over {study.subject.replicates} worlds, each played both ways, after your hours are priced. "
        f"{line}Right of the dark line it pays.{_afresh(study)}",
        dots_chart(dots, _MARKS, axis),
        ("Option", "In words", axis, "from", "to"),
        dots_rows(dots, signed),
        [mark for mark in _MARKS if any(dot.told == mark.label for dot in dots)],
    )


def _afresh(study: Study) -> str:
    """What the marks of fresh worlds are, where there are any."""
    if study.fresh is None:
        return ""
    return (
        f" Square: in {study.fresh.worlds} fresh worlds, drawn after the choice was made; a winner's first worlds were "
        "lucky more often than not."
    )


def _told(gain: Interval) -> str:
    return MORE if gain.low > 0.0 else LESS if gain.high < 0.0 else UNSURE
