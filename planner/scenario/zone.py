"""Time zones as a scenario names them, and how far their clocks are ahead of universal time.

In: a name of the IANA time zone database, dates. Out: the name, checked; hours by date.
Must not know: longitude, the sun.

The clock changes at night; a whole day has the offset of its noon, and every day has 24 hours.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime, time
from typing import Annotated, Final
from zoneinfo import ZoneInfo, available_timezones

from pydantic import AfterValidator

from planner.scenario.wording import nearest, quoted

_NOON: Final = time(12)
_THIS_MACHINE: Final = "localtime"
_SEASONS: Final = ((1, 15), (7, 15))
"""Days of which one has no summer time, north or south of the equator."""


def checked_zone(name: str) -> str:
    """A time zone that is known here."""
    try:
        if name == _THIS_MACHINE:
            raise ValueError
        ZoneInfo(name)
    except (LookupError, OSError, ValueError):  # not there, a folder, no path below the database's
        near = nearest(name, available_timezones() - {_THIS_MACHINE})
        guess = f"did you mean {near}? " if near else ""
        raise ValueError(
            f"{quoted(name)} is not a time zone; {guess}write a name of the IANA time zone database, such as CET, "
            "EST5EDT or Etc/GMT+5 (five hours behind universal time, without summer time)"
        ) from None
    return name


TimeZone = Annotated[str, AfterValidator(checked_zone)]


def clock_ahead_h(zone: str, days: Iterable[date]) -> list[float]:
    """How far the clock is ahead of universal time on each day [h], summer time included."""
    place = ZoneInfo(zone)
    return [_ahead_h(place, day) for day in days]


def standard_h(zone: str, years: Iterable[int]) -> dict[int, float]:
    """How far the clock is ahead of universal time in each year while there is no summer time [h]."""
    place = ZoneInfo(zone)
    return {year: min(_ahead_h(place, date(year, *day)) for day in _SEASONS) for year in years}


def _ahead_h(place: ZoneInfo, day: date) -> float:
    noon = datetime.combine(day, _NOON, place)
    return (noon.replace(tzinfo=UTC) - noon).total_seconds() / 3600.0
