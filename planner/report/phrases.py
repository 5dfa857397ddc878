"""Small phrases that sentences are made of: names in a row, counts, amounts more or less, ranges.

In: names and numbers. Out: parts of sentences. Must not know: what is said with them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import nan

from planner.report.units import Reader, number, signed
from planner.study import Interval
from planner.study.study import Subject

TOLD_FROM = 10
"""Of fewer worlds than this no range is told or drawn: it looks as solid as others, and nobody could use it."""

AGAIN = "Again alone: "
"""The command that plays a failed run again follows, to the end."""

NAMES = 4
"""Options named in one sentence; the rest is counted."""


def reader_of(subject: Subject) -> Reader:
    """Whom a study's numbers are written for."""
    return Reader(subject.currency, subject.units, subject.period)


def beginning(text: str) -> str:
    """A text as a sentence begins with it; what follows, such as a unit, keeps its letters."""
    return f"{text[:1].upper()}{text[1:]}"


def quoted(name: str) -> str:
    """An option's name as a sentence carries it."""
    return f'"{name}"'


def listed(names: Sequence[str]) -> str:
    """Names in a row: "a", "b" and "c"; the first few of many."""
    shown = [quoted(name) for name in names[:NAMES]]
    if len(names) > NAMES:
        return f"{', '.join(shown)} and {len(names) - NAMES} more"
    return joined(shown) or "none"


def joined(those: Sequence[str]) -> str:
    """Parts in a row: a, b and c."""
    return " and ".join(filter(None, [", ".join(those[:-1]), *those[-1:]]))


def counted(count: float, one: str, many: str = "") -> str:
    """A count with its noun: 1 world, 2 worlds."""
    return f"{number(count)} {one if round(count) == 1 else many or f'{one}s'}"


def more(amount: str, is_more: bool, less: str = "less") -> str:
    """An amount that something is more or less by."""
    return f"{amount} {'more' if is_more else less}"


def told(found: Interval) -> Interval:
    """A mean with its range, or without one where it is of too few worlds."""
    return found if found.n >= TOLD_FROM else replace(found, low=nan, high=nan)


def too_few(worlds: int) -> str | None:
    """Why there are no ranges; None where there are."""
    if worlds >= TOLD_FROM:
        return None
    those = f"{counted(worlds, 'world')} {'is' if worlds == 1 else 'are'}"
    return f"{those} too few to say how sure a mean is: ranges are told from {TOLD_FROM} on."


def span(found: Interval, reader: Reader) -> str:
    """Where a difference of money lies, and how that is known."""
    if found.low == found.high:
        return f"the same in each of {counted(found.n, 'world')} played both ways"
    return f"{reach(found, reader)}; the same {counted(found.n, 'world')} played both ways"


def reach(found: Interval, reader: Reader) -> str:
    """Where a difference of money lies, beside a mean that is told without its sign.

    Ends on the same side of zero are told like the mean; where they are not, each says on which side it is.
    """
    if found.low < 0.0 < found.high:
        return f"from {more(reader.money(-found.low), False)} to {more(reader.money(found.high), True)}"
    near, far = sorted((abs(found.low), abs(found.high)))
    return f"from {number(near)} to {reader.money(far)}"


def turned(found: Interval) -> Interval:
    """The same difference seen from the other side."""
    return replace(found, mean=-found.mean, low=-found.high, high=-found.low)


def ends(found: Interval, between: str = "…") -> str:
    """Both ends of an interval with their signs; n/a where there are too few worlds for one."""
    found = told(found)
    return "n/a" if found.low != found.low else f"{signed(found.low)} {between} {signed(found.high)}"


def months(count: float) -> str:
    """A time that is known about: in months, or in years from two on."""
    if count < 1.0:
        return "less than a month"
    if count < 24.0:
        return f"about {counted(round(count), 'month')}"
    return f"about {number(count / 12.0, 1 if count < 60.0 else 0)} years"
