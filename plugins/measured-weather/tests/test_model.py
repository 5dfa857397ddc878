"""Weather of a world from a measured year: replayed, or in blocks within the season."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import numpy as np
import pytest

from planner.world.build import daylight_of
from planner.world.draw import Draw
from planner.world.parts import Horizon, Weather
from planner_measured_weather.model import Harder, MeasuredWeather, dates_in_year
from planner_measured_weather.year import HOURS, Measured

YEAR = Horizon(date(2026, 1, 1), 365, 45.0)
COLUMNS = ("temperature_c", "wind_m_s", "rain_mm", "sun_w_m2")

Model = Callable[..., MeasuredWeather]


@pytest.fixture(scope="session")
def model(greensboro_year: Measured) -> Model:
    def make(
        as_measured: bool = False, block_days: int = 5, season_days: int = 15, harder: Harder | None = None
    ) -> MeasuredWeather:
        return MeasuredWeather.of(greensboro_year, as_measured, block_days, season_days, harder or Harder())

    return make


def rows(weather: Weather) -> np.ndarray:
    return np.column_stack([getattr(weather, name) for name in COLUMNS])


def test_as_measured_is_the_measured_year_to_the_last_hour(model: Model, greensboro_year: Measured) -> None:
    replayed = model(as_measured=True).draw(Draw(1, 0), YEAR)
    np.testing.assert_array_equal(rows(replayed), rows(greensboro_year.weather()))
    again = model(as_measured=True).draw(Draw(2, 7), YEAR)
    np.testing.assert_array_equal(rows(again), rows(replayed))


def test_as_measured_starts_at_the_date_of_the_horizon(model: Model, greensboro_year: Measured) -> None:
    replayed = model(as_measured=True).draw(Draw(1, 0), Horizon(date(2026, 12, 31), 2, 45.0))
    expected = np.roll(rows(greensboro_year.weather()), 24, axis=0)[:48]
    np.testing.assert_array_equal(rows(replayed), expected)


def test_a_leap_day_has_the_weather_of_the_day_before(model: Model) -> None:
    leap = Horizon(date(2028, 2, 28), 3, 45.0)
    days = rows(model(as_measured=True).draw(Draw(1, 0), leap)).reshape(3, 24, 4)
    np.testing.assert_array_equal(days[0], days[1])
    assert dates_in_year(leap).tolist() == [58, 58, 59]
    assert dates_in_year(Horizon(date(2028, 12, 30), 3, 45.0)).tolist() == [363, 364, 0]


def test_a_resampled_hour_keeps_temperature_wind_rain_and_sun_of_one_measured_hour(
    model: Model, greensboro_year: Measured
) -> None:
    measured = rows(greensboro_year.weather()).reshape(365, 24, 4)
    world = rows(model().draw(Draw(3, 4), YEAR)).reshape(365, 24, 4)
    known = {day.tobytes() for day in measured}
    assert all(day.tobytes() in known for day in world)


def test_a_block_of_days_stays_together_within_its_season(model: Model) -> None:
    shift = model(block_days=7, season_days=10).blocks(Draw(5, 0), 365)[0]
    blocks = [shift[i : i + 7] for i in range(0, 365, 7)]
    assert all(len(set(block.tolist())) == 1 for block in blocks)
    assert np.abs(shift).max() <= 10
    assert len(set(shift.tolist())) > 10


def test_every_day_of_the_season_is_as_likely(model: Model) -> None:
    shifts = np.concatenate(
        [model(block_days=1, season_days=2).blocks(Draw(5, i), 365)[0] for i in range(40)]
    )
    shares = np.bincount(shifts + 2, minlength=5) / shifts.size
    assert np.abs(shares - 0.2).max() < 4 * np.sqrt(0.2 * 0.8 / shifts.size)


def test_worlds_differ_and_the_same_world_comes_again(model: Model) -> None:
    one, other = model().draw(Draw(9, 0), YEAR), model().draw(Draw(9, 1), YEAR)
    assert (one.temperature_c != other.temperature_c).mean() > 0.5
    np.testing.assert_array_equal(rows(model().draw(Draw(9, 0), YEAR)), rows(one))


def test_seasons_and_the_year_as_a_whole_are_kept(model: Model, greensboro_year: Measured) -> None:
    worlds = np.stack([rows(model().draw(Draw(11, i), YEAR)) for i in range(60)])
    measured = rows(greensboro_year.weather())
    by_month = worlds.mean(axis=0)[:, 0].reshape(365, 24).mean(axis=1)
    measured_by_day = measured[:, 0].reshape(365, 24).mean(axis=1)
    winter, summer = by_month[:59].mean(), by_month[151:243].mean()
    assert winter == pytest.approx(measured_by_day[:59].mean(), abs=1.0)
    assert summer == pytest.approx(measured_by_day[151:243].mean(), abs=1.0)
    assert worlds[..., 0].mean() == pytest.approx(14.4218, abs=0.2)
    assert worlds[..., 1].mean() == pytest.approx(3.0544, abs=0.05)
    assert worlds[..., 2].sum() / 60 == pytest.approx(834.5, rel=0.08)


def test_a_longer_horizon_changes_nothing_in_its_first_year(model: Model) -> None:
    longer = model().draw(Draw(13, 2), Horizon(date(2026, 1, 1), 1095, 45.0))
    np.testing.assert_array_equal(rows(longer)[:HOURS], rows(model().draw(Draw(13, 2), YEAR)))
    assert longer.temperature_c.shape == (1095 * 24,)


def test_a_horizon_that_ends_within_a_block_is_whole(model: Model) -> None:
    assert model().draw(Draw(1, 0), Horizon(date(2026, 6, 1), 8, 45.0)).wind_m_s.shape == (192,)


def test_no_season_and_single_days_is_the_year_as_measured(model: Model, greensboro_year: Measured) -> None:
    same = model(block_days=1, season_days=0).draw(Draw(1, 0), YEAR)
    np.testing.assert_array_equal(rows(same), rows(greensboro_year.weather()))


def test_the_note_travels_with_every_world(model: Model) -> None:
    assert "tenths" in model().draw(Draw(1, 0), YEAR).note


def test_the_files_standard_time_is_played_an_hour_later_in_summer_time(model: Model) -> None:
    july = Horizon(date(2026, 7, 1), 31, 36.1, -79.95, "Etc/GMT+5")
    summer_time = Horizon(date(2026, 7, 1), 31, 36.1, -79.95, "EST5EDT")
    standard, clock = (rows(model().draw(Draw(7, 0), horizon)) for horizon in (july, summer_time))
    np.testing.assert_array_equal(clock[1:], standard[:-1])


def test_the_measured_sun_shines_in_the_daylight_of_the_clock(model: Model) -> None:
    horizon = Horizon(date(2026, 1, 1), 365, 36.1, -79.95, "EST5EDT")
    sunrise_h, sunset_h = daylight_of(horizon)
    sun = model(as_measured=True).draw(Draw(1, 0), horizon).sun_w_m2.reshape(365, 24)
    hour = np.arange(24)
    dark = (hour + 1.0 < sunrise_h[:, None] - 0.5) | (hour > sunset_h[:, None] + 0.5)
    light = (hour > sunrise_h[:, None] + 0.5) & (hour + 1.0 < sunset_h[:, None] - 0.5)
    assert sun[dark].max() == 0.0
    assert (sun[light] > 0.0).mean() > 0.999


def test_a_hard_winter_is_the_same_hours_colder_and_windier(model: Model) -> None:
    winter = (5.0, 5.0, 5.0, *(0.0,) * 7, 5.0, 5.0)
    harder = Harder(winter, tuple(1.5 if k else 1.0 for k in winter))
    for replicate in range(5):
        usual = model().draw(Draw(3, replicate), YEAR)
        hard = model(harder=harder).draw(Draw(3, replicate), YEAR)
        cold = np.repeat(np.isin(YEAR.month, [1, 2, 3, 11, 12]), 24)
        np.testing.assert_array_equal(rows(hard)[~cold], rows(usual)[~cold])
        np.testing.assert_allclose(hard.temperature_c[cold], usual.temperature_c[cold] - 5.0)
        assert np.abs(hard.wind_m_s[cold] - 1.5 * usual.wind_m_s[cold]).max() <= 0.05 + 1e-9
        np.testing.assert_array_equal(rows(hard)[:, 2:], rows(usual)[:, 2:])
