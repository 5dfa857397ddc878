"""A month as text that fits a terminal of 80 columns.

In: a ``Month``. Out: things that rich prints. Must not know: the terminal itself; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from rich.console import RenderableType
from rich.text import Text

from planner.report.month_phrases import day_of
from planner.report.month_words import answers, left_out, minds, read_as, starts_from
from planner.report.terminal import heading, indented, safety, written
from planner.study.month.answers import Month


def month_text(month: Month, files: Sequence[Path]) -> Iterator[RenderableType]:
    """What it starts from, every answer with what it hangs on, where the files lie."""
    yield heading(f"{month.title}: {day_of(month.today.start)} to {day_of(month.today.until)}")
    for sentence in (*starts_from(month), *minds(month)):
        yield indented(sentence, 0)
    yield from safety(month.cautions)
    for one in answers(month):
        yield Text("")
        yield heading(one.question)
        yield indented(one.said)
        for sentence in (*one.further, *(left_out(month) if one.key == "shops" else ())):
            yield indented(sentence, 4)
    yield Text("")
    yield indented(read_as(month), 0)
    yield from written(files)
