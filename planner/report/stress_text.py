"""Stress as text that fits a terminal of 80 columns.

In: a ``Stress``. Out: things that rich prints. Must not know: the terminal itself; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from rich import box
from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from planner.report.phrases import AGAIN, ends, too_few
from planner.report.stress_answers import ASKED, answered, asked_of, sentences, standing_asides
from planner.report.stress_words import figure, how_known, letters
from planner.report.terminal import heading, indented, plain_table, safety, warnings, written
from planner.report.units import number, signed
from planner.scenario.axis import Axis
from planner.study.along import Along
from planner.study.stress import BestMap, Stress

NAME_WIDTH: Final = 24
NAME_COLUMN: Final = 1
UNSURE: Final = "?"
"""Behind a best option that the next one cannot be told from."""


def stress_text(stress: Stress, files: Sequence[Path]) -> Iterator[RenderableType]:
    """Tables, sentences, where the files lie."""
    yield from warnings(stress.warnings)
    yield from safety(stress.cautions)
    yield Text("")
    yield heading(stress.subject.title)
    if stress.answers:
        yield from (indented(sentence, 0) for sentence in asked_of(stress))
        for answer in stress.answers:
            yield Text("")
            yield heading(ASKED[answer.question])
            yield from (indented(sentence) for sentence in answered(stress, answer))
        if others := list(standing_asides(stress)):
            yield Text("")
            yield from (indented(sentence, 0) for sentence in others)
    else:
        for along in stress.alongs:
            yield Text("")
            yield heading(f"Along {along.axis.label}")
            yield along_table(along, stress.subject.currency)
            if not all(one.sure for one in along.best if one.option is not None):
                yield indented(f"{UNSURE}: the next best cannot be told from it.", 0)
        if stress.map is not None:
            yield Text("")
            yield map_table(stress.map)
            across, up = map(_input, stress.map.axes)
            yield indented(f"Across: {across}. Up: {up}. {UNSURE}: the next best cannot be told from it.", 0)
        yield Text("")
        yield from (indented(sentence, 0) for sentence in sentences(stress))
    yield Text("")
    yield indented(how_known(stress), 0)
    worlds = stress.map.worlds if stress.map is not None else stress.alongs[0].worlds if stress.alongs else 0
    if few := too_few(worlds):
        yield indented(few, 0)
    for one in stress.failures:
        yield indented(f"FAILED: {one.option}, world {one.replicate}: {one.summary}. {AGAIN}{one.repeat}", 0)
    yield from written(files)


def along_table(along: Along, currency: str) -> Table:
    """A row a point: the best option, and what it brings. Names give way to figures, which are never cut."""
    axis, rows = along.axis, []
    for p, best in enumerate(along.best):
        if best.option is None:
            rows.append((figure(axis, best.x), "none", "", "", ""))
            continue
        name = f"{best.option}{'' if best.sure else f' {UNSURE}'}"
        level, gain = along.course(best.option).levels[p], best.gain
        rows.append((figure(axis, best.x), name, number(level.mean), signed(gain.mean), ends(gain, "...")))
    heads = (axis.unit or "At", "Best there", currency, "More than\nas today", "from ... to")
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False)
    for column, head in enumerate(heads):
        if column == NAME_COLUMN:
            table.add_column(Text(head), max_width=NAME_WIDTH, no_wrap=True, overflow="ellipsis")
            continue
        width = max(len(part) for part in (*head.split("\n"), *(row[column] for row in rows)))
        table.add_column(Text(head), justify="right", no_wrap=True, min_width=width)
    for row in rows:
        table.add_row(*map(Text, row))
    return table


def map_table(found: BestMap) -> Table:
    """A row for each number of the second input, the highest first; a letter for the best option at each place."""
    across, up = found.axes
    table = plain_table(("", "right"), *((figure(across, x), "left") for x in found.columns))
    letter, cells = letters(found), {(cell.x, cell.y): cell.best for cell in found.cells}
    for y in reversed(found.rows):
        row = []
        for x in found.columns:
            best = cells[x, y]
            row.append("-" if best.option is None else f"{letter[best.option]}{'' if best.sure else UNSURE}")
        table.add_row(figure(up, y), *row)
    return table


def _input(axis: Axis) -> str:
    return f"{axis.label} [{axis.unit}]" if axis.unit else axis.label
