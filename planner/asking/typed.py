"""What somebody types, as a file of answers holds it.

In: a line of text, and whose it is. Out: a plain value: a quantity with its unit, a word, a table of hours; or a
``ValueError`` in plain words. Whether the value is possible is asked where all values are read.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import NoneType
from typing import Any, Final, Literal, get_args, get_origin

from planner.asking.scale import Scale
from planner.asking.told import Told
from planner.scenario.compose import scalar
from planner.scenario.kinds import BARE
from planner.scenario.outline import fields_of
from planner.scenario.section import units_of
from planner.scenario.units import NUMBER, Unit, found_number
from planner.scenario.wording import nearest, quoted

_DAY: Final = r"(?:mon|tue|wed|thu|fri|sat|sun)"
_DAYS: Final = re.compile(rf"({_DAY}(?:\s*-\s*{_DAY})?)", re.IGNORECASE)
_CLOCK: Final = r"(\d{1,2})(?::(\d\d))?"
_TIME: Final = re.compile(rf"{_CLOCK}\s*(?:-|–|to)\s*{_CLOCK}")
_YES: Final = {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False}
_ALIKE: Final = {"metric": "kg", "kilograms": "kg", "us": "lb", "pounds": "lb", "open": "open air"}
_TIMES_FORM: Final = "write days with their times, such as wed 17:30-21:00, sat 8-17"


def symbol_of(key: str) -> str:
    """The internal unit of an answer that is a quantity, share or count; empty for any other."""
    marks = [mark.symbol for mark in units_of(fields_of(Told)[key]) if isinstance(mark, Unit)]
    return marks[0] if marks else ""


def _kind(key: str) -> Any:
    """What an answer is, None left out."""
    field = fields_of(Told)[key]
    kinds = [kind for kind in get_args(field.annotation) if kind is not NoneType]
    return kinds[0] if kinds else field.annotation


def choices_of(key: str) -> tuple[str, ...]:
    """The words that an answer is one of; none where anything may be written."""
    if _kind(key) is bool:
        return ("yes", "no")
    return get_args(_kind(key)) if get_origin(_kind(key)) is Literal else ()


def value_of(key: str, text: Any, scale: Scale) -> Any:
    """What was typed, or stands in a file, as a plain value with its unit.

    Raises
    ------
    ValueError
        Times that cannot be told from each other.
    """
    symbol = symbol_of(key)
    if symbol and symbol not in BARE:
        if isinstance(text, (int, float)) and not isinstance(text, bool):
            text = found_number(text)
        return _with_unit(text.strip(), scale.unit_of(symbol)) if isinstance(text, str) else text
    if not isinstance(text, str):
        return text
    text = text.strip()
    if symbol:
        return scalar(text)
    if choices_of(key):
        return _chosen(text.lower(), key)
    if key == "hours":
        return hours_of(text)
    if key == "helper_days":
        return [day.lower() for day in re.split(r"[\s,;]+", text) if day]
    if key == "holidays":
        return [days.strip() for days in re.split(r"[,;]", text) if days.strip()]
    return text.upper() if key == "currency" else text


def _with_unit(text: str, unit: str) -> str:
    """A bare number takes the unit that this person counts in; `a month` is what a file calls `per month`."""
    if re.fullmatch(NUMBER, text):
        return f"{text} {unit}"
    return re.sub(r"\s+an?\s+(?=[a-z]+$)", " per ", text)


def _chosen(text: str, key: str) -> Any:
    if _kind(key) is bool:
        return _YES.get(text, text)
    choices = choices_of(key)
    text = _ALIKE.get(text, text)
    if text in choices:
        return text
    begun = [word for word in choices if text and word.startswith(text)]
    return begun[0] if len(begun) == 1 else text


def hours_of(text: str) -> dict[str, Any]:
    """Free hours by weekday out of `wed 17:30-21:00, sat 8-12 14-17`.

    Raises
    ------
    ValueError
        In plain words.
    """
    parts = _DAYS.split(text)
    if parts[0].strip(" ,;") or len(parts) == 1:
        word = (parts[0].split() or [""])[0]
        near = nearest(word, ("mon", "tue", "wed", "thu", "fri", "sat", "sun")) if word else None
        guess = f"; did you mean {near}?" if near else ""
        raise ValueError(f"{quoted(text)} does not begin with a weekday (mon to sun){guess}; {_TIMES_FORM}")
    found: dict[str, Any] = {}
    waiting: list[str] = []
    for days, rest in zip(parts[1::2], parts[2::2], strict=True):
        waiting.append(re.sub(r"\s", "", days.lower()))
        times = [_window(one) for one in _TIME.finditer(rest)]
        left = re.sub(r"\band\b|[\s,;:]", "", _TIME.sub("", rest))
        if left:
            raise ValueError(f"'{left}' after {days} is no time from-to; {_TIMES_FORM}")
        if times:
            for day in waiting:
                before = found.get(day, [])
                found[day] = [*(before if isinstance(before, list) else [before]), *times]
            waiting = []
    if waiting:
        raise ValueError(f"no times stand after {waiting[-1]}; {_TIMES_FORM}")
    return {day: times[0] if len(times) == 1 else times for day, times in found.items()}


def _window(found: re.Match[str]) -> str:
    return f"{int(found[1]):02d}:{found[2] or '00'}-{int(found[3]):02d}:{found[4] or '00'}"


def in_words(value: Any) -> str:
    """A value as it would be typed."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        return ", ".join(f"{day} {in_words(times).replace(', ', ' ')}" for day, times in value.items())
    if isinstance(value, (list, tuple)):
        return ", ".join(map(in_words, value))
    return found_number(value) if isinstance(value, float) else str(value)
