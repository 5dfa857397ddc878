"""A fit as text for a terminal of 80 columns.

In: a ``Fit``. Out: things that rich prints. Must not know: the terminal itself; it computes nothing.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from pathlib import Path

from rich.console import RenderableType
from rich.text import Text

from planner.fit.backtest import LEAST_FITTED, LEAST_JUDGED
from planner.fit.fitting import Fit
from planner.report.fit_words import (
    BETWEEN,
    HEADS,
    PRIOR,
    read_words,
    row_of,
    summary_words,
    untold_words,
    weak_words,
)
from planner.report.terminal import WIDTH, heading, indented, next_steps, plain_table

_ROOM = 12


def fit_text(fit: Fit, files: Sequence[Path], looking_back: str) -> Iterator[RenderableType]:
    """What was read, a row an estimate, what is weak, what is not told, what to do next."""
    yield heading(f"{fit.scenario.title}: what your records say")
    for sentence in read_words(fit):
        yield indented(sentence)
    if fit.estimates:
        yield Text("")
        yield _table(fit)
        yield indented(f"{BETWEEN} {PRIOR}")
        yield Text("")
        yield indented(summary_words(fit))
    weak = list(weak_words(fit))
    if weak:
        yield Text("")
        yield heading("Told only weakly")
        for sentence in weak:
            yield indented(sentence)
    if fit.untold:
        yield Text("")
        yield heading("Not told")
        for one in fit.untold:
            yield indented(untold_words(one))
    scenarios = [path for path in files if path.suffix in (".yaml", ".yml")]
    pages = [path for path in files if path.suffix == ".html"]
    yield Text("")
    for path in pages:
        yield Text(f"The fits: {path} (open it in a browser; it needs no network)", style="bold")
    for path in scenarios:
        yield Text(f"Your scenario, by your records: {path}", style="bold")
        yield from next_steps(
            (
                f"planner compare {shlex.quote(str(path))}",
                "which option is best now, how sure that is, and what to record next",
            ),
            (
                looking_back,
                f"what the model gets right and wrong; from {LEAST_FITTED + LEAST_JUDGED} weeks of records on",
            ),
        )


def _table(fit: Fit) -> RenderableType:
    rows = [row_of(one) for one in fit.estimates]
    taken = sum(max(len(head), *(len(row[i]) for row in rows)) + 2 for i, head in enumerate(HEADS[1:], 1))
    table = plain_table(
        (HEADS[0], "left"), *((head, "right") for head in HEADS[1:]), name_width=max(_ROOM, WIDTH - taken - 1)
    )
    table.columns[0].no_wrap, table.columns[0].overflow = False, "fold"  # a name is told whole
    for row in rows:
        table.add_row(Text(row[0]), *row[1:])
    return table
