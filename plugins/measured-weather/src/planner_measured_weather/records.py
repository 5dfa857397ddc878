"""Hourly records of a plain CSV file, read into rows.

In: a path, how its columns are called. Out: ``Rows`` and the year of each; a ``ValueError`` that begins with
`file:line:` where something is wrong. Must not know: what is done with the rows. Needs no pvlib.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from typing import Final, Literal

import numpy as np

from planner.scenario.clock import YEARS
from planner.scenario.columns import read_sheet
from planner.scenario.wording import quoted
from planner_measured_weather.settings import Columns
from planner_measured_weather.year import IntArray, Rows

HOUR: Final = timedelta(hours=1)


def read_records(path: Path, columns: Columns, stamp: Literal["end", "start"]) -> tuple[Rows, IntArray]:
    """Records of a file with a row an hour, in any order, and the year of each.

    Parameters
    ----------
    path : Path
        The file.
    columns : Columns
        How it calls its columns; units stand behind the names in its header.
    stamp : {"end", "start"}
        What the time of a record names of its hour.

    Raises
    ------
    ValueError
        In one sentence.
    """
    sheet = read_sheet(path)
    back = HOUR if stamp == "end" else timedelta(0)
    starts = [time - back for time in sheet.each(columns.time, read_time)]
    if not starts:
        raise sheet.wrong(None, "there is no record below the header")
    seen: dict[datetime, int] = {}
    for row, start in enumerate(starts):
        if start in seen:
            raise sheet.wrong(
                row,
                f"{start + back} was given in line {sheet.lines[seen[start]]} already; times are standard time, "
                "without summer time, a row an hour",
            )
        seen[start] = row

    def part(name: str) -> IntArray:
        return np.fromiter((getattr(start, name) for start in starts), np.int64, len(starts))

    rows = Rows(
        path.name,
        part("month"),
        part("day"),
        part("hour") + 1,
        sheet.numbers(columns.temperature, "degC"),
        sheet.numbers(columns.wind, "m/s"),
        sheet.numbers(columns.sun, "W/m^2"),
        sheet.numbers(columns.rain, "mm"),
        np.ones(len(starts)),
    )
    return rows, part("year")


def read_time(text: str) -> datetime:
    """A full hour, such as 2025-01-31 13:00; 24:00 is 0:00 of the next day."""
    midnight = text[11:] in {"24:00", "24:00:00"}
    try:
        time = datetime.fromisoformat(text[:10] if midnight else text)
    except ValueError:
        raise ValueError(f"{quoted(text)} is no date and time; write it like 2025-01-31 13:00") from None
    if not YEARS[0] < time.year < YEARS[1]:
        raise ValueError(
            f"{quoted(text)} is not possible; the year must be from {YEARS[0] + 1} to {YEARS[1] - 1}"
        )
    if time.tzinfo is not None:
        raise ValueError(
            f"'{text}' names an offset; write standard time of the place without one, 2025-01-31 13:00"
        )
    if (time.minute, time.second, time.microsecond) != (0, 0, 0):
        raise ValueError(f"'{text}' is no full hour; a row an hour is needed")
    return time + timedelta(days=1) if midnight else time
