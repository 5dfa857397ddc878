"""Measured weather files read by pvlib into rows.

In: a path. Out: ``Rows`` with NaN for what the file marks as missing; a ``ValueError`` in plain words where the file
cannot be read. Must not know: what is done with the rows. Imports pvlib only when a file is read.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import numpy as np

from planner.world.parts import FloatArray
from planner_measured_weather.year import IntArray, Rows

MOST_BYTES: Final = 20_000_000
"""A measured year has 1 to 3 MB; what is far larger is something else (assumed)."""

LONGEST_LINE: Final = 10_000
"""Letters; comments at the top of a file may be long (assumed)."""
CALLED: Final = {
    "temp_air": "Dry-bulb (C)",
    "wind_speed": "Wspd (m/s)",
    "ghi": "GHI (W/m^2)",
}
"""Columns of a TMY3 file as it calls them itself, by the names that pvlib gives them (pvlib.iotools, VARIABLE_MAP)."""

_EPW_FIRST: Final = "LOCATION,"
_TMY3_DATE: Final = "Date (MM/DD/YYYY)"
_TMY3_TIME: Final = "Time (HH:MM)"
_EPW_RAIN_MISSING: Final = 999.0
_EPW_PERIOD_MISSING: Final = 99.0
"""EPW data dictionary (EnergyPlus, Auxiliary Programs), N33 and N34."""


def read_tmy3(path: Path) -> Rows:
    """Hours of a TMY3 file.

    Notes
    -----
    Sun and rain are those of the 60 minutes before the time stamp; temperature and wind are read at the time stamp
    and taken for the hour that it ends. -9900 means missing. Months come from different years: only month, day and
    hour are used, from the file's own columns, since pvlib moves the last hour of a leap year's February to March.
    NREL/TP-581-43156 (2008), as pvlib describes it.
    """
    text = _text(path)
    if text.startswith(_EPW_FIRST):
        raise ValueError(f"{path.name} is an EPW file; say `model: measured.epw`.")
    if _TMY3_DATE not in text[:4000]:
        raise ValueError(
            f"{path.name} is not a TMY3 file: its second line must name the columns, beginning with {_TMY3_DATE}."
        )
    data = _parsed(path, "TMY3", lambda: _pvlib().read_tmy3(io.StringIO(text), map_variables=True)[0])

    def make() -> Rows:
        date, time = data[_TMY3_DATE].str.split("/"), data[_TMY3_TIME].str.split(":")
        month, day, hour = (_whole(path, column) for column in (date.str[0], date.str[1], time.str[0]))
        if (hour == 0).any():
            raise ValueError(
                f"{path.name}: hours must run from 01:00 to 24:00, each naming the hour that it ends."
            )
        return Rows(
            path.name,
            month,
            day,
            hour,
            _numbers(data["temp_air"]),
            _numbers(data["wind_speed"]),
            _numbers(data["ghi"]),
            _numbers(data["Lprecip depth (mm)"]),
            _known(_numbers(data["Lprecip quantity (hr)"]), _EPW_PERIOD_MISSING),
        )

    return _made(path, "TMY3", make)


def read_epw(path: Path) -> Rows:
    """Hours of an EPW file.

    Notes
    -----
    Hour 1 is 00:01 to 01:00; sun is that of the 60 minutes before, temperature and wind are read at the end of the
    hour and taken for the hour. 999 means no rain reading. EPW data dictionary (EnergyPlus, Auxiliary Programs).
    """
    text = _text(path)
    if _TMY3_DATE in text[:4000]:
        raise ValueError(f"{path.name} is a TMY3 file; say `model: measured.tmy3`.")
    if not text.startswith(_EPW_FIRST):
        raise ValueError(f"{path.name} is not an EPW file: its first line must begin with {_EPW_FIRST}")
    data = _parsed(path, "EPW", lambda: _pvlib().read_epw(io.StringIO(text))[0])

    def make() -> Rows:
        return Rows(
            path.name,
            _whole(path, data["month"]),
            _whole(path, data["day"]),
            _whole(path, data["hour"]),
            _numbers(data["temp_air"]),
            _numbers(data["wind_speed"]),
            _numbers(data["ghi"]),
            _known(_numbers(data["liquid_precipitation_depth"]), _EPW_RAIN_MISSING),
            _known(_numbers(data["liquid_precipitation_quantity"]), _EPW_PERIOD_MISSING),
        )

    return _made(path, "EPW", make)


def _pvlib() -> Any:
    """The readers of pvlib, imported only now: only a run that reads a file pays for them."""
    from pvlib import iotools

    return iotools


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise ValueError(
                f"{path.name} has more than {MOST_BYTES:,} bytes; a measured year has 1 to 3 million."
            )
        text = path.read_bytes().decode("utf-8-sig", errors="replace")
    except OSError as error:
        raise ValueError(
            f"{path.name} cannot be read: {error.strerror}. Check the path after `file:`."
        ) from error
    for number, line in enumerate(text.splitlines(), 1):
        if len(line) > LONGEST_LINE:
            raise ValueError(
                f"{path.name}:{number}: this line is far longer than any of a weather file; is it the right file?"
            )
    return text


def _parsed(path: Path, form: str, read: Callable[[], Any]) -> Any:
    """What pvlib made of the file; whatever goes wrong in it becomes one sentence."""
    try:
        return read()
    except Exception as error:
        raise ValueError(
            f"{path.name} cannot be read as {form}: lines or values are not as the format has them. Download it again "
            "or take another station."
        ) from error


def _made(path: Path, form: str, make: Callable[[], Rows]) -> Rows:
    try:
        return make()
    except KeyError as error:
        name = CALLED.get(str(error.args[0]), str(error.args[0]))
        raise ValueError(f"{path.name}: the {form} column '{name}' is missing; take another file.") from error
    except (AttributeError, TypeError) as error:
        raise ValueError(
            f"{path.name}: a date or time is not as {form} has it; download it again or take another station."
        ) from error


def _numbers(column: Any) -> FloatArray:
    """A column as numbers, NaN where it holds none."""
    import pandas as pd

    return np.asarray(pd.to_numeric(column, errors="coerce"), dtype=np.float64)


def _known(values: FloatArray, missing_from: float) -> FloatArray:
    """The values, NaN from the format's mark for missing on."""
    return np.where(values < missing_from, values, np.nan)


def _whole(path: Path, column: Any) -> IntArray:
    values = _numbers(column)
    if np.isnan(values).any():
        raise ValueError(f"{path.name}: a month, day or hour is not a number; take another file.")
    return values.astype(np.int64)
