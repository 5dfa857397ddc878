"""Where the numbers of a scenario come from, in plain sentences and rows.

In: ``Origins``. Out: sentences and rows of texts. Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.report.phrases import counted, joined
from planner.scenario.origins import Origins, Source

COLUMNS: Final = ("Input", "from", "value", "by what")
LABELS: Final[dict[Source, str]] = {
    "own records": "from your records",
    "your word": "your word",
    "guess": "guesses",
    "default": "defaults",
}
LONGEST: Final = 60
"""Of a value in a table."""


def counts_words(found: Origins) -> str:
    """How many values come from where, in one sentence."""
    counts = found.by_source
    parts = [f"{number} {LABELS[source]}" for source, number in counts.items() if number]
    return f"Of {counted(sum(found.counts), 'value')} of the business: {joined(parts)}."


def origin_words(found: Origins) -> Iterator[str]:
    """What that means."""
    counts = found.by_source
    yield counts_words(found)
    if counts["your word"]:
        yield "Your word is what the scenario writes, or a file that it extends: measured, asked or guessed by you."
    if counts["guess"]:
        yield "Guesses are estimates that no record told."
    if counts["default"]:
        yield (
            f"Defaults are the program's, where nothing is written; {found.assumed} of them are assumed or common "
            "practice, without a published source. scenarios/README.md lists every one."
        )


def origin_rows(found: Origins) -> Iterator[tuple[str, ...]]:
    """A row for each value that matters, as ``COLUMNS``: with a range or an estimate, or main to most businesses."""
    for one in found.main:
        if one.value:
            yield one.path, one.source, _short(one.value), one.told


def _short(text: str) -> str:
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"
