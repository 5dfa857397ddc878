"""What playing costs, by what there is to play: times, memory, and how people say them.

In: how many of something. Out: seconds, bytes, words. The one home of these figures: fields that count something name
their `Toll`, so that whoever asks for too much reads what it would take, and `planner.study.foresight` adds them up for
a whole study. Knows no field.

Times were measured on one core of a server, plain Python, with businesses like those of tests/study/test_foresight.py:
they tell minutes from days, not minutes from half minutes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

DAY_S: Final = 3e-5
ENQUIRY_S: Final = 3e-5
BUCKET_S: Final = 3e-6
NEED_S: Final = 5e-7
"""Of a run; to draw a world takes each of its days, buckets and needs once more."""
NEED_BYTES: Final = 160
"""A need or a bucket that is drawn: some twenty columns of it (reckoned)."""
RUN_BYTES: Final = 30_000
"""What is kept of a run, and made of it in tables (measured)."""

YEAR_S: Final = 0.02
"""A year of an ordinary business (measured: the example)."""
USUAL_WORLDS: Final = 50
_A_YEAR: Final = 12
"""Buckets that a shop fills, and needs that a buyer has (assumed)."""


@dataclass(frozen=True, slots=True)
class Toll:
    """What one of the things that a field counts costs.

    Parameters
    ----------
    what : str
        What is counted, as in "2,000 people".
    each_s, each_bytes : float
        Of one of them.
    of : str
        Where that is spent.
    besides : str
        What else speaks against so many.
    """

    what: str
    each_s: float
    each_bytes: float
    of: str = "a world"
    besides: str = ""

    def words(self, number: float) -> str:
        """What so many would take."""
        time, memory = lasting(number * self.each_s), in_memory(number * self.each_bytes / 1e6)
        return f"{number:,.0f} {self.what} would take about {time} and {memory} {self.of}{self.besides}"


PEOPLE: Final = Toll("people", _A_YEAR * (2 * NEED_S + ENQUIRY_S), _A_YEAR * NEED_BYTES)
SHOPS: Final = Toll("shops", _A_YEAR * 2 * BUCKET_S, _A_YEAR * NEED_BYTES)
OPTIONS: Final = Toll(
    "options",
    USUAL_WORLDS * YEAR_S,
    USUAL_WORLDS * RUN_BYTES,
    f"in {USUAL_WORLDS} worlds, under each outlook",
)
OUTLOOKS: Final = Toll(
    "outlooks", USUAL_WORLDS * YEAR_S, USUAL_WORLDS * RUN_BYTES, f"in {USUAL_WORLDS} worlds, for each option"
)
WORLDS: Final = Toll("worlds", YEAR_S, RUN_BYTES, "for each option under each outlook")
RUNS: Final = Toll("runs", YEAR_S, RUN_BYTES, "on one processor")
_SO_FAR: Final = ", and nobody knows prices and buyers so far ahead"
YEARS: Final = Toll("years", YEAR_S, 1e6, besides=_SO_FAR)
DAYS: Final = Toll("days", YEAR_S / 365.0, 1e6 / 365.0, besides=_SO_FAR)


def lasting(seconds: float) -> str:
    """A time as people say it."""
    for unit, length, until in (("second", 1.0, 100.0), ("minute", 60.0, 100.0), ("hour", 3600.0, 48.0)):
        if seconds < until * length:
            number = max(1, round(seconds / length))
            return f"{number} {unit}" if number == 1 else f"{number} {unit}s"
    days = seconds / 86400.0
    return f"{days:,.0f} days" if days < 1000.0 else f"{days / 365.0:,.0f} years"


def in_memory(megabytes: float) -> str:
    """Memory as people say it."""
    return f"{max(1.0, megabytes):,.0f} MB" if megabytes < 2000.0 else f"{megabytes / 1000.0:,.0f} GB"
