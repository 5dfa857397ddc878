"""A measured year in order: units, gaps, impossible readings, and what the user is told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planner_measured_weather.year import HOURS, Measured, Rows, assemble, day_of_year, rain_factor


def test_published_figures_of_the_year_that_pvlib_ships(greensboro_year: Measured) -> None:
    # seen by reading 723170TYA.CSV (TMY3, Greensboro; NREL data shipped with pvlib 0.16.1)
    assert greensboro_year.temperature_c.mean() == pytest.approx(14.4218, abs=5e-5)
    assert greensboro_year.temperature_c.min() == -16.7
    assert greensboro_year.temperature_c.max() == 35.6
    assert greensboro_year.wind_m_s.mean() == pytest.approx(3.0544, abs=5e-5)
    assert greensboro_year.wind_m_s.max() == 15.4


def test_rain_in_tenths_under_a_header_that_says_millimetres_is_put_right_and_told(
    greensboro_year: Measured,
) -> None:
    assert greensboro_year.rain_mm.sum() == pytest.approx(834.5, abs=0.05)
    assert greensboro_year.rain_mm.max() == pytest.approx(50.0)
    assert any("8,345" in note and "tenths" in note for note in greensboro_year.notes)


def test_the_user_can_overrule_the_unit_of_rain(greensboro_rows: Rows) -> None:
    year = assemble(greensboro_rows, "mm")
    assert year.rain_mm.sum() > 5000
    assert not any("tenths" in note for note in year.notes)
    assert assemble(greensboro_rows, "tenths").rain_mm.sum() == pytest.approx(834.5, abs=0.05)


@pytest.mark.parametrize(
    ("total", "factor", "told"),
    [
        (299, 1.0, True),
        (300, 1.0, False),
        (2500, 1.0, False),
        (2501, 1.0, True),
        (3000, 0.1, True),
        (25001, 1.0, True),
    ],
)
def test_the_rule_that_judges_the_unit_of_rain(total: float, factor: float, told: bool) -> None:
    found, note = rain_factor(total, "auto")
    assert (found, bool(note)) == (factor, told)


def test_a_plain_year_is_taken_as_it_is_without_a_word(invented_rows: Rows) -> None:
    year = assemble(invented_rows)
    assert year.notes == ()
    np.testing.assert_array_equal(year.temperature_c, invented_rows.temperature_c)
    np.testing.assert_array_equal(year.rain_mm, invented_rows.rain)


def test_rows_in_any_order_find_their_hours(invented_rows: Rows) -> None:
    order = np.arange(HOURS)[::-1]
    shuffled = Rows("invented.csv", *(getattr(invented_rows, name)[order] for name in Rows.__slots__[1:]))
    np.testing.assert_array_equal(assemble(shuffled).temperature_c, assemble(invented_rows).temperature_c)


def test_the_hour_that_ends_at_one_is_the_first_of_the_day(invented_rows: Rows) -> None:
    sun = np.zeros(HOURS)
    sun[(invented_rows.month == 3) & (invented_rows.day == 1) & (invented_rows.hour_ending == 1)] = 77.0
    year = assemble(replace(invented_rows, sun_w_m2=sun))
    assert np.flatnonzero(year.sun_w_m2).tolist() == [59 * 24]


def test_a_gap_is_filled_from_the_same_hour_of_the_nearest_day_and_told(invented_rows: Rows) -> None:
    temperature = invented_rows.temperature_c.copy()
    temperature[100 * 24 + 7 : 100 * 24 + 10] = -9900.0
    year = assemble(replace(invented_rows, temperature_c=temperature))
    np.testing.assert_array_equal(
        year.temperature_c[100 * 24 + 7 : 100 * 24 + 10], temperature[99 * 24 + 7 : 99 * 24 + 10]
    )
    assert year.notes == (
        "invented.csv: temperature missing or impossible in 3 hours; taken from the same hour of the nearest day.",
    )


def test_a_gap_on_new_year_is_filled_from_the_last_of_december(invented_rows: Rows) -> None:
    wind = np.full(HOURS, 2.0)
    wind[-24:], wind[:24], wind[24:48] = 9.0, np.nan, 5.0
    wind[24:48] = np.nan
    assert (assemble(replace(invented_rows, wind_m_s=wind)).wind_m_s[:24] == 9.0).all()


def test_absent_rows_are_gaps_too(invented_rows: Rows) -> None:
    kept = np.arange(HOURS) != 5000
    fewer = Rows("invented.csv", *(getattr(invented_rows, name)[kept] for name in Rows.__slots__[1:]))
    year = assemble(fewer)
    assert year.temperature_c[5000] == invented_rows.temperature_c[5000 - 24]
    assert len(year.notes) == 4


def test_a_wind_that_cannot_be_is_missing(invented_rows: Rows) -> None:
    wind = invented_rows.wind_m_s.copy()
    wind[4000] = 468.5  # 1,048 mph stand in one published set of hourly weather
    year = assemble(replace(invented_rows, wind_m_s=wind))
    assert year.wind_m_s.max() < 10
    assert "wind missing or impossible in 1 hour;" in year.notes[0]


def test_a_file_with_too_much_missing_is_refused(invented_rows: Rows) -> None:
    sun = invented_rows.sun_w_m2.copy()
    sun[:900] = -9900.0
    with pytest.raises(ValueError, match=r"sun is missing or impossible in 900 of 8,760 hours.*at most 10%"):
        assemble(replace(invented_rows, sun_w_m2=sun))


def test_an_hour_of_the_day_that_is_never_given_is_refused(invented_rows: Rows) -> None:
    wind = np.where(invented_rows.hour_ending == 3, np.nan, 2.0)
    with pytest.raises(ValueError, match="wind is never given for one hour of the day"):
        assemble(replace(invented_rows, wind_m_s=wind))


def test_hours_given_twice_are_refused(invented_rows: Rows) -> None:
    twice = Rows(
        "invented.csv", *(np.concatenate([getattr(invented_rows, name)] * 2) for name in Rows.__slots__[1:])
    )
    with pytest.raises(ValueError, match="17,520 rows hold some hours more than once"):
        assemble(twice)


def test_an_hour_zero_or_a_thirteenth_month_is_refused(invented_rows: Rows) -> None:
    for name, value in (("hour_ending", 0), ("hour_ending", 25), ("month", 13), ("day", 32)):
        column = getattr(invented_rows, name).copy()
        column[0] = value
        with pytest.raises(ValueError, match="no such month, day or hour"):
            assemble(replace(invented_rows, **{name: column}))


def test_the_leap_day_of_a_file_is_left_out(invented_rows: Rows) -> None:
    more = {
        name: np.concatenate([getattr(invented_rows, name), getattr(invented_rows, name)[:1]])
        for name in Rows.__slots__[1:]
    }
    more["month"][-1], more["day"][-1], more["temperature_c"][-1] = 2, 29, 69.0
    assert assemble(Rows("invented.csv", **more)).temperature_c.max() < 69.0


def test_an_hour_without_a_rain_reading_is_dry_and_told(invented_rows: Rows) -> None:
    rain = invented_rows.rain.copy()
    rain[:50] = np.nan
    year = assemble(replace(invented_rows, rain=rain))
    assert year.rain_mm[:50].sum() == 0.0
    assert "rain was read hour by hour in 8,710 of 8,760 hours" in year.notes[0]


def test_rain_summed_over_several_hours_is_not_counted_as_an_hours_rain(invented_rows: Rows) -> None:
    rain, period = invented_rows.rain.copy(), invented_rows.rain_period_h.copy()
    rain[777], period[777] = 200.0, 24.0
    assert assemble(replace(invented_rows, rain=rain, rain_period_h=period)).rain_mm[777] == 0.0


def test_wind_measured_lower_is_brought_up_to_ten_metres(invented_rows: Rows) -> None:
    year = assemble(replace(invented_rows, wind_m_s=np.full(HOURS, 2.0)), wind_height_m=2.0)
    assert year.wind_m_s[0] == pytest.approx(2.0 * 5.0 ** (1 / 7))
    assert "from 2 m to 10 m" in year.notes[0]


def test_the_last_of_february_stands_for_the_leap_day() -> None:
    assert day_of_year(np.array([2, 2, 3, 12]), np.array([28, 29, 1, 31])).tolist() == [58, 58, 59, 364]


def test_the_world_gets_half_degrees_and_tenths_of_wind(greensboro_year: Measured) -> None:
    weather = greensboro_year.weather()
    np.testing.assert_array_equal(weather.temperature_c * 2, np.round(weather.temperature_c * 2))
    np.testing.assert_allclose(weather.wind_m_s * 10, np.round(weather.wind_m_s * 10), atol=1e-9)
    assert np.abs(weather.temperature_c - greensboro_year.temperature_c).max() <= 0.25 + 1e-9
    assert weather.note == " ".join(greensboro_year.notes)
