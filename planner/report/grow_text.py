"""What to grow first, as text that fits a terminal of 80 columns.

In: a ``Growth``. Out: things that rich prints. Must not know: the terminal itself; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from rich import box
from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from planner.report.grow_words import advice, amount, held_back, units
from planner.report.phrases import AGAIN, counted, ends, reader_of, too_few
from planner.report.terminal import heading, indented, refusal, safety, warnings, written
from planner.report.units import number, signed
from planner.study.growth import Growth, Worth

NAME_WIDTH, UNIT_WIDTH = 19, 20
MARKS: Final = {"more": ">", "unsure": "?", "nothing": " ", "less": "<"}


def growth(found: Growth, files: Sequence[Path]) -> Iterator[RenderableType]:
    """Safety, the table, what could not be tried, what holds back, the answer, where the files lie."""
    yield from warnings(found.warnings)
    yield from safety(found.cautions)
    yield Text("")
    subject = found.subject
    yield heading(f"{subject.title}: {found.option}, {counted(subject.replicates, 'world')}")
    yield _table(found)
    for broken in found.refusals:
        yield indented(f"Refused: {refusal(broken)}")
    if found.left_out:
        yield Text("")
        yield heading("Not tried")
        for left in found.left_out:
            yield indented(f"{left.what}: {left.why}.")
    if found.failures:
        one = found.failures[0]
        yield indented(f"{counted(len(found.failures), 'run')} failed, the first: {one.summary}", 0)
        yield indented(f"{AGAIN}{one.repeat}", 0)
    yield Text("")
    yield indented(held_back(found), 0)
    yield Text("")
    first, *others = advice(found)
    yield Text(first, style="bold")
    yield from (indented(sentence, 0) for sentence in others)
    yield from written(files)


def _table(found: Growth) -> Table:
    """What a little more of each is worth, ranked."""
    subject, reader = found.subject, reader_of(found.subject)
    table = Table(box=box.SIMPLE_HEAD, padding=0, show_edge=False)
    table.add_column(Text("  A little more"), width=NAME_WIDTH, no_wrap=True, overflow="ellipsis")
    for head in ("Worth\nmean", "\nfrom ... to"):
        table.add_column(Text(head), justify="right", no_wrap=True)
    table.add_column(Text("\n for each"), width=UNIT_WIDTH, no_wrap=True, overflow="ellipsis")
    for head in ("\nCosts", "Per\nmoney", "Hours\nlost"):
        table.add_column(Text(head), justify="right", no_wrap=True)
    for one in found.worths:
        _, unit, per_unit = units(one, reader)
        table.add_row(
            Text(f"{MARKS[one.verdict]} {one.name}"),
            signed(one.gain.mean),
            f"{ends(one.gain, '...'):>14}",
            Text(f" {amount(per_unit.mean)} / {unit}"),
            "?" if one.cost is None else number(one.cost),
            _per_money(one),
            number(found.lost_to(one.limit)) if one.limit else "",
            style="bold" if one is found.first else "dim" if one.verdict == "nothing" else "",
        )
    few = too_few(subject.replicates)
    table.caption = Text(
        f"{subject.currency} {subject.period} more, your hours priced, before what it costs: the same worlds played "
        f"with and without; all these ranges together hold {100 * subject.confidence:g} times in 100. > surely brings "
        "more, ? cannot be told from nothing, < surely brings less; others are not worth caring about. Costs: once, as "
        f"an option tells it (?: price unknown). Per money: worth {subject.period} for each unit of money spent. Hours "
        f"lost: free hours {subject.period} lost to this limit.{f' {few}' if few else ''}",
        style="dim",
    )
    table.caption_justify = "left"
    return table


def _per_money(one: Worth) -> str:
    return "" if one.per_money is None else amount(one.per_money.mean)
