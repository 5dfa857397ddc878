"""How good and how bad a year may turn out, in words.

In: a ``Spread`` of money after hours. Out: sentences. Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.report.phrases import TOLD_FROM, reader_of
from planner.report.units import number
from planner.study.spread import Spread
from planner.study.study import Subject


def spread_words(found: Spread, subject: Subject) -> Iterator[str]:
    """The middle one, one in ten to either side, the chance of a loss, the worst tenth; nothing of too few worlds."""
    if found.n < TOLD_FROM:
        return
    reader, lost = reader_of(subject), round(found.loss.value * found.n)
    low, high = (number(one.value) for one in (found.p10, found.p90))
    years = "years" if subject.days == 365 else "worlds"
    yield (
        f"Half of all {years} bring more than {reader.money(found.median.value)} {reader.period}, your hours priced; "
        f"one in ten less than {low}, one in ten more than {high}. It loses money in {lost} of {found.n} "
        f"({number(100 * found.loss.low)} to {number(100 * found.loss.high)} in 100)."
    )
    if found.worst_tenth == found.worst_tenth:
        yield f"The worst tenth of the {years} brings {reader.money(found.worst_tenth)} on average (approximately)."
