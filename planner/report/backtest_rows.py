"""A look back as tables: a row a figure for the page, a row a figure and week for a file.

In: a ``Backtest``. Out: rows, as numbers for files and as texts for readers. Must not know: where they are shown.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from planner.fit.backtest import Backtest
from planner.report.backtest_words import amount, reader_of
from planner.report.csv_text import Cell
from planner.report.units import number, signed

HEADS: Final = (
    "Figure",
    "happened",
    "foretold",
    "nine times in ten",
    "inside the band",
    "if right",
    "score against last month",
)


class Row(NamedTuple):
    """One figure in one week or month; kg, h, the scenario's currency, or a count."""

    figure: str
    unit: str
    period: str
    start: str
    happened: float
    low: float
    middle: float
    high: float
    happened_so_far: float
    low_so_far: float
    middle_so_far: float
    high_so_far: float


COLUMNS: Final = Row._fields
"""``low`` and ``high``: one world in ten below and above; ``so_far``: added up from the first week on."""


def cells(found: Backtest) -> Iterator[Sequence[Cell]]:
    """Every week of every figure, for a file."""
    for one in found.judged:
        unit = found.currency if one.unit == "currency" else one.unit
        for i, start in enumerate(one.course.starts):
            of, so_far = (
                (each.happened[i], each.low[i], each.middle[i], each.high[i])
                for each in (one.course, one.so_far)
            )
            yield Row(one.label, unit, one.period, start.isoformat(), *of, *so_far)


def shown(found: Backtest) -> Iterator[tuple[str, ...]]:
    """Every figure, for a reader."""
    reader = reader_of(found)
    for one in found.judged:
        low, high = (amount(end, one, reader) for end in (one.low, one.high))
        weeks, skill = one.weeks, one.skill
        yield (
            one.label,
            amount(one.happened, one, reader),
            amount(one.foretold, one, reader),
            f"{low} … {high}",
            f"{weeks.number} of {weeks.of}",
            f"{number(weeks.expected_low)} … {number(weeks.expected_high)}",
            "" if skill.mean != skill.mean else f"{signed(100 * skill.mean)} %",
        )
