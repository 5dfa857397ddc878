"""Hours, days, weekdays and months as they are written in a scenario.

In: text such as `18:00-21:00`, `2026-01-05`, or a table by weekday or month. Out: tuples of hours,
dates, and tuples of seven or twelve values. Knows no calendar and no holidays.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import core_schema

from planner.scenario.part import PartError, parts_of, raise_all
from planner.scenario.units import (
    Unit,
    bounds_in_words,
    currency_of,
    example_of,
    json_form,
    quantity,
    read_and_written,
    written,
)
from planner.scenario.wording import listed, nearest, quoted, shown

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
DAY_H = 24.0
YEARS = (1900, 2200)
"""The first and the last year of which a date may be (assumed: nobody plans beyond)."""

Window = tuple[float, float]
DatedWindows = tuple[date, tuple[Window, ...]]
_WINDOW = re.compile(r"([01]?\d|2[0-4]):([0-5]\d)\s*[-–]\s*([01]?\d|2[0-4]):([0-5]\d)")
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")


def read_window(value: Any) -> Window:
    """Read `18:00-21:00` as hours (18.0, 21.0); the end is above 24 where it is past midnight."""
    found = _WINDOW.fullmatch(value.strip()) if isinstance(value, str) else None
    if not found:
        raise ValueError(f"{quoted(value)} is not a time from-to; write it like 18:00-21:00, or none")
    start_h = int(found[1]) + int(found[2]) / 60
    end_h = int(found[3]) + int(found[4]) / 60
    if start_h >= DAY_H or end_h > DAY_H:
        raise ValueError(
            f"{quoted(value)} goes beyond 24:00; a time past midnight is written like 18:00-02:00"
        )
    if start_h == end_h:
        raise ValueError(f"{quoted(value)} begins and ends at once; the whole day is 00:00-24:00")
    return start_h, end_h if end_h > start_h else end_h + DAY_H


def read_windows(value: Any) -> tuple[Window, ...]:
    """Read one window, a list of windows, or `none`, as windows in order that do not overlap."""
    if isinstance(value, str) and value.strip() == "none":
        return ()
    if not isinstance(value, list):
        return (read_window(value),)
    if not value:
        raise ValueError("the list is empty; write none where there is no time, or times like 18:00-21:00")
    windows, wrong = [], list[PartError]()
    for position, part in enumerate(value):
        try:
            windows.append(read_window(part))
        except ValueError as error:
            wrong += parts_of(error, position)
    windows.sort()
    following = [*windows[1:], *((start + DAY_H, 0.0) for start, _ in windows[:1])]
    for one, then in zip(windows, following, strict=True):
        if one[1] > then[0]:
            words = f"two times overlap at {_clock(then[0] % DAY_H)}; join them or set them apart"
            wrong.append(PartError(words))
    raise_all(wrong)
    return tuple(windows)


def written_windows(windows: tuple[Window, ...]) -> Any:
    """Write windows back: `none`, `18:00-21:00`, or a list."""
    texts = [f"{_clock(start)}-{_clock(end if end <= DAY_H else end - DAY_H)}" for start, end in windows]
    return "none" if not texts else texts[0] if len(texts) == 1 else texts


def _clock(t_h: float) -> str:
    minutes = round(t_h * 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def read_day(value: Any) -> date:
    """Read a date, written year-month-day."""
    if isinstance(value, str) and _DATE.fullmatch(value.strip()):
        try:
            day = date.fromisoformat(value.strip())
        except ValueError:
            raise ValueError(f"{quoted(value)} is no day of the calendar; write it like 2026-01-31") from None
        if YEARS[0] <= day.year <= YEARS[1]:
            return day
        raise ValueError(f"{quoted(value)} is not possible; the year must be from {YEARS[0]} to {YEARS[1]}")
    raise ValueError(f"{quoted(value)} is not a date; write year-month-day, such as 2026-01-05")


def read_days(value: Any) -> tuple[date, date]:
    """Read `2026-07-01 to 2026-07-14`, or one date, as first and last day."""
    first, _, last = value.partition(" to ") if isinstance(value, str) else (value, "", "")
    wrong, days = list[PartError](), list[date]()
    for text in (first, last) if last else (first,):
        try:
            days.append(read_day(text))
        except ValueError as error:
            wrong += parts_of(error)
    raise_all(wrong)
    begin, end = days[0], days[-1]
    if end < begin:
        raise ValueError(f"{quoted(value)} ends before it begins; write the earlier date first")
    return begin, end


def _written_days(days: tuple[date, date]) -> str:
    first, last = days
    return first.isoformat() if first == last else f"{first.isoformat()} to {last.isoformat()}"


def read_day_ranges(value: Any) -> tuple[tuple[date, date], ...]:
    """Read one range, a list of ranges, or `none`."""
    if isinstance(value, str) and value.strip() == "none":
        return ()
    if not isinstance(value, list):
        return (read_days(value),)
    ranges, wrong = [], list[PartError]()
    for position, part in enumerate(value):
        try:
            ranges.append(read_days(part))
        except ValueError as error:
            wrong += parts_of(error, position)
    raise_all(wrong)
    return tuple(sorted(ranges))


def _written_ranges(ranges: tuple[tuple[date, date], ...]) -> Any:
    return [_written_days(days) for days in ranges] or "none"


def read_dated_windows(value: Any) -> tuple[DatedWindows, ...]:
    """Read `2026-03-07 10:00-14:00`, a list of such, or `none`; two times of one day are two lines."""
    if isinstance(value, str) and value.strip() == "none":
        return ()
    several = isinstance(value, list)
    found, wrong = dict[date, list[str]](), list[PartError]()
    for position, text in enumerate(value if several else [value]):
        try:
            day, hours = _read_dated(text)
            before = found.setdefault(day, [])
            if before and "none" in (hours, *before):
                raise ValueError(f"{day} is told twice, once with none; write its times, or none alone")
            if hours != "none":
                read_windows([*before, hours])
            before.append(hours)
        except ValueError as error:
            wrong += [PartError(str(one), [position] if several else []) for one in parts_of(error)]
    raise_all(wrong)
    return tuple(
        (day, () if hours == ["none"] else read_windows(hours)) for day, hours in sorted(found.items())
    )


def _read_dated(value: Any) -> tuple[date, str]:
    day, _, hours = value.strip().partition(" ") if isinstance(value, str) else ("", "", "")
    if not hours:
        raise ValueError(
            f"{quoted(value)} is not a day with its times; write it like 2026-03-07 10:00-14:00, or 2026-03-07 none"
        )
    return read_day(day), hours.strip()


def written_dated(days: tuple[DatedWindows, ...]) -> Any:
    """Write single days back, a line a time; `none` where there are none."""
    lines = []
    for day, windows in days:
        texts = written_windows(windows)
        lines += [f"{day.isoformat()} {text}" for text in ([texts] if isinstance(texts, str) else texts)]
    return lines or "none"


def days_of(ranges: tuple[tuple[date, date], ...]) -> frozenset[date]:
    """Every day inside the ranges, first and last included."""
    return frozenset(
        first + timedelta(days=step) for first, last in ranges for step in range((last - first).days + 1)
    )


@dataclass(frozen=True, slots=True)
class Written:
    """Marks a field as read and written by a pair of functions; `form` is its JSON Schema."""

    read: Callable[[Any], Any]
    write: Callable[[Any], Any]
    form: str
    what: str

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self.read,
            serialization=core_schema.plain_serializer_function_ser_schema(self.write, when_used="json"),
        )

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        one = {"type": "string", "description": self.what}
        several = {"type": "array", "items": {"type": "string"}, "description": self.what}
        return one if self.form == "one" else {"anyOf": [one, several]}


def covered(key: str, keys: tuple[str, ...]) -> tuple[str, ...]:
    """The weekdays or months that a key stands for: `sat`, or a range such as `mon-fri`."""
    first, dash, last = key.partition("-")
    if first in keys and (last in keys or not dash):
        start, end = keys.index(first), keys.index(last or first)
        return keys[start : end + 1] if start <= end else keys[start:] + keys[: end + 1]
    near = nearest(key, keys)
    guess = f"did you mean {near}? " if near else ""
    raise ValueError(
        f"'{shown(key)}' is not known here; {guess}write {listed(keys)}, or a range like {keys[0]}-{keys[4]}"
    )


def _meant(key: str, keys: tuple[str, ...]) -> tuple[str, ...]:
    """The weekdays or months that a misspelt key most likely stands for; none where nothing is like it."""
    near = [nearest(part.strip(), keys) for part in key.split("-")]
    return covered("-".join(map(str, near)), keys) if all(near) and len(near) <= 2 else ()


@dataclass(frozen=True, slots=True)
class Table:
    """Marks a field as a tuple with one value for each weekday or month, in this unit.

    A single value in the file stands for all of them; a key may be a range such as `mon-fri`.
    With `symbol` None the values are windows, and a day that is left out has none.
    """

    keys: tuple[str, ...]
    symbol: str | None = None
    low: float | None = None
    high: float | None = None

    @property
    def unit_inside(self) -> Unit | None:
        """The unit of the values, for the check of names."""
        return Unit(self.symbol) if self.symbol else None

    def _one(self, value: Any, currency: str | None) -> Any:
        if self.symbol is None:
            return read_windows(value)
        number = quantity(value, self.symbol, currency)
        if (self.low is not None and number < self.low) or (self.high is not None and number > self.high):
            bounds = bounds_in_words(self.low, self.high, self.symbol, currency)
            raise ValueError(f"{shown(value)} is not possible; it must be {bounds}")
        return number

    def read(self, value: Any, currency: str | None = None) -> tuple[Any, ...]:
        """Read a table, or one value for all of its keys."""
        if not isinstance(value, Mapping):
            return (self._one(value, currency),) * len(self.keys)
        found: dict[str, Any] = {}
        wrong: list[PartError] = []
        all_known = True
        for key, part in value.items():
            names: tuple[str, ...] = ()
            try:
                names = covered(str(key), self.keys)
                if doubled := [name for name in names if name in found]:
                    wrong.append(PartError(f"{doubled[0]} is given twice", [key]))
            except ValueError as error:
                wrong += parts_of(error, key)
                names = _meant(str(key), self.keys)
                all_known = all_known and bool(names)
            one = None
            try:
                one = self._one(part, currency)
            except ValueError as error:
                wrong += parts_of(error, key)
            found.update(dict.fromkeys(names, one))
        missing = [key for key in self.keys if key not in found]
        if missing and self.symbol is not None and all_known:
            example = example_of(self.symbol, currency)
            words = f"{listed(missing)} missing; write one line for each, such as {missing[0]}: {example}"
            wrong.append(PartError(words))
        raise_all(wrong)
        return tuple(found.get(key, ()) for key in self.keys)

    def write(self, values: tuple[Any, ...], currency: str) -> Any:
        """Write a table back, as one value where all are alike."""
        texts = [
            written(value, self.symbol, currency) if self.symbol else written_windows(value)
            for value in values
        ]
        return texts[0] if len(set(values)) == 1 else dict(zip(self.keys, texts, strict=True))

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        def read(value: Any, info: core_schema.ValidationInfo) -> tuple[Any, ...]:
            return self.read(value, currency_of(info.context))

        def write(values: tuple[Any, ...], info: core_schema.SerializationInfo) -> Any:
            return self.write(values, currency_of(info.context) or "EUR")

        return read_and_written(read, write)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        one = json_form(self.symbol) if self.symbol else {"type": ["string", "array"]}
        name = "|".join(self.keys)
        pattern = rf"^({name})(-({name}))?$"
        return {
            "anyOf": [
                one,
                {"type": "object", "patternProperties": {pattern: one}, "additionalProperties": False},
            ]
        }


def months_of(symbol: str, low: float | None = None, high: float | None = None) -> Table:
    """Marker for `Annotated[tuple[float, ...], months_of("degC")]`: twelve values, January first."""
    return Table(MONTHS, symbol, low, high)


def weekdays_of(symbol: str, low: float | None = None, high: float | None = None) -> Table:
    """Marker for `Annotated[tuple[float, ...], weekdays_of("h", low=0)]`: seven values, Monday first."""
    return Table(DAYS, symbol, low, high)


Windows = Annotated[
    tuple[Window, ...],
    Written(read_windows, written_windows, "some", "times of day, such as 18:00-21:00, or none"),
]
"""Times of day [h], in order; an end above 24 is past midnight."""
Day = Annotated[date, Written(read_day, date.isoformat, "one", "a date, such as 2026-01-05")]
DateRange = Annotated[
    tuple[date, date], Written(read_days, _written_days, "one", "dates, such as 2026-07-01 to 2026-07-14")
]
DayRanges = Annotated[
    tuple[tuple[date, date], ...],
    Written(read_day_ranges, _written_ranges, "some", "dates, such as 2026-07-01 to 2026-07-14, or none"),
]
"""First and last day of each range, in order."""
DayWindows = Annotated[
    tuple[DatedWindows, ...],
    Written(
        read_dated_windows,
        written_dated,
        "some",
        "a day with its times, such as 2026-03-07 10:00-14:00, or none",
    ),
]
"""Times of day [h] of single days, in order of the days."""
WeekdayWindows = Annotated[tuple[tuple[Window, ...], ...], Table(DAYS)]
"""Times of day [h] for Monday to Sunday; days that are not written have none."""
MonthNumbers = Annotated[tuple[float, ...], Table(MONTHS, "number", 0.0)]
"""One number from 0 up for each month, January first."""
MonthTemperaturesC = Annotated[tuple[float, ...], Table(MONTHS, "degC")]
