"""Numbers as people write them: decimal commas, thousands, units behind them, currency signs before them.

In: the text of a cell, and how the other numbers of the file are written. Out: the number and what was odd about it.
Must not know: tables, columns, what the number means.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal
from unicodedata import decimal

from planner.scenario.units import found_number, parse
from planner.scenario.wording import quoted

Mark = Literal["decimal comma", "thousands", "unit", "sign", "hours and minutes", "hours:minutes", "number"]
"""What may be odd about a cell; what all cells of a column share is told once."""

_WRITTEN: Final = re.compile(
    r"(?P<sign>[€$£]|[A-Z]{3}\b)?\s*(?P<minus>[-+−])?\s*(?P<sign2>[€$£])?\s*"
    r"(?P<number>\d[\d.,'’\u00a0\u202f]*(?: \d{3}(?!\d))*(?:[.,]\d+)?|[.,]\d+)(?P<dash>[.,]?[-–—])?\s*(?P<unit>.*)"
)
_GROUPED: Final = re.compile(r"\d{1,3}(?:([.,'’ \u00a0\u202f])\d{3})+")
_HOURS_MINUTES: Final = re.compile(
    r"(?:(?P<h>\d{1,3})\s*(?:h|hr|hrs|hour|hours)\.?)\s*(?P<m>\d{1,2})\s*(?:m|min|mins|minutes|')?\.?",
    re.IGNORECASE,
)
_COLON: Final = re.compile(r"(\d{1,3}):([0-5]\d)(?::([0-5]\d))?")
EMPTY: Final = frozenset({"", "-", "–", "—", "?", ".", "na", "n/a", "nan", "null", "none"})
"""Cells, in small letters, that say nothing."""
LARGEST: Final = 1e12
"""What is larger is no number of a notebook, and floats lose its cents."""
_SIGNS: Final = {"€": "EUR", "£": "GBP"}
_SPELT: Final = {
    "lbs": "lb", "lb.": "lb", "lbs.": "lb", "pound": "lb", "pounds": "lb", "kgs": "kg", "kilo": "kg", "kilos": "kg",
    "kg.": "kg", "grams": "g", "gram": "g", "ounces": "oz", "tonnes": "t", "hrs": "h", "hr": "h", "hours": "h",
    "hour": "h", "std": "h", "mins": "min", "minutes": "min", "minute": "min", "min.": "min", "h.": "h", "m": "m",
    "c": "degC", "°c": "degC", "deg c": "degC", "celsius": "degC", "f": "degF", "°f": "degF", "deg f": "degF",
    "fahrenheit": "degF", "ms": "m/s", "kmh": "km/h", "kph": "km/h", "kn": "knot", "kt": "knot", "kts": "knot",
    "knots": "knot", "€": "EUR", "£": "GBP", "mps": "m/s",
}  # fmt: skip
"""Units as people write them, and as they are written here."""


def _usual(text: str) -> str:
    """A text with digits of any script written as 0 to 9."""
    return text if text.isascii() else "".join(str(decimal(one)) if one.isdecimal() else one for one in text)


class UnreadableError(ValueError):
    """A cell that cannot be read: why, in a clause."""


@dataclass(frozen=True, slots=True)
class Oddity:
    """Something odd about how a cell is written.

    Parameters
    ----------
    mark : str
        Of which kind it is.
    found : str
        Of this cell, in a clause.
    throughout : str
        The same where every cell of a column is like this.
    """

    mark: Mark
    found: str
    throughout: str


@dataclass(frozen=True, slots=True)
class Style:
    """How the numbers of a file are written, as far as its own numbers tell.

    Parameters
    ----------
    comma, point : bool
        Do some have a decimal comma, or point, that can be nothing else?
    divider : str
        Between cells of a CSV file. Where that is a semicolon a comma is free to be a decimal comma.
    """

    comma: bool = False
    point: bool = False
    divider: str = ""

    @property
    def decimal(self) -> str:
        """What stands before decimals where a number alone does not tell; empty where the file does not either."""
        if self.comma != self.point:
            return "," if self.comma else "."
        return {";": ",", ",": "."}.get(self.divider, "") if not self.comma else ""


def style_of(texts: Iterable[str], divider: str) -> Style:
    """What the numbers of a file tell of how its numbers are written."""
    comma = point = False
    for text in texts:
        written = _WRITTEN.fullmatch(_usual(text.strip()))
        decimal = _surely(written["number"]) if written else ""
        comma, point = comma or decimal == ",", point or decimal == "."
    return Style(comma, point, divider)


def _surely(number: str) -> str:
    """What stands before the decimals of a number that can be read in one way only; empty for any other."""
    found = re.search(r"([.,])(\d*)$", number)
    if not found:
        return ""
    sign, decimals = found[1], found[2]
    before = number[: found.start()]
    if sign in before:
        return ""  # 1.234.567: thousands
    if len(decimals) != 3 or not 1 <= len(before) <= 3 or before in ("0", ""):
        return sign
    return ""


def number_of(text: str, style: Style) -> tuple[float, str, list[Oddity]]:
    """One number and what stands behind it.

    Returns
    -------
    float, str, list of Oddity
        The number, the unit as it is written (a currency sign included), what was odd.

    Raises
    ------
    UnreadableError
        It is none, or may be two.
    """
    text = _usual(text.strip())
    found = _WRITTEN.fullmatch(text)
    if found is None:
        raise UnreadableError(f"{quoted(text)} is no number")
    unit = found["unit"].strip()
    if re.match(r"[\d.,+*/=-]", unit) and not unit.startswith("/"):
        raise UnreadableError(f"{quoted(text)} is more than one number")
    sign = found["sign"] or found["sign2"] or ""
    value, odd = _plain(found["number"].strip(), text, style)
    if found["minus"] in ("-", "−"):
        value = -value
    if sign:
        unit = f"{sign}{unit}" if unit.startswith("/") else f"{sign} {unit}".strip()
    return value, unit, odd


def _plain(number: str, text: str, style: Style) -> tuple[float, list[Oddity]]:
    decimal = _surely(number)
    if not decimal and (found := re.fullmatch(r"\d{1,3}([.,])\d{3}", number)):
        decimal = _either(found[1], number, text, style)
    head, tail = number, ""
    if decimal:
        head, _, tail = number.rpartition(decimal)
    grouped = _GROUPED.fullmatch(head)
    if not (head.isdigit() or not head or (grouped and len(set(re.sub(r"\d", "", head))) == 1)):
        raise UnreadableError(f"{quoted(text)} is not one number")
    value = float(f"{re.sub(r'[^0-9]', '', head) or '0'}.{tail or '0'}")
    if value > LARGEST:
        raise UnreadableError(f"{quoted(text)} is too large a number")
    odd = []
    if decimal == ",":
        odd.append(
            Oddity("decimal comma", f"{quoted(text)} has a decimal comma", "decimal commas throughout")
        )
    if grouped:
        odd.append(
            Oddity("thousands", f"{quoted(text)} has its thousands apart", "thousands apart throughout")
        )
    return value, odd


def _either(sign: str, number: str, text: str, style: Style) -> str:
    """Whether the sign in 1,234 stands before decimals (then it is given back) or thousands."""
    if style.decimal:
        return sign if style.decimal == sign else ""
    if sign == "." and not style.comma:
        return sign
    as_point, whole = number.replace(sign, "."), number.replace(sign, "")
    raise UnreadableError(f"{quoted(text)} may be {as_point} or {whole}; write the one that is meant")


def hours_of(text: str) -> tuple[float, Oddity] | None:
    """A duration as hours and minutes, such as 3h 20min or 3:20 [h]; None for any other text."""
    text = _usual(text.strip())
    if found := _HOURS_MINUTES.fullmatch(text):
        words = f"{quoted(text)} is in hours and minutes"
        return int(found["h"]) + int(found["m"]) / 60.0, Oddity(
            "hours and minutes", words, "hours and minutes throughout"
        )
    if found := _COLON.fullmatch(text):
        hours = int(found[1]) + int(found[2]) / 60.0 + int(found[3] or 0) / 3600.0
        words = f"{quoted(text)} was taken as hours:minutes"
        return hours, Oddity("hours:minutes", words, "hours:minutes throughout")
    return None


def spelt(unit: str, currency: str | None) -> str:
    """A unit as this program writes it, however it was spelt."""
    parts = [part.strip().rstrip(".") for part in re.split(r"/|\bper\b|\ba\b(?= kg| lb)", unit.strip())]
    known = [_dollar(part, currency) or _SPELT.get(part.casefold(), part) for part in parts]
    known = [part.lower() if part.casefold() in ("kg", "lb", "g", "h", "oz") else part for part in known]
    if currency is not None and known[0] == "":
        known[0] = currency
    return "/".join(known)


def _dollar(sign: str, currency: str | None) -> str | None:
    """The code that a sign or a code in small letters stands for; a dollar is the own one of whoever counts in one."""
    if sign == "$":
        return currency if currency and currency.endswith("D") else "USD"
    if currency and sign.casefold() == currency.casefold():
        return currency
    return _SIGNS.get(sign)


@lru_cache(maxsize=512)
def scale(unit: str, symbol: str, currency: str | None) -> tuple[float, float]:
    """What 0 stands for in a unit, and what 1 adds to it, in the unit ``symbol`` (a key of `KINDS`).

    Raises
    ------
    ValueError
        In the words of a scenario's errors.
    """
    low, high = (parse(f"{number} {unit}", symbol, currency) for number in (0, 1))
    return low, high - low


def short(value: float) -> str:
    """A number for a remark: four digits that count."""
    return found_number(float(f"{value:.4g}"))
