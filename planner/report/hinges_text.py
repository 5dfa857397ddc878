"""What the gain of an option hangs on, as text for a terminal of 80 columns.

In: ``Hinges``. Out: things that rich prints. Must not know: the terminal itself; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from rich.console import RenderableType
from rich.text import Text

from planner.report.hinges_words import amount, hinges_words
from planner.report.terminal import heading, indented, plain_table, safety, warnings, written
from planner.report.units import NOTHING, number
from planner.scenario.inputs import FACTORS
from planner.study.hinge import Hinge, Hinges

SIGNS = {"raises": "raises", "lowers": "lowers", "both": "both", "nothing": ""}


def hinges_text(found: Hinges, files: Sequence[Path]) -> Iterator[RenderableType]:
    """Sentences, then a row for each input."""
    yield from warnings(found.warnings)
    yield from safety(found.cautions)
    yield Text("")
    yield heading(f"{found.subject.title}: what the gain of {found.option} hangs on")
    for sentence in hinges_words(found):
        yield indented(sentence)
    yield Text("")
    yield _table(found)
    ends = (
        f"End to end [{found.subject.currency}]: by how much the gain moves, on average, when the input goes from one "
        "end of its range to the other; more: what more of it does to the gain."
    )
    yield indented(ends)
    if found.shared:
        yield indented(
            "Alone: of 100 parts of how widely the gain varies while the inputs with such figures move, those that "
            "this one brings about by itself; with others: together with what it does jointly with them. In brackets "
            f"where that lies, {100 * found.subject.confidence:.0f} times in 100."
        )
    yield from written(files)


def _table(found: Hinges) -> RenderableType:
    shared = [("alone", "right"), ("with others", "right")] if found.shared else []
    table = plain_table(
        ("Input", "left"),
        ("range", "right"),
        ("end to end", "right"),
        ("more", "left"),
        *shared,
        name_width=22,
    )
    for one in found.ranked:
        size = NOTHING if one.effect is None else number(one.effect.size)
        cells: list[RenderableType] = [Text(one.name), range_of(one), size]
        cells.append(SIGNS[one.direction] if one.effect else "")
        if found.shared:
            parts = (one.shares.first, one.shares.total) if one.shares else ()
            cells += [f"{_percent(part.mean)} ({_percent(part.low)}-{_percent(part.high)})" for part in parts]
        table.add_row(*cells)
    return table


def range_of(one: Hinge) -> str:
    """The ends of a range, its unit told once."""
    low, high = amount(one, one.low), amount(one, one.high)
    if one.way in FACTORS:
        return f"x {low.partition(' ')[0]}-{high.partition(' ')[0]}"
    return f"{low.removesuffix(one.unit).rstrip()}-{high}" if one.way == "set" else f"{low} to {high}"


def _percent(share: float) -> str:
    """Of 100 parts; what sampling puts below none or above all is told as none and all."""
    return number(100.0 * min(1.0, max(0.0, share)))
