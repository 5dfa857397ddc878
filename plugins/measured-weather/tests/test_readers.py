"""TMY3 and EPW files: what is read, and what is said of files that cannot be."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from planner_measured_weather import readers
from planner_measured_weather.year import HOURS, Rows, assemble

Write = Callable[..., Path]


def test_every_hour_of_the_year_is_there_though_its_months_come_from_different_years(
    greensboro: Path, greensboro_rows: Rows
) -> None:
    years = {line.split(",")[0][-4:] for line in greensboro.read_text(encoding="utf-8").splitlines()[2:]}
    assert len(years) > 5
    slots = {*zip(greensboro_rows.month, greensboro_rows.day, greensboro_rows.hour_ending, strict=True)}
    assert len(slots) == HOURS
    assert (2, 28, 24) in slots
    assert (2, 29, 24) not in slots


def test_an_hour_of_a_tmy3_file_is_the_one_that_its_time_stamp_ends(
    greensboro: Path, greensboro_rows: Rows
) -> None:
    cells = [line.split(",") for line in greensboro.read_text(encoding="utf-8").splitlines()[1:]]
    ghi = cells[0].index("GHI (W/m^2)")
    at_noon = next(row for row in cells[1:] if row[0].startswith("06/21/") and row[1] == "12:00")
    year = assemble(greensboro_rows)
    assert year.sun_w_m2[(31 + 28 + 31 + 30 + 31 + 20) * 24 + 11] == float(at_noon[ghi])


def test_the_sun_is_highest_around_noon_and_dark_at_night(greensboro_rows: Rows) -> None:
    by_hour = assemble(greensboro_rows).sun_w_m2.reshape(365, 24).mean(axis=0)
    assert by_hour.argmax() in {11, 12}
    assert by_hour[[0, 1, 2, 3, 22, 23]].max() == 0.0


def test_minus_9900_is_missing_in_a_tmy3_file(greensboro: Path, tmp_path: Path) -> None:
    lines = greensboro.read_text(encoding="utf-8").splitlines()
    column = lines[1].split(",").index("Dry-bulb (C)")
    cells = lines[100].split(",")
    cells[column] = "-9900"
    lines[100] = ",".join(cells)
    copy = tmp_path / "copy.csv"
    copy.write_text("\n".join(lines) + "\n", encoding="utf-8")
    year = assemble(readers.read_tmy3(copy))
    assert year.temperature_c.min() == -16.7
    assert any("temperature missing or impossible in 1 hour;" in note for note in year.notes)


def test_an_epw_file_is_read_hour_by_hour(epw_file: Write) -> None:
    wind = np.round(2.0 + np.arange(HOURS) % 30 / 10, 1)
    year = assemble(readers.read_epw(epw_file(wind=wind)))
    np.testing.assert_array_equal(year.wind_m_s, wind)
    assert year.sun_w_m2.reshape(365, 24)[:, 8:16].min() == 300.0
    assert year.sun_w_m2.reshape(365, 24)[:, :8].max() == 0.0
    assert year.rain_mm.sum() == pytest.approx(4.0 * np.ceil(HOURS / 50))
    assert year.notes == ()


def test_an_epw_files_marks_for_missing_are_missing(epw_file: Write) -> None:
    temperature, rain = np.full(HOURS, 12.0), np.where(np.arange(HOURS) % 50 == 0, 4.0, 0.0)
    temperature[10], rain[10:20] = 99.9, 999.0
    year = assemble(readers.read_epw(epw_file(temperature=temperature, rain=rain)))
    assert year.temperature_c.max() == 12.0
    assert year.rain_mm.max() == 4.0
    assert len(year.notes) == 2


def test_the_wrong_format_is_named_with_the_right_model(greensboro: Path, epw_file: Write) -> None:
    with pytest.raises(ValueError, match=r"invented\.epw is an EPW file; say `model: measured\.epw`"):
        readers.read_tmy3(epw_file())
    with pytest.raises(ValueError, match=r"723170TYA\.CSV is a TMY3 file; say `model: measured\.tmy3`"):
        readers.read_epw(greensboro)


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "not a TMY3 file: its second line must name the columns"),
        (b"\x00\xff\x17", "not a TMY3 file"),
        (b"1,x,y,-5,36.1,-79.9,273\nDate (MM/DD/YYYY),Time (HH:MM)\nno,date\n", "cannot be read as TMY3"),
        (
            b"1,x,y,-5,36.1,-79.9,273\nDate (MM/DD/YYYY),Time (HH:MM)\n01/01/1990,01:00\n",
            "column 'Dry-bulb (C)' is missing",
        ),
        (
            b"1,x,y,-5,36.1,-79.9,273\nDate (MM/DD/YYYY),Time (HH:MM)\n01/01/1990,00:00\n",
            "from 01:00 to 24:00",
        ),
        (
            b"1,x\nDate (MM/DD/YYYY),Time (HH:MM)\n" + b"," * 5_000_000,
            ":3: this line is far longer than any of a weather file",
        ),
    ],
)
def test_a_broken_tmy3_file_is_told_in_one_sentence(content: bytes, told: str, tmp_path: Path) -> None:
    path = tmp_path / "broken.csv"
    path.write_bytes(content)
    with pytest.raises(ValueError, match=r"^broken\.csv") as caught:
        readers.read_tmy3(path)
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "not an EPW file: its first line must begin with LOCATION,"),
        (b"LOCATION,a\n", "cannot be read as EPW: lines or values are not as the format has them"),
        (b"LOCATION,a\n" + b"," * 5_000_000, ":2: this line is far longer than any of a weather file"),
    ],
)
def test_a_broken_epw_file_is_told_in_one_sentence(content: bytes, told: str, tmp_path: Path) -> None:
    path = tmp_path / "broken.epw"
    path.write_bytes(content)
    with pytest.raises(ValueError, match=r"^broken\.epw") as caught:
        readers.read_epw(path)
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


def test_an_epw_file_of_half_a_year_is_refused(epw_file: Write) -> None:
    path = epw_file()
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join(lines[: HOURS // 2]) + "\n", encoding="utf-8")
    with pytest.raises(ValueError, match=r"temperature is missing or impossible in 4,38\d of 8,760 hours"):
        assemble(readers.read_epw(path))


def test_a_file_that_is_not_there_or_far_too_large_is_told(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=r"none\.csv cannot be read: No such file"):
        readers.read_tmy3(tmp_path / "none.csv")
    large = tmp_path / "large.csv"
    with large.open("wb") as file:
        file.truncate(readers.MOST_BYTES + 1)
    with pytest.raises(ValueError, match="more than 20,000,000 bytes"):
        readers.read_tmy3(large)


def test_pvlib_is_imported_only_when_a_file_is_read() -> None:
    code = "import planner_measured_weather, sys; sys.exit(bool({'pvlib', 'pandas'} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
