"""Parts of sentences about a month.

In: gains, dates, factors. Out: texts. Must not know: which question they belong to.
"""

from __future__ import annotations

from datetime import date

from planner.report.charts.time_axis import MONTHS
from planner.report.phrases import reach, told
from planner.report.units import Reader, number
from planner.study import Interval
from planner.study.findings import LEAST_REPLICATES
from planner.study.month.answers import Gain, Month


def reader_of(month: Month) -> Reader:
    """Whom a month's numbers are written for."""
    return Reader(month.currency, month.units, "until then")


def day_of(iso: str) -> str:
    """A date in words, such as 7 Mar 2026."""
    day = date.fromisoformat(iso)
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def by(gain: Gain, reader: Reader) -> str:
    """A mean without its sign, and where it lies."""
    return f"{reader.money(abs(gain.more.mean))} ({reach(gain.more, reader)})"


def unsure(gain: Gain, reader: Reader) -> str:
    """A mean that may be on either side, and where it lies."""
    mean = gain.more.mean
    side = f"{reader.money(abs(mean))} {'more' if mean >= 0.0 else 'less'} on average"
    found = told(gain.more)
    return side if found.low != found.low else f"{side}, {reach(found, reader)}"


def worth(gain: Gain, reader: Reader) -> str:
    """What something is worth, on average and where that lies."""
    return f"{reader.money(gain.more.mean)} ({ranged(gain.more, reader)})"


def ranged(found: Interval, reader: Reader) -> str:
    """From where to where, with signs where it may be below nothing."""
    found = told(found)
    if found.low != found.low:
        return f"{reader.money(found.mean)} on average"
    return f"from {number(found.low)} to {reader.money(found.high)}"


def in_worlds(gain: Gain, month: Month) -> str:
    """In how many of the worlds."""
    return f"in {number(gain.share * gain.more.n)} of {gain.more.n} worlds"


def slight(gain: Gain, month: Month) -> bool:
    """Do not even the ends of its range matter to the owner, in enough worlds to say so?"""
    more = gain.more
    return more.n >= LEAST_REPLICATES and max(abs(more.low), abs(more.high)) < month.caring


def per_cent(factor: float) -> str:
    """A price against today's."""
    share = round(100.0 * (factor - 1.0))
    return f"{abs(share)} % {'more' if share > 0 else 'less'}"
