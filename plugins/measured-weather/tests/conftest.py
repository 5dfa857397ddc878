"""The measured year that pvlib ships, and invented files for what it does not show."""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from planner_measured_weather import readers
from planner_measured_weather.year import HOURS, Measured, Rows, assemble

EPW_HEADER = """LOCATION,Invented Town,-,ZZZ,Invented,000000,45.0,10.0,1.0,200.0
DESIGN CONDITIONS,0
TYPICAL/EXTREME PERIODS,0
GROUND TEMPERATURES,0
HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0
COMMENTS 1,invented
COMMENTS 2,invented
DATA PERIODS,1,1,Data,Sunday,1/1,12/31
"""

Column = Callable[[str, int, object], None]


def hours_of_a_year() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Month, day and hour ending of each hour of a year without leap day."""
    date = np.datetime64("2001-01-01") + np.arange(365)
    month = date.astype("datetime64[M]").astype(int) % 12 + 1
    day = (date - date.astype("datetime64[M]")).astype(int) + 1
    return np.repeat(month, 24), np.repeat(day, 24), np.tile(np.arange(1, 25), 365)


@pytest.fixture(scope="session")
def greensboro() -> Path:
    """TMY3 file that pvlib ships (BSD-3; data NREL)."""
    return Path(str(files("pvlib"))) / "data" / "723170TYA.CSV"


@pytest.fixture(scope="session")
def greensboro_rows(greensboro: Path) -> Rows:
    return readers.read_tmy3(greensboro)


@pytest.fixture(scope="session")
def greensboro_year(greensboro_rows: Rows) -> Measured:
    return assemble(greensboro_rows)


@pytest.fixture
def invented_rows() -> Rows:
    """A plain year: 3.0 mm of rain in every hundredth hour, nothing missing."""
    month, day, hour = hours_of_a_year()
    i = np.arange(HOURS)
    return Rows(
        source="invented.csv",
        month=month,
        day=day,
        hour_ending=hour,
        temperature_c=np.round(10.0 - 12.0 * np.cos(2 * np.pi * i / HOURS), 1),
        wind_m_s=np.round(3.0 + np.sin(i), 1),
        sun_w_m2=np.maximum(0.0, 500.0 * -np.cos(2 * np.pi * (i % 24) / 24.0)).round(),
        rain=np.where(i % 100 == 0, 5.0, 0.0),
        rain_period_h=np.ones(HOURS),
    )


@pytest.fixture
def epw_file(tmp_path: Path) -> Callable[..., Path]:
    """Write an invented EPW file; keyword arguments replace a column by its name here."""

    def write(**columns: np.ndarray) -> Path:
        month, day, hour = hours_of_a_year()
        i = np.arange(HOURS)
        temperature = columns.get("temperature", np.round(8.0 - 10.0 * np.cos(2 * np.pi * i / HOURS), 1))
        wind = columns.get("wind", np.full(HOURS, 2.5))
        sun = columns.get("sun", np.where((hour > 8) & (hour <= 16), 300, 0))
        rain = columns.get("rain", np.where(i % 50 == 0, 4.0, 0.0))
        period = columns.get("period", np.ones(HOURS))
        rows = [
            f"{1990 + m},{m},{d},{h},60,?9,{t},5.0,80,99000,0,0,300,{s},0,0,0,0,0,0,180,{w},5,5,20.0,77777,9,"
            f"999999999,10,0.1,0,88,0.2,{r},{p}"
            for m, d, h, t, w, s, r, p in zip(
                month, day, hour, temperature, wind, sun, rain, period, strict=True
            )
        ]
        path = tmp_path / "invented.epw"
        path.write_text(EPW_HEADER + "\n".join(rows) + "\n", encoding="utf-8")
        return path

    return write
