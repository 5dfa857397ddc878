"""What is unlikely in the rows of a table: told and kept.

In: rows that are possible. Out: remarks on what lies far from the owner's other rows and beyond what is usual in the
trade, on days out of order, on months without a row. Must not know: how a cell was written, what is impossible.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import pairwise
from math import exp, inf, isnan, log, nan
from statistics import median
from typing import Any, Final, NamedTuple

from planner.records.cells import counted_in
from planner.records.numbers import short
from planner.records.records import Remark
from planner.records.rows import LEFT_OUT, Row, Rows
from planner.records.tables import Column
from planner.scenario.units import parse

KEPT: Final = "kept"


class Bounds(NamedTuple):
    """From where to where; the lower end belongs to it only if ``least`` says so."""

    low: float
    high: float
    least: bool = True

    def holds(self, value: float) -> bool:
        """Does a value lie inside?"""
        return (value >= self.low if self.least else value > self.low) and value <= self.high


PLAUSIBLE: Final[Mapping[str, Bounds]] = {
    "melts.weights": Bounds(
        2.0, 120.0
    ),  # assumed: what still fitted on a pot that froze; two buckets in a large pot
    "melts.ingots": Bounds(3.0, 80.0),  # 18 to 40 a bucket: common practice; two of them
    "melts.hours": Bounds(0.5, 14.0),  # 1 to 11 at the stove: common practice; hauling out and packing away
    "melts.fuel": Bounds(0.3, 4.0),  # 0.7 to 2 a bucket: common practice; two of them
    "melts.air": Bounds(-25.0, 45.0),  # assumed
    "melts.wind": Bounds(0.0, 20.0),  # assumed
    "sales.sold": Bounds(0.2, 300.0),  # assumed: from some sinkers to a bulk buyer
    "sales.time": Bounds(0.05, 4.0),  # assumed
    "pickups.bucket": Bounds(10.0, 90.0),  # 20 L of loose weights, from a fifth full up: assumed
    "hours.hours": Bounds(0.05, 14.0),  # assumed
    "yard.mass": Bounds(0.1, 1500.0),  # assumed
}
"""Beyond these a number deserves distrust (common practice, no published source, where not assumed)."""
COMPARED_BY: Final[Mapping[str, tuple[str, ...]]] = {
    "sales.price": ("buyers", "alloy"),
    "yard.price": ("good",),
}
"""Prices have no usual range in every currency; they are compared with the others of their kind alone."""
FAR: Final = 5.0
"""So many scaled median absolute deviations from the median, on a log scale, are far (assumed)."""
MAD_TO_SD: Final = 1.4826
"""Of a normal distribution."""
LEAST_MAD: Final = 0.05
"""Numbers that are all alike would make the next one far; a twentieth is no deviation (assumed)."""
ENOUGH: Final = 5
"""With fewer others nothing is far from them (assumed)."""
SOME: Final = 2
"""So many others say at least what a number may have been meant to be."""
PRICE_TIMES: Final = 1.8
"""A price within so many times the others, or one over so many, is no slip (assumed)."""
POUND_KG: Final = parse("1 lb", "kg")
SLIPS: Final = (
    (1.0 / POUND_KG, 0.12, "pounds written as kg"),
    (POUND_KG, 0.12, "kg written as pounds"),
    (10.0, 0.35, "a decimal point missing"),
    (0.1, 0.35, "a decimal point too far left"),
)
"""Slips of the pen: by how much they multiply, how near that must be, in words; a price is told otherwise."""
YEARS_APART: Final = 2
"""Nobody stops writing for so long and then goes on in the same tables (assumed)."""
REGULAR: Final = ("melts", "sales", "pickups", "asked")
"""Tables in which a month without a row is told."""


def unlikely(read: Rows, rows: Sequence[Row], currency: str | None) -> None:
    """Tell what is unlikely in the rows that are kept of a table."""
    _outliers(read, rows, currency)
    _order(read, rows)
    _gaps(read, rows)


def numbers_of(read: Rows) -> Iterator[tuple[str, Column]]:
    """Columns that hold numbers, with table and name."""
    for column in read.table.columns:
        if column.kind in ("mass", "duration", "money", "price", "temperature", "speed"):
            yield f"{read.table.name}.{column.name}", column


def in_words(value: float, column: Column, currency: str | None) -> str:
    """A number with its unit, for a remark."""
    return f"{short(value)} {counted_in(column.kind, currency)}".rstrip()


def _outliers(read: Rows, rows: Sequence[Row], currency: str | None) -> None:
    for name, column in numbers_of(read):
        usual = PLAUSIBLE.get(name)
        if usual is None and name not in COMPARED_BY:
            continue
        groups = defaultdict[Any, list[Row]](list)
        for row in rows:
            value = row.get(column.key, nan)
            if not isnan(value) and (value > 0 or column.kind in ("temperature", "speed")):
                groups[tuple(row.get(key) for key in COMPARED_BY.get(name, ()))].append(row)
        for group in groups.values():
            _far(read, group, column, usual, currency)


def _far(
    read: Rows, group: Sequence[Row], column: Column, usual: Bounds | None, currency: str | None
) -> None:
    values = [row[column.key] for row in group]
    logs = [log(value) if value > 0 else -inf for value in values]
    for i, (row, value) in enumerate(zip(group, values, strict=True)):
        if usual is not None and usual.holds(value):
            continue
        others = [one for j, one in enumerate(logs) if j != i]
        times, spread = 1.0, 0.0
        if column.kind not in ("temperature", "speed") and len(others) >= SOME:
            middle = median(others)
            spread = max(LEAST_MAD, MAD_TO_SD * median(abs(one - middle) for one in others))
            times = exp(logs[i] - middle)
        if len(others) >= ENOUGH and abs(log(times)) <= FAR * spread:
            continue
        if usual is None and (len(others) < ENOUGH or 1.0 / PRICE_TIMES <= times <= PRICE_TIMES):
            continue
        slip = slip_of(times, column.kind == "price")
        words = f"{in_words(value, column, currency)} is far from {_from_what(usual, times, value, column, currency)}"
        read.tell(row, column.name, f"{words}{f'; {slip}?' if slip else ''}", KEPT)


def _from_what(usual: Bounds | None, times: float, value: float, column: Column, currency: str | None) -> str:
    others = f"the others (about {in_words(value / times, column, currency)})" if times != 1.0 else ""
    if usual is None:
        return others
    range_ = f"what is usual ({short(usual.low)} to {in_words(usual.high, column, currency)})"
    return f"{others} and from {range_}" if others else range_


def slip_of(times: float, price: bool) -> str:
    """The slip of the pen that would explain a number so many times as large as it should be."""
    for factor, near, words in SLIPS:
        pounds = "pound" in words
        if abs(log(times / factor)) < near:
            if price and pounds:
                return (
                    "a price a pound written as one a kg"
                    if factor < 1.0
                    else "a price a kg written as one a pound"
                )
            return words
    return ""


def _order(read: Rows, rows: Sequence[Row]) -> None:
    """A day that breaks the order of the file, where day and month exchanged would fit: told and asked about."""
    key = date_key(read)
    days: list[date] = [row[key] for row in rows]
    breaks = sum(then < one for one, then in pairwise(days))
    if breaks * 5 > len(days):
        return  # not in order of time, so that nothing breaks it
    for i, (row, day) in enumerate(zip(rows, days, strict=True)):
        before, after = days[i - 1] if i else None, days[i + 1] if i + 1 < len(days) else None
        if _between(day, before, after) or not (before or after):
            continue
        if before and after and before > after:
            continue
        swapped = _exchanged(day)
        if swapped is not None and _between(swapped, before, after):
            words = f"{day.isoformat()} breaks the order of the rows; is it {swapped.isoformat()}?"
            read.tell(row, key.replace("_", " "), words, "kept as written")


def _between(day: date, before: date | None, after: date | None) -> bool:
    return (before is None or before <= day) and (after is None or day <= after)


def _exchanged(day: date) -> date | None:
    if day.day > 12 or day.day == day.month:
        return None
    return date(day.year, day.day, day.month)


def _gaps(read: Rows, rows: Sequence[Row]) -> None:
    """Months without a row between months with rows."""
    if read.table.name not in REGULAR:
        return
    key = date_key(read)
    months = sorted({row[key].replace(day=1) for row in rows})
    for one, then in pairwise(months):
        first, last = (one + timedelta(days=32)).replace(day=1), (then - timedelta(days=1)).replace(day=1)
        if first <= last:
            span = _month(first) if first == last else f"{_month(first)} to {_month(last)}"
            nothing = (
                "how many asked then is not known"
                if read.table.name == "asked"
                else "taken as there was nothing"
            )
            read.remarks.append(
                Remark(read.source, 0, "", f"no row in {span}, though before and after", nothing)
            )


def _month(day: date) -> str:
    return f"{day.year}-{day.month:02d}"


def lone_days(all_read: Sequence[Rows]) -> None:
    """Leave out rows of a day that lies years from those of all tables: no notebook spans the years between."""
    days = sorted(row[date_key(read)] for read in all_read for row in read.rows)
    if len(days) <= ENOUGH:
        return
    middle = days[len(days) // 2]
    early, late = _reach(days, middle, -1), _reach(days, middle, 1)
    for read in all_read:
        key = date_key(read)
        for row in [row for row in read.rows if not early <= row[key] <= late]:
            words = f"{row[key].isoformat()} is more than {YEARS_APART} years from every other row"
            read.tell(row, key, words, f"{LEFT_OUT}; a slip in the year?")
            read.rows.remove(row)


def date_key(read: Rows) -> str:
    """The key of a table's days."""
    return next(one.key for one in read.table.columns if one.kind == "date")


def _reach(days: Sequence[date], middle: date, way: int) -> date:
    """The last day that can be reached from the middle without a leap of years."""
    here = middle
    for day in days if way > 0 else reversed(days):
        if (day - here).days * way > 0:
            if abs((day - here).days) > 365 * YEARS_APART:
                break
            here = day
    return here
