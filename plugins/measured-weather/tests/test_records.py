"""Hourly records of a plain CSV: read, put in order, replayed as they were, put together anew. All of them invented."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import planner
from planner.world.draw import Draw
from planner.world.inspection import inspect
from planner.world.parts import Horizon, Weather
from planner_measured_weather import planner_models
from planner_measured_weather.model import MeasuredWeather
from planner_measured_weather.records import read_time
from planner_measured_weather.settings import RecordsSettings
from planner_measured_weather.year import HOURS, Rows, assemble

HEADER = "time,temperature [degC],wind [m/s],rain [mm],sun [W/m2]"
NAMES = ("temperature_c", "wind_m_s", "rain_mm", "sun_w_m2")
Record = tuple[datetime, float, float, float, float]


def records(first: str, last: str) -> Iterator[Record]:
    """An hour after the other from the first day to the last, each unlike the ones around it.

    The sun's figure says which day it was: half the days since the first of January 2021.
    """
    at, end = datetime.fromisoformat(first), datetime.fromisoformat(last) + timedelta(days=1)
    while at < end:
        number = (at - datetime(2021, 1, 1)).days
        yield (
            at,
            number % 50 / 2 + at.hour / 10,
            (number * 7 + at.hour) % 90 / 10,
            0.1 * (number % 3),
            number / 2,
        )
        at += timedelta(hours=1)


def lines(of: Sequence[Record] | Iterator[Record], ahead_h: int = 1) -> list[str]:
    return [
        f"{at + timedelta(hours=ahead_h)},{air:g},{wind:g},{rain:g},{sun:g}"
        for at, air, wind, rain, sun in of
    ]


def write(folder: Path, rows: Sequence[str], header: str = HEADER) -> Path:
    path = folder / "weather.csv"
    path.write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
    return path


def model(folder: Path, **changes: Any) -> MeasuredWeather:
    settings: Mapping[str, Any] = {"file": "weather.csv"} | changes
    read = RecordsSettings.model_validate(settings, context={"folder": folder, "currency": "EUR"})
    provider = next(one for one in planner_models() if one.name == "csv")
    built: MeasuredWeather = provider.build(read)
    return built


@pytest.fixture(scope="session")
def four_years(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("four")
    write(folder, lines(records("2021-01-01", "2024-12-31")))
    return folder


def expected(first: str, last: str) -> Weather:
    columns = list(zip(*list(records(first, last)), strict=True))[1:]
    air, wind, rain, sun = (np.array(column) for column in columns)
    return Weather.rounded(air, wind, rain, sun)


def same(one: Weather, other: Weather) -> bool:
    return all(np.array_equal(getattr(one, name), getattr(other, name)) for name in NAMES)


def replayed(folder: Path, start: date, days: int, **changes: Any) -> Weather:
    horizon = Horizon(start, days, 45.0)
    drawn = model(folder, as_measured=True, **changes).draw(Draw(1, 0), horizon)
    inspect(drawn, Weather, horizon)
    return drawn


def test_a_replay_is_the_records_hour_by_hour_leap_day_and_turn_of_the_year_included(
    four_years: Path,
) -> None:
    assert same(replayed(four_years, date(2023, 11, 1), 200), expected("2023-11-01", "2024-05-18"))
    assert same(replayed(four_years, date(2021, 1, 1), 1461), expected("2021-01-01", "2024-12-31"))


def test_years_begin_with_the_first_record_whenever_that_is(tmp_path: Path) -> None:
    write(tmp_path, lines(records("2023-05-10", "2025-05-09")))
    assert model(tmp_path).years == 2
    assert same(replayed(tmp_path, date(2023, 5, 10), 731), expected("2023-05-10", "2025-05-09"))


def test_a_year_that_was_not_measured_is_played_with_one_that_was(four_years: Path) -> None:
    assert same(replayed(four_years, date(2025, 1, 1), 365), expected("2021-01-01", "2021-12-31"))
    assert same(replayed(four_years, date(2019, 1, 1), 365), expected("2023-01-01", "2023-12-31"))
    leap = replayed(four_years, date(2028, 2, 28), 2)
    assert (leap.sun_w_m2[:24] == leap.sun_w_m2[24:]).all()


def test_worlds_take_their_blocks_from_every_year_evenly_and_within_the_season(four_years: Path) -> None:
    built = model(four_years, block="4 days", season="10 days")
    years, away = [], []
    for number in range(60):
        horizon = Horizon(date(2027, 6, 1), 40, 45.0)
        drawn = built.draw(Draw(7, number), horizon)
        days = drawn.sun_w_m2.reshape(-1, 24)
        assert (days == days[:, :1]).all()
        assert (np.diff(days[:, 0])[np.arange(39) % 4 != 3] == 0.5).all()
        was = [date(2021, 1, 1) + timedelta(days=round(2 * day)) for day in days[:, 0]]
        years += [day.year for day in was[::4]]
        away += [
            (day - date(day.year, one.month, one.day)).days
            for day, one in zip(was, horizon.dates, strict=True)
        ]
    counts = np.array([years.count(year) for year in range(2021, 2025)])
    assert ((counts - 150) ** 2 / 150).sum() < 16.3  # chi-squared, 3 degrees of freedom, 0.1 %
    assert {min(away), max(away)} == {-10, 10}


def test_one_year_is_drawn_as_a_typical_year_with_the_same_numbers_is(invented_rows: Rows) -> None:
    typical = MeasuredWeather.of(assemble(invented_rows), False, 5, 15)
    dated = MeasuredWeather.of(assemble(invented_rows, year=np.full(HOURS, 2023)), False, 5, 15)
    for start in (date(2026, 3, 1), date(2027, 11, 20)):
        horizon = Horizon(start, 700, 45.0)
        assert same(typical.draw(Draw(1, 3), horizon), dated.draw(Draw(1, 3), horizon))


def test_units_stand_in_the_header_and_columns_may_be_called_otherwise(tmp_path: Path) -> None:
    year = list(records("2021-01-01", "2021-12-31"))
    write(tmp_path, lines(year))
    plain = replayed(tmp_path, date(2021, 1, 1), 365)
    rows = [
        f"{at:%Y-%m-%dT%H:%M};x;{sun / 1000};{rain / 25.4};{wind * 3.6};{air * 1.8 + 32}"
        for at, air, wind, rain, sun in year
    ]
    write(tmp_path, rows, "UTC-5;remark;ghi (kW/m2);precip (in);wind (km/h);dry bulb (degF)")
    columns = {"time": "UTC-5", "temperature": "Dry bulb", "rain": "precip", "sun": "ghi"}
    other = replayed(tmp_path, date(2021, 1, 1), 365, columns=columns, stamp="start")
    for name in NAMES:
        np.testing.assert_allclose(getattr(other, name), getattr(plain, name), rtol=1e-9, atol=1e-9)


def test_a_time_names_the_end_of_its_hour_or_its_start(tmp_path: Path) -> None:
    write(tmp_path, lines(records("2021-01-01", "2022-12-31"), ahead_h=0))
    by_start = replayed(tmp_path, date(2021, 1, 1), 365, stamp="start")
    assert same(by_start, expected("2021-01-01", "2021-12-31"))
    by_end = replayed(tmp_path, date(2021, 3, 1), 30)
    np.testing.assert_array_equal(by_end.sun_w_m2[:-1], by_start.sun_w_m2[59 * 24 :][1 : 30 * 24])


def test_missing_hours_are_those_of_the_nearest_day_and_told(tmp_path: Path) -> None:
    rows = lines(records("2023-01-01", "2024-12-31"))
    leap_day = (365 + 59) * 24
    kept = [row for number, row in enumerate(rows) if number not in {5000, leap_day + 7}]
    kept[100] = kept[100].split(",")[0] + ",,NA,,"
    write(tmp_path, kept)
    drawn, whole = replayed(tmp_path, date(2023, 1, 1), 731), expected("2023-01-01", "2024-12-31")
    assert drawn.temperature_c[5000] == whole.temperature_c[5000 - 24]
    assert drawn.sun_w_m2[100] == whole.sun_w_m2[100 - 24]
    assert drawn.rain_mm[100] == 0.0
    assert drawn.temperature_c[leap_day + 7] == whole.temperature_c[leap_day + 7 - 24]
    assert "weather.csv: wind missing or impossible in 3 hours; taken from the same hour" in drawn.note
    others = np.setdiff1d(np.arange(731 * 24), [100, 5000, leap_day + 7])
    np.testing.assert_array_equal(drawn.temperature_c[others], whole.temperature_c[others])


def test_a_year_with_too_much_missing_is_refused_beside_whole_ones(four_years: Path, tmp_path: Path) -> None:
    rows = (four_years / "weather.csv").read_text(encoding="utf-8").splitlines()[1:]
    write(tmp_path, rows[:9000] + rows[9900:])
    with pytest.raises(ValueError, match=r"in 900 of 8,760 hours of one of its years"):
        model(tmp_path)


def test_what_is_no_whole_year_is_left_out_and_told(tmp_path: Path) -> None:
    write(tmp_path, lines(records("2021-01-01", "2022-03-31"), ahead_h=0))
    built = model(tmp_path)
    assert (built.years, built.first) == (1, date(2021, 1, 1))
    assert "2,160 hours before 2021-01-01 or after 2021-12-31 are left out" in built.hours.note
    write(tmp_path, lines(records("2021-01-01", "2021-10-31")))
    with pytest.raises(
        ValueError, match="its hours run from 2021-01-01 to 2021-10-31; at least one whole year"
    ):
        model(tmp_path)


def test_the_same_options_hold_as_for_the_other_formats(four_years: Path) -> None:
    plain = replayed(four_years, date(2022, 1, 1), 31)
    harder = replayed(
        four_years, date(2022, 1, 1), 31, colder_by="4 degC", windier_times=1.5, wind_height="2 m"
    )
    np.testing.assert_allclose(harder.temperature_c, plain.temperature_c - 4.0)
    times = harder.wind_m_s.sum() / plain.wind_m_s.sum()
    assert times == pytest.approx(1.5 * 5 ** (1 / 7), rel=0.01)


@pytest.mark.parametrize(
    ("rows", "header", "told"),
    [
        ([], HEADER, "weather.csv:1: there is no record"),
        (
            ["2021-01-01 01:00,1,2,3,4"] * 2,
            HEADER,
            "weather.csv:3: 2021-01-01 01:00:00 was given in line 2 already",
        ),
        (["2021-01-01 01:30,1,2,3,4"], HEADER, "weather.csv:2: '2021-01-01 01:30' is no full hour"),
        (
            ["2021-01-01 01:00+01:00,1,2,3,4"],
            HEADER,
            "weather.csv:2: '2021-01-01 01:00+01:00' names an offset",
        ),
        (["01.02.2021 01:00,1,2,3,4"], HEADER, "weather.csv:2: '01.02.2021 01:00' is no date and time"),
        (["2021-01-01 01:00,1,calm,3,4"], HEADER, "weather.csv:2: 'calm' in column 'wind' is not a number"),
        (["2021-01-01 01:00,1"], HEADER, "weather.csv:2: 2 cells stand here"),
        (["2021-01-01 01:00,1"], "time,temperature", "weather.csv:1: column 'temperature' has no unit"),
        (["2021-01-01 01:00,1"], "time,temperature [degC]", "weather.csv:1: there is no column 'wind'"),
        (
            ["2021-01-01 01:00,1,1"],
            "time,temperature [degC],wind [kg]",
            "weather.csv:1: column 'wind': '0 kg' is a mass",
        ),
    ],
)
def test_a_mistake_in_the_file_is_told_with_its_line(
    rows: list[str], header: str, told: str, tmp_path: Path
) -> None:
    write(tmp_path, rows, header)
    with pytest.raises(ValueError, match=r"^weather\.csv:\d+: ") as caught:
        model(tmp_path)
    assert told in str(caught.value)


def test_midnight_may_be_written_as_24_oclock() -> None:
    assert read_time("2021-12-31 24:00") == datetime(2022, 1, 1) == read_time("2022-01-01T00:00:00")


def test_the_example_that_users_are_shown_works(four_years: Path, tmp_path: Path) -> None:
    text = (four_years / "weather.csv").read_text(encoding="utf-8")
    (tmp_path / "weather.csv").write_text(text.replace("time", "UTC-5", 1).replace("wind", "wind at 2 m", 1))
    provider = next(one for one in planner_models() if one.name == "csv")
    assert (
        model(tmp_path, **{name: value for name, value in provider.example.items() if name != "file"}).years
        == 4
    )


def test_pvlib_is_not_needed(four_years: Path) -> None:
    code = f"""
import sys
sys.modules["pvlib"] = sys.modules["pandas"] = None
from pathlib import Path
from planner_measured_weather import planner_models
from planner_measured_weather.settings import RecordsSettings
settings = RecordsSettings.model_validate({{"file": "weather.csv"}}, context={{"folder": Path({str(four_years)!r})}})
print(next(one for one in planner_models() if one.name == "csv").build(settings).years)
"""
    ran = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert ran.stdout == "4\n"


def test_a_scenario_is_checked_and_played_on_records(four_years: Path, tmp_path: Path) -> None:
    text = (Path(__file__).resolve().parents[3] / "tests" / "study" / "garden.yaml").read_text(
        encoding="utf-8"
    )
    text += "\nweather: {model: measured.csv, settings: {file: weather.csv, as_measured: true}}\n"
    (tmp_path / "garden.yaml").write_text(text, encoding="utf-8")
    rows = (four_years / "weather.csv").read_text(encoding="utf-8").splitlines()
    write(tmp_path, rows[1:4000] + rows[4001:])
    scenario = planner.load(tmp_path / "garden.yaml")
    (note,) = planner.check(scenario).notes[:1]
    assert "weather.csv: temperature missing or impossible in 1 hour;" in note
    assert planner.run(scenario).failures == ()
