"""What a look back starts from, what to mind about it, and how far its claims go.

In: a ``Backtest``. Out: sentences. Must not know: where they are shown; it computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Final

from planner.fit.backtest import Backtest
from planner.report.backtest_words import reader_of
from planner.report.month_phrases import day_of
from planner.report.phrases import counted, joined
from planner.report.units import number

ESTIMATES_NAMED: Final = 8
"""So many estimates are named; the rest is counted."""
MATTERS_KG: Final = 1.0
"""A balance that is less off than this is what scales are off (assumed)."""


def minds(found: Backtest) -> tuple[str, ...]:
    """What keeps it from being taken at its word."""
    return tuple(_minds(found))


def _minds(found: Backtest) -> Iterator[str]:
    since = _day(found.second_from)
    for table in found.ended:
        yield (
            f"Mind: nothing is written in {table} from {since} on. If you only stopped writing, what is said of it is "
            "wrong."
        )
    if found.stood.below_nothing_kg >= MATTERS_KG:
        reader = reader_of(found)
        yield (
            f"Mind: until {since} {reader.mass(found.stood.below_nothing_kg, 0)} {reader.mass_unit} more went out than "
            "came in: something was not written down, or the scenario's opening stock is too small."
        )
    if found.failed:
        yield (
            f"Mind: {number(found.failed)} of {counted(found.failed + found.worlds, 'world')} have no result, and do "
            f"not count: {found.failure}."
        )


def starts_from(found: Backtest) -> tuple[str, ...]:
    """Which days, what was fitted, what was there on the day that parts them."""
    reader, stood = reader_of(found), found.stood
    by = [
        f"{reader.mass(kg, 0)} {reader.mass_unit} of {name} "
        f"({'by the records' if name in stood.reckoned else 'as comes of the scenario by then'})"
        for name, kg in (("ingots", stood.ingots_kg), ("weights", stood.weights_kg))
    ]
    grown = [f"{come} of the {name} come by then" for name, come in stood.buyers]
    if stood.shops:
        grown.insert(0, f"found by then: {joined(stood.shops)}")
    return (
        f"Fitted on {_day(found.first_from)} to {_day(found.first_until)}: {_estimates(found.estimates)}.",
        (
            f"Judged on {_day(found.second_from)} to {_day(found.second_until)}, {counted(found.weeks, 'week')}, in "
            f"{counted(found.worlds, 'world')}."
        ),
        f"It starts with {joined(by)}, and with cash as the scenario says.{_sentence(grown)}",
    )


def _sentence(parts: Sequence[str]) -> str:
    text = "; ".join(parts)
    return f" {text[0].upper()}{text[1:]}." if text else ""


def _estimates(names: Sequence[str]) -> str:
    if not names:
        return "nothing was estimated, so it is the scenario as it is written"
    rest = len(names) - ESTIMATES_NAMED
    shown = [*names[:ESTIMATES_NAMED], *([f"{rest} more"] if rest > 0 else [])]
    return f"{counted(len(names), 'estimate')} ({joined(shown)})"


def _day(day: date) -> str:
    return day_of(day.isoformat())


def read_as(found: Backtest) -> str:
    """How far its claims go."""
    sure = 100.0 * found.confidence
    return (
        f"An amount is called wrong where it lies further from the middle of the worlds than any figure does in "
        f"{number(sure)} of 100 worlds held against the others: of a right model something is called wrong in "
        f"{number(100.0 - sure)} looks back of 100. What is called right may still be off by less than these weeks can "
        "show. Nothing of the days foretold is used, not even their weather."
    )
