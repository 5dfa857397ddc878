"""A series of metal prices from a CSV file, and the steps between them.

In: a path and the name of a column. Out: ``Prices``; a `ValueError` that begins with `file:line:` where something is
wrong. Must not know: what is fitted to them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import Final

import numpy as np

from planner.scenario.columns import Sheet, read_sheet
from planner.scenario.wording import quoted
from planner.world.parts import BoolArray, FloatArray

LEAST_STEPS: Final = 20
"""Fewer steps than this are refused: little could be told from them (assumed)."""
DAILY_DAYS: Final = 5.0
"""Weekends and holidays between two prices of a daily series; what is longer is a gap (assumed)."""
UNEVEN: Final = 1.25
"""A step may be so many times as long as the usual one; what is longer is a gap (assumed). Months are 28 to 31 days."""
MOST_GAPS_SHARE: Final = 0.2
"""A file with more gaps than this is taken for one without a rhythm (assumed)."""

_DATE: Final = re.compile(r"(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?")
_RHYTHMS: Final = ((1.0, "daily"), (7.0, "weekly"), (30.5, "monthly"), (91.0, "quarterly"), (365.0, "yearly"))


@dataclass(frozen=True, slots=True, eq=False)
class Prices:
    """Prices in order of date.

    Parameters
    ----------
    source : str
        The file's name.
    days : tuple of date
        One a price.
    per_kg : FloatArray
        Prices [currency/kg], all above 0.
    whole : BoolArray
        For each step from one price to the next: is it one step of the series, and no gap in it? Shape (prices - 1,).
    step_days : float
        Mean length of such a step [days].
    """

    source: str
    days: tuple[date, ...]
    per_kg: FloatArray
    whole: BoolArray
    step_days: float

    @property
    def rhythm(self) -> str:
        """The name of the rhythm that comes nearest to the length of a step."""
        return min(_RHYTHMS, key=lambda one: abs(np.log(self.step_days / one[0])))[1]


def read_day(text: str) -> date:
    """A date as 2026-01-31; of a month (2026-01) or a year (2026) its first day."""
    found = _DATE.fullmatch(text)
    try:
        if found:
            return date(int(found[1]), int(found[2] or 1), int(found[3] or 1))
    except ValueError:
        pass
    raise ValueError(f"{quoted(text)} is no date; write 2026-01-31, of a month 2026-01, of a year 2026")


def read_prices(path: Path, column: str) -> Prices:
    """Prices of a file with the columns ``date`` and ``column [currency per mass]``.

    Raises
    ------
    ValueError
        In one sentence.
    """
    sheet = read_sheet(path)
    days, per_kg = sheet.each("date", read_day), sheet.numbers(column, "money/kg")
    rows = [row for row in range(len(days)) if not np.isnan(per_kg[row])]
    for before, row in pairwise(rows):
        if days[row] <= days[before]:
            raise sheet.wrong(
                row, f"{days[row]} comes after {days[before]}; put the rows in order of date, each once"
            )
    for row in rows:
        if per_kg[row] <= 0.0:
            raise sheet.wrong(row, "a price must be above 0; leave the cell empty where there was none")
    return _in_steps(sheet, tuple(days[row] for row in rows), per_kg[rows])


def _in_steps(sheet: Sheet, days: tuple[date, ...], per_kg: FloatArray) -> Prices:
    if len(days) <= LEAST_STEPS:
        words = f"{len(days)} prices are too few to fit anything to; at least {LEAST_STEPS + 1} are needed"
        raise sheet.wrong(None, words)
    gaps = np.diff(np.array([day.toordinal() for day in days], dtype=np.float64))
    usual = float(np.median(gaps))
    longest = DAILY_DAYS if usual < 2.0 else UNEVEN * usual
    whole = (gaps <= longest) & (gaps >= usual / UNEVEN)
    if whole.sum() < max(LEAST_STEPS, (1.0 - MOST_GAPS_SHARE) * gaps.size):
        words = (
            f"the dates have no rhythm: between most of them lie {usual:g} days, but {int((~whole).sum())} of "
            f"{gaps.size} steps are shorter or longer; give a price every day, week, month or year"
        )
        raise sheet.wrong(None, words)
    return Prices(sheet.source, days, per_kg, whole, float(gaps[whole].mean()))
