"""What a little more of each thing is worth, ranked.

In: a ``Growth``. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

from typing import Final

from planner.report.charts.dots import Dot, dots_chart, dots_rows
from planner.report.charts.figure import BLUE, GREY, PINK, RED, Figure, Mark
from planner.report.grow_words import amount
from planner.report.phrases import reader_of, told, too_few
from planner.report.units import number, signed
from planner.study.growth import Growth, Verdict, Worth

TOLD: Final[dict[Verdict, Mark]] = {
    "more": Mark("surely brings more", BLUE, "▶"),
    "unsure": Mark("cannot be told from nothing", PINK, "●"),
    "nothing": Mark("not worth caring about", GREY, "■"),
    "less": Mark("surely brings less", RED, "◀"),
}


def draw(found: Growth) -> Figure | None:
    """A row for each thing, what surely brings most on top; None where nothing could be tried."""
    dots = [Dot(one.name, TOLD[one.verdict].label, told(one.gain)) for one in found.worths]
    if not dots:
        return None
    reader, subject = reader_of(found.subject), found.subject
    axis = f"{reader.currency} {reader.period}"
    line = (
        ""
        if too_few(subject.replicates)
        else f"Line: where it lies; all lines together hold {100 * subject.confidence:g} times in 100. "
    )
    return Figure(
        "grow",
        f"What a little more of each thing is worth: {found.option}",
        f"Mark: the mean over {subject.replicates} worlds, each played with and without it, after your hours are "
        f"priced and before what it costs. {line}Right of the dark line it pays.",
        dots_chart(dots, tuple(TOLD.values()), axis, "A little more"),
        (
            "A little more",
            "In words",
            axis,
            "from",
            "to",
            "What is tried",
            "For each",
            "Costs",
            "Free hours lost",
        ),
        [
            (*row, one.words, _each(one), _cost(one), number(found.lost_to(one.limit)) if one.limit else "")
            for row, one in zip(dots_rows(dots, signed), found.worths, strict=True)
        ],
        [mark for mark in TOLD.values() if any(dot.told == mark.label for dot in dots)],
    )


def _each(one: Worth) -> str:
    return f"{amount(one.per_unit.mean)} a {one.unit}"


def _cost(one: Worth) -> str:
    return "unknown" if one.cost is None else number(one.cost)
