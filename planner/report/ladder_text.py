"""The ladder as text that fits a terminal of 80 columns.

In: a ``Ladder``. Out: things that rich prints. Must not know: the terminal itself; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from rich import box
from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from planner.report.ladder_words import answer, asides, step_name, step_words, stop_here
from planner.report.phrases import ends
from planner.report.terminal import WIDTH, heading, indented, safety, warnings, written
from planner.report.units import number, signed
from planner.study.ladder import Ladder, Rung, Standing

LEAST_NAME_WIDTH: Final = 8


def ladder_text(found: Ladder, files: Sequence[Path]) -> Iterator[RenderableType]:
    """Safety, the table of steps, each step with where to stop, what was set aside, the answer."""
    yield from warnings(found.warnings)
    yield from safety(found.cautions)
    yield Text("")
    yield heading(f"{found.subject.title}: the ladder")
    if found.stop.reason != "refused":
        yield _table(found)
    if found.rungs:
        yield Text("")
        yield indented(stop_here(found, 0), 0)
    for row in range(len(found.rungs)):
        first, *others = step_words(found, row)
        yield Text("")
        yield Text(first)
        yield from (indented(words, 3) for words in others)
    yield Text("")
    for words in asides(found):
        yield indented(words, 0)
    first, *others = answer(found)
    yield Text("")
    yield Text(first, style="bold")
    yield from (indented(words, 0) for words in others)
    yield from written(files)


def _table(found: Ladder) -> Table:
    """Today, the steps, and the one that was looked at last; names give way to figures where it gets narrow."""
    heads = ("Cost", "Left", "Brings", "from ... to", "Al-\ntogether", "Hours\na week", "Lead\nhours")
    rows: list[tuple[str, tuple[str, ...], str]] = [
        (f"  {found.subject.base}", ("", number(found.sum), "", "", "", *_standing(found.today)), "")
    ]
    rows += [
        (f"{n} {step_name(rung.options)}", _cells(rung), "bold") for n, rung in enumerate(found.rungs, 1)
    ]
    if found.stop.looked_at is not None:
        rung = found.stop.looked_at
        rows.append((f"- {step_name(rung.options)}", _cells(rung), "dim"))
    widths = [
        max(map(len, (*head.split("\n"), *(cells[i] for _, cells, _ in rows))))
        for i, head in enumerate(heads)
    ]
    for_names = max(LEAST_NAME_WIDTH, WIDTH - sum(widths) - len(widths) - 1)
    table = Table(box=box.SIMPLE_HEAD, padding=0, show_edge=False)
    table.add_column(Text("  Step"), min_width=for_names, max_width=for_names)
    for head, width in zip(heads, widths, strict=True):
        table.add_column(Text(head), justify="right", no_wrap=True, min_width=width)
    for name, cells, style in rows:
        text = Text(name)
        text.truncate(for_names, overflow="ellipsis")
        table.add_row(text, *cells, style=style)
    subject = found.subject
    table.caption = Text(
        f"{subject.currency} {subject.period}, your hours priced at {number(found.hour_price, 2)} an hour. Brings: "
        "beside the steps before; altogether: beside going on as today. Hours and lead hours (exposed to lead) are "
        "those of the business with this step. -: looked at next, and not taken.",
        style="dim",
    )
    table.caption_justify = "left"
    return table


def _cells(rung: Rung) -> tuple[str, ...]:
    return (
        number(rung.cost),
        number(rung.left),
        signed(rung.gain.mean),
        ends(rung.gain, "..."),
        signed(rung.altogether.mean),
        *_standing(rung.after),
    )


def _standing(one: Standing) -> tuple[str, str]:
    return number(one.hours_a_week, 1), number(one.exposure_h)
