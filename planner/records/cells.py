"""One cell read as what its column holds.

In: a cell, where its column stands, how the file's numbers are written. Out: a value in the unit inside, and what was
odd about how it was written; or why it cannot be read. Must not know: other cells.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from math import isfinite, nan
from typing import Any, Final, NamedTuple

from planner.records.grids import Cell
from planner.records.headings import SYMBOLS, Place
from planner.records.numbers import (
    EMPTY,
    LARGEST,
    Oddity,
    Style,
    UnreadableError,
    hours_of,
    number_of,
    scale,
    short,
    spelt,
)
from planner.records.tables import Kind
from planner.scenario.kinds import KINDS
from planner.scenario.units import found_number
from planner.scenario.wording import close, listed, quoted

YES: Final = frozenset({"yes", "y", "true", "x", "1", "wet"})
NO: Final = frozenset({"no", "n", "false", "0", "dry"})
ALSO: Final = {"selling": "serve", "sales": "serve", "messages": "serve", "pickup": "fetch", "ingots": "lead"}
"""Words that mean one of those of a column."""
MASSES: Final = ("kg", "lb", "g", "t", "oz")
_CLOCK: Final = re.compile(
    r"(\d{1,2})(?:[:.h]([0-5]\d)(?::[0-5]\d)?)?\s*(am|pm|a\.m\.|p\.m\.|h)?", re.IGNORECASE
)


class Value(NamedTuple):
    """What a cell holds: a number (NaN if empty) or a word (empty if empty), and what was odd about it."""

    value: Any
    odd: tuple[Oddity, ...] = ()


def is_empty(cell: Cell) -> bool:
    """Does a cell say nothing?"""
    return cell is None or (isinstance(cell, str) and cell.strip().casefold() in EMPTY)


def counted_in(kind: Kind, currency: str | None) -> str:
    """The unit of a kind inside, for a reader; empty where it has none."""
    return SYMBOLS.get(kind, "").replace("money", currency or "money")


def read_cell(cell: Cell, place: Place, style: Style, currency: str | None) -> Value:
    """Read one cell of any column but dates.

    Raises
    ------
    UnreadableError
        Why, in a clause.
    """
    kind = place.column.kind
    if kind in ("word", "text"):
        return _words(cell, place)
    if is_empty(cell):
        return Value(nan)
    if kind == "yes or no":
        return Value(_yes(cell))
    if kind == "time":
        return Value(_clock(cell))
    if kind == "count":
        return Value(_count(cell, style))
    return _measure(cell, place, style, currency)


def _words(cell: Cell, place: Place) -> Value:
    if is_empty(cell):
        return Value("")
    text = found_number(cell) if isinstance(cell, float) else " ".join(str(cell).split())
    words = place.column.words
    if not words or text in words:
        return Value(text)
    slip = text.casefold() if text.casefold() in words else _meant(text, words)
    if slip is None:
        raise UnreadableError(f"{quoted(text)} is none of {listed(words)}")
    if slip == text.casefold():
        return Value(slip)
    return Value(slip, (Oddity("number", f"{quoted(text)} is none of {listed(words)}", ""),))


def _meant(text: str, words: Sequence[str]) -> str | None:
    """The one word that is meant: by another name, as a form of it (sorting), or by a slip of the pen."""
    key = text.casefold()
    other = ALSO.get(key)
    forms = [word for word in words if key.startswith(word)]
    return other if other in words else forms[0] if len(forms) == 1 else close(text, words)


def _yes(cell: Cell) -> float:
    text = "yes" if cell is True else "no" if cell is False else str(cell).strip().casefold()
    text = text.removesuffix(".0")
    if text in YES:
        return 1.0
    if text in NO:
        return 0.0
    raise UnreadableError(f"{quoted(str(cell))} is neither yes nor no")


def _clock(cell: Cell) -> float:
    """A time of day [h]."""
    if isinstance(cell, (time, datetime)):
        return cell.hour + cell.minute / 60.0 + cell.second / 3600.0
    found = _CLOCK.fullmatch(str(cell).strip().removesuffix(".0"))
    if found:
        hour, minute, half = int(found[1]), int(found[2] or 0), (found[3] or "").casefold()[:1]
        if half in ("a", "p") and 1 <= hour <= 12:
            hour = hour % 12 + (12 if half == "p" else 0)
        if hour < 24 or (hour, minute) == (24, 0):
            return hour + minute / 60.0
    raise UnreadableError(f"{quoted(str(cell))} is no time of day, such as 17:30")


def _count(cell: Cell, style: Style) -> float:
    value = cell if isinstance(cell, float) else _bare(cell, style)
    if not 0 <= value <= LARGEST or value != int(value):
        raise UnreadableError(f"{quoted(str(cell))} is no whole number")
    return float(value)


def _bare(cell: Cell, style: Style) -> float:
    if not isinstance(cell, str):
        raise UnreadableError(f"{quoted(str(cell))} is no number")
    value, unit, _ = number_of(cell, style)
    if unit:
        raise UnreadableError(f"{quoted(cell)} has {quoted(unit)} behind the number")
    return value


def _measure(cell: Cell, place: Place, style: Style, currency: str | None) -> Value:
    """A number with a unit, its own or its column's."""
    kind, symbol = place.column.kind, SYMBOLS[place.column.kind]
    if kind == "duration" and isinstance(cell, (time, timedelta)):
        seconds = (
            cell.total_seconds()
            if isinstance(cell, timedelta)
            else cell.hour * 3600.0 + cell.minute * 60.0 + cell.second
        )
        return Value(seconds / 3600.0)
    if isinstance(cell, (date, time, timedelta)):
        raise UnreadableError(f"{cell} is a date or a time, but {KINDS[symbol].what} is needed")
    if isinstance(cell, bool) or cell is None:
        raise UnreadableError(f"yes or no was found where {KINDS[symbol].what} is needed")
    if isinstance(cell, float):
        if not isfinite(cell) or abs(cell) > LARGEST:
            raise UnreadableError(f"{cell:g} is no number that can be used")
        return Value(_scaled(cell, place.unit, symbol, currency))
    if kind == "duration" and (parts := hours_of(cell)):
        return Value(parts[0], (parts[1],))
    value, written, odd = number_of(cell, style)
    unit = _unit(written, place, currency) if written else place.unit
    found = _scaled(value, unit, symbol, currency, cell)
    if written and unit != place.unit:
        words = f"{quoted(cell.strip())} is in {unit}"
        odd.append(Oddity("unit", words, f"every cell is in {unit}"))
    elif re.search("[€$£]", cell):
        odd.append(Oddity("sign", f"{quoted(cell.strip())} has a currency sign", "currency signs throughout"))
    return Value(found, tuple(odd))


def _unit(written: str, place: Place, currency: str | None) -> str:
    """The unit behind a number; of a price also one that leaves out the money, or the mass."""
    unit = spelt(written, currency)
    if place.column.kind == "price" and "/" not in unit:
        money, _, mass = place.unit.partition("/")
        return f"{money}/{unit}" if unit in MASSES else f"{unit}/{mass}"
    return unit


def _scaled(value: float, unit: str, symbol: str, currency: str | None, cell: str = "") -> float:
    if unit in (symbol, symbol.replace("money", currency or "money")):
        return value
    try:
        low, step = scale(unit, symbol, currency)
    except ValueError:
        kind = KINDS[symbol]
        raise UnreadableError(
            f"{quoted(cell.strip())} is not {kind.what}{f' in {currency}' if 'money' in symbol and currency else ''}"
        ) from None
    return low + step * value


def read_as(value: float, kind: Kind, currency: str | None) -> str:
    """How a number was read, for a remark."""
    return f"read as {short(value)} {counted_in(kind, currency)}".rstrip()
