"""A look back as text that fits a terminal of 80 columns.

In: a ``Backtest``. Out: things that rich prints. Must not know: the terminal itself; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from rich.console import RenderableType
from rich.text import Text

from planner.fit.backtest import Backtest
from planner.report.backtest_asides import minds, read_as, starts_from
from planner.report.backtest_words import answers
from planner.report.month_phrases import day_of
from planner.report.terminal import heading, indented, safety, written


def backtest_text(found: Backtest, files: Sequence[Path]) -> Iterator[RenderableType]:
    """What it starts from, every answer, where the files lie."""
    until = day_of(found.second_until.isoformat())
    yield heading(f"{found.title}, looking back: {day_of(found.second_from.isoformat())} to {until}")
    for sentence in (*starts_from(found), *minds(found)):
        yield indented(sentence, 0)
    yield from safety(found.cautions)
    for one in answers(found):
        yield Text("")
        yield heading(one.question)
        yield indented(one.said)
        for sentence in one.further:
            yield indented(sentence, 4)
    yield Text("")
    yield indented(read_as(found), 0)
    yield from written(files)
