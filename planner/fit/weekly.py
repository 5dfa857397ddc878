"""What happened week by week, as an owner's tables tell it: of a real business and of a simulated one alike.

In: records, a day, how many weeks. Out: ``Counts``, and which figures a notebook can tell at all.
Must not know: where the records are from, what is made of them.

A figure is told only where its table is kept: an empty row of a table that is kept means that nothing happened.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from planner.records.records import Records
from planner.records.tables import TABLES

if TYPE_CHECKING:
    from pandas import DataFrame, Series

FloatArray = NDArray[np.float64]
WEEK: Final = 7
ASKED: Final = "asked"
"""The one table whose rows stand for a month, not for their day."""


class Figure(NamedTuple):
    """One figure that is counted.

    Parameters
    ----------
    key : str
        Short name.
    label : str
        In the owner's words.
    unit : str
        ``kg``, ``h``, ``currency``, or empty for a count.
    table : str
        Of records; where it is not kept, the figure is not told.
    period : str
        What it is counted by.
    of : callable
        Its amount in each row of the table.
    """

    key: str
    label: str
    unit: str
    table: str
    period: Literal["week", "month"]
    of: Callable[[DataFrame], Series]


def _money(sales: DataFrame) -> Series:
    """What a sale brought: as it is written, or price times mass."""
    return sales["money"].fillna(sales["price_per_kg"] * sales["sold_kg"])


FIGURES: Final[tuple[Figure, ...]] = (
    Figure("buckets", "buckets fetched", "", "pickups", "week", lambda rows: (rows["bucket_kg"] > 0.0) * 1.0),
    Figure("fetched_kg", "weights fetched", "kg", "pickups", "week", lambda rows: rows["bucket_kg"]),
    Figure("melted_kg", "weights melted", "kg", "melts", "week", lambda rows: rows["weights_kg"]),
    Figure("cast_kg", "ingots cast", "kg", "melts", "week", lambda rows: rows["ingots_kg"]),
    Figure("pot_h", "hours at the pot", "h", "melts", "week", lambda rows: rows["hours_h"]),
    Figure("sold_kg", "ingots sold", "kg", "sales", "week", lambda rows: rows["sold_kg"]),
    Figure("sales_money", "money from sales", "currency", "sales", "week", _money),
    Figure("hours_h", "hours in all", "h", "hours", "week", lambda rows: rows["hours_h"]),
    Figure("turned_away", "asked and did not buy", "", ASKED, "month", lambda rows: rows["did_not_buy"]),
)
"""In the order of the trade: fetched, melted, sold; then hours, and who went away."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Days in a row that are counted: whole weeks from the first day on, and the whole months among them.

    Parameters
    ----------
    start : date
        First day.
    weeks : int
        How many.
    """

    start: date
    weeks: int

    @property
    def end(self) -> date:
        """Last day."""
        return self.start + timedelta(days=WEEK * self.weeks - 1)

    @property
    def week_starts(self) -> tuple[date, ...]:
        """First day of each week."""
        return tuple(self.start + timedelta(days=WEEK * week) for week in range(self.weeks))

    @property
    def months(self) -> tuple[date, ...]:
        """First day of each calendar month that lies in it from its first day to its last."""
        return tuple(_whole_months(self.start, self.end))

    def periods(self, figure: Figure) -> tuple[date, ...]:
        """First day of each period that a figure is counted by."""
        return self.week_starts if figure.period == "week" else self.months


def _whole_months(first: date, last: date) -> Iterator[date]:
    month = first if first.day == 1 else _following(first)
    while _following(month) - timedelta(days=1) <= last:
        yield month
        month = _following(month)


def _following(day: date) -> date:
    """First day of the next month."""
    return (day.replace(day=1) + timedelta(days=32)).replace(day=1)


def span(records: Records) -> tuple[date, date] | None:
    """First and last day on which something was written down; a month's row says nothing of its day."""
    without = {name: frame for name, frame in records.tables.items() if name != ASKED}
    return Records(without).days


def began(records: Records, table: str) -> date | None:
    """The day of the first row of a table; None where there is none."""
    days = records[table][_day_of(table)].dropna()
    return days.min().date() if len(days) else None


def kept(records: Records, before: date) -> tuple[Figure, ...]:
    """Figures whose table has rows before a day."""
    return tuple(
        one for one in FIGURES if (first := began(records, one.table)) is not None and first < before
    )


def counts(records: Records, stretch: Stretch, figures: Iterable[Figure]) -> Mapping[str, FloatArray]:
    """What happened in each week or month.

    Parameters
    ----------
    records : Records
        Rows before and after the stretch do not count.
    stretch : Stretch
        Which weeks.
    figures : iterable of Figure
        Which are wanted.

    Returns
    -------
    mapping of str to FloatArray
        By key, shape (weeks,) or (months,).
    """
    return {one.key: _counted(records[one.table], one, stretch) for one in figures}


def _counted(rows: DataFrame, figure: Figure, stretch: Stretch) -> FloatArray:
    periods = stretch.periods(figure)
    found = np.zeros(len(periods))
    if not len(rows) or not len(periods):
        return found
    days = rows[_day_of(figure.table)].to_numpy().astype("datetime64[D]")
    amounts = np.nan_to_num(figure.of(rows).to_numpy(dtype=np.float64))
    if figure.period == "week":
        at = (days - np.datetime64(stretch.start, "D")).astype(np.int64) // WEEK
        there = ~np.isnat(days)
    else:
        at = (days.astype("datetime64[M]") - np.datetime64(periods[0], "M")).astype(np.int64)
        there = ~np.isnat(days)
    there &= (at >= 0) & (at < len(periods))
    np.add.at(found, at[there], amounts[there])
    return found


def _day_of(table: str) -> str:
    return next(one.key for one in TABLES[table].columns if one.kind == "date")
