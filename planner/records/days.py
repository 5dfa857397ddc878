"""Dates as people write them: which way round day and month stand is decided by the whole column, or asked.

In: the cells of a column with their lines. Out: dates, and how they were read. Must not know: tables.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Any, Final, Literal

from planner.records.numbers import EMPTY, UnreadableError
from planner.scenario.clock import MONTHS
from planner.scenario.wording import quoted

Order = Literal["day first", "month first"]
FIRST_YEAR, LAST_YEAR = 2000, 2100
"""A day outside these years is a slip of the pen (assumed)."""
EPOCH: Final = date(1899, 12, 30)
"""Day 0 of spreadsheets, for days after February 1900."""
SERIAL: Final = ((date(FIRST_YEAR, 1, 1) - EPOCH).days, (date(LAST_YEAR, 12, 31) - EPOCH).days)

_TIME: Final = r"(?:[T ,]+\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?)?"
_ISO: Final = re.compile(rf"(\d{{4}})([-/.])(\d{{1,2}})\2(\d{{1,2}}){_TIME}")
_DOTTED: Final = re.compile(rf"(\d{{1,2}})\.\s?(\d{{1,2}})\.\s?(\d{{4}}|\d{{2}}){_TIME}")
_SLASHED: Final = re.compile(rf"(\d{{1,2}})([-/])(\d{{1,2}})\2(\d{{4}}|\d{{2}}){_TIME}")
_NAMED: Final = re.compile(r"(?P<d>\d{1,2})\.?[ -](?P<m>[A-Za-z]{3,9})\.?,?[ -](?P<y>\d{4})")
_NAMED_FIRST: Final = re.compile(r"(?P<m>[A-Za-z]{3,9})\.? (?P<d>\d{1,2}),? (?P<y>\d{4})")
_MONTH: Final = re.compile(r"(?P<y>\d{4})[-/.](?P<m>\d{1,2})|(?P<m2>\d{1,2})[-/.](?P<y2>\d{4})")
_MONTH_NAMED: Final = re.compile(r"(?P<m>[A-Za-z]{3,9})\.? (?P<y>\d{4})")


class AmbiguousError(ValueError):
    """Day and month may stand either way round: why, in a clause, and the line."""

    def __init__(self, line: int, words: str) -> None:
        super().__init__(words)
        self.line = line


@dataclass
class Dates:
    """A column that was read.

    Parameters
    ----------
    days : list of date, str or None
        A date each; why it cannot be read; None where the cell is empty.
    told : list of (str, str)
        What was noticed of the column, and what was done.
    """

    days: list[date | str | None] = field(default_factory=list)
    told: list[tuple[str, str]] = field(default_factory=list)


@dataclass(frozen=True)
class _Either:
    """A date with slashes, both ways round."""

    first: int
    second: int
    year: int
    text: str

    def day(self, order: Order) -> date:
        day, month = (self.first, self.second) if order == "day first" else (self.second, self.first)
        return _date(self.year, month, day, self.text)

    @property
    def open(self) -> bool:
        """Is it a day of the calendar both ways round, and not the same?"""
        return 1 <= self.first <= 12 and 1 <= self.second <= 12 and self.first != self.second

    @property
    def only(self) -> Order | None:
        """The one way in which it is a day of the calendar; None if both or neither is."""
        ways: tuple[Order, Order] = ("day first", "month first")
        fit = [
            order for order, month in zip(ways, (self.second, self.first), strict=True) if 1 <= month <= 12
        ]
        return fit[0] if len(fit) == 1 else None


def dates_of(cells: Sequence[tuple[int, Any]], months: bool = False, order: Order | None = None) -> Dates:
    """Read a column.

    Parameters
    ----------
    cells : sequence of (int, cell)
        With their lines.
    months : bool
        May a cell name a month alone? Then its last day is meant.
    order : str, optional
        Which way round day and month stand, where somebody said so.

    Raises
    ------
    AmbiguousError
        The column does not tell which way round they stand, and nobody said.
    """
    read = Dates()
    found = [_cell(cell, months, read) for _, cell in cells]
    either = [(line, one) for (line, _), one in zip(cells, found, strict=True) if isinstance(one, _Either)]
    chosen = _chosen(either, found, order, read) if either else None
    for one in found:
        if isinstance(one, _Either):
            try:
                read.days.append(one.day(chosen or one.only or "day first"))
            except UnreadableError as error:
                read.days.append(str(error))
        else:
            read.days.append(one)
    read.told = list(dict.fromkeys(read.told))
    return read


def _cell(cell: Any, months: bool, read: Dates) -> date | _Either | str | None:
    """One cell: a date, one that may be two, or why it is none."""
    if cell is None or (isinstance(cell, str) and cell.strip().casefold() in EMPTY):
        return None
    if isinstance(cell, (datetime, date)):
        return _sound(cell.date() if isinstance(cell, datetime) else cell)
    if isinstance(cell, float) or (isinstance(cell, str) and re.fullmatch(r"\d{5}", cell.strip())):
        return _serial(float(cell), read)
    try:
        return _text(str(cell).strip(), months, read)
    except UnreadableError as error:
        return str(error)


def _serial(number: float, read: Dates) -> date | str:
    if not SERIAL[0] <= number <= SERIAL[1]:
        return f"{number:g} is no date"
    read.told.append(("days are counted as spreadsheets count them, from 1899-12-30", "read as such"))
    return EPOCH + timedelta(days=int(number))


def _text(text: str, months: bool, read: Dates) -> date | _Either:
    if found := _ISO.fullmatch(text):
        return _date(int(found[1]), int(found[3]), int(found[4]), text)
    if found := _DOTTED.fullmatch(text):
        read.told.append(("dates as day.month.year", "read as such"))
        return _date(_year(found[3], read), int(found[2]), int(found[1]), text)
    if found := _SLASHED.fullmatch(text):
        return _Either(int(found[1]), int(found[3]), _year(found[4], read), text)
    if found := _NAMED.fullmatch(text) or _NAMED_FIRST.fullmatch(text):
        return _date(int(found["y"]), _month(found["m"], text), int(found["d"]), text)
    if months and (found := _MONTH.fullmatch(text)):
        return _last(int(found["y"] or found["y2"]), int(found["m"] or found["m2"]), text, read)
    if months and (found := _MONTH_NAMED.fullmatch(text)):
        return _last(int(found["y"]), _month(found["m"], text), text, read)
    raise UnreadableError(f"{quoted(text)} is no date; write year-month-day, such as 2026-03-07")


def _year(text: str, read: Dates) -> int:
    if len(text) == 4:
        return int(text)
    read.told.append(("years of two digits", f"read as {FIRST_YEAR // 100}.."))
    return FIRST_YEAR + int(text)


def _month(name: str, text: str) -> int:
    try:
        return MONTHS.index(name[:3].casefold()) + 1
    except ValueError:
        raise UnreadableError(
            f"{quoted(text)} is no date; write year-month-day, such as 2026-03-07"
        ) from None


def _last(year: int, month: int, text: str, read: Dates) -> date:
    first = _date(year, month, 1, text)
    read.told.append(("months without a day", "read as their last day"))
    return (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)


def _date(year: int, month: int, day: int, text: str) -> date:
    try:
        found = date(year, month, day)
    except ValueError:
        raise UnreadableError(f"{quoted(text)} is no day of the calendar") from None
    sound = _sound(found)
    if isinstance(sound, str):
        raise UnreadableError(sound)
    return found


def _sound(day: date) -> date | str:
    if FIRST_YEAR <= day.year <= LAST_YEAR:
        return day
    return f"{day.isoformat()} is no day of these years ({FIRST_YEAR} to {LAST_YEAR})"


def _chosen(
    either: Sequence[tuple[int, _Either]], found: Sequence[Any], said: Order | None, read: Dates
) -> Order | None:
    """Which way round day and month stand in a column; None where its dates tell by themselves, each its own way."""
    example = either[0][1].text
    if said is not None:
        read.told.append((f"dates such as {example}", f"read with the {said}, as you said"))
        return said
    sure: dict[Order, tuple[int, str]] = {
        only: (line, one.text) for line, one in reversed(either) if (only := one.only)
    }
    open_ones = [(line, one) for line, one in either if one.open]
    if len(sure) == 1:
        ((order, (line, text)),) = sure.items()
        read.told.append(
            (
                f"dates such as {example}",
                f"read with the {order}, for {text} in line {line} can be nothing else",
            )
        )
        return order
    if not open_ones:
        return None if sure else "day first"
    in_order = None if sure else _by_order(found)
    if in_order is not None:
        words = f"read with the {in_order}, for so the rows are in order"
        read.told.append((f"dates such as {example}", words))
        return in_order
    line, one = open_ones[0]
    ways = " or ".join(_way(one, order) for order in ("day first", "month first"))
    why = "and other dates stand both ways round" if sure else "and nothing in the column tells which"
    raise AmbiguousError(
        line,
        f"{quoted(one.text)} may be {ways}, {why}; write year-month-day, or say which comes first with --dates",
    )


def _way(one: _Either, order: Order) -> str:
    return one.day(order).isoformat()


def _by_order(found: Sequence[Any]) -> Order | None:
    """The way round in which the rows are in order, where the other one puts them out of it; None without such."""
    ways: tuple[Order, Order] = ("day first", "month first")
    breaks = {}
    for order in ways:
        days = [
            one.day(order) if isinstance(one, _Either) else one
            for one in found
            if isinstance(one, date) or (isinstance(one, _Either) and (one.open or one.first == one.second))
        ]
        breaks[order] = sum(then < one for one, then in pairwise(days))
    best, other = sorted(ways, key=lambda order: breaks[order])
    return best if breaks[best] == 0 and breaks[other] >= 2 else None
