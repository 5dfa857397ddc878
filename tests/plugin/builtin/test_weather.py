"""Weather models core.synthetic and core.constant."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError

from planner.plugin.builtin.memory import remembering
from planner.plugin.builtin.weather import CONSTANT, SYNTHETIC, clear_sky_w_m2
from planner.world.build import daylight_of
from planner.world.draw import Draw
from planner.world.parts import Horizon, Weather

YEAR = Horizon(date(2026, 1, 1), 365, 45.0)
TEN_YEARS = Horizon(date(2026, 1, 1), 3650, 45.0)
FLAT = {"coldest": "10 degC", "warmest": "10 degC", "daily_swing": "0 K"}
STEADY_WIND = {"windier_winter_share": 0, "windier_afternoon_share": 0, "windier_rain_share": 0}


def synthetic(replicate: int = 0, horizon: Horizon = YEAR, **settings: Any) -> Weather:
    weather: Weather = SYNTHETIC.build(SYNTHETIC.settings.model_validate(settings)).draw(
        Draw(3, replicate), horizon
    )
    return weather


def by_day(column: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
    return column.reshape(-1, 24)


@pytest.mark.parametrize("name", ["temperature_c", "wind_m_s", "rain_mm", "sun_w_m2"])
def test_a_longer_horizon_only_adds_hours(name: str) -> None:
    short, again = getattr(synthetic(), name), getattr(synthetic(), name)
    long = getattr(synthetic(horizon=Horizon(YEAR.start, 500, 45.0)), name)
    assert np.array_equal(short, again)
    assert np.array_equal(short, long[: short.size])
    assert not np.array_equal(short, getattr(synthetic(replicate=1), name))


def test_more_rain_leaves_warm_and_cold_spells_alone() -> None:
    dry, wet = synthetic(**FLAT), synthetic(**FLAT, wet_days_share=0.8)
    assert np.array_equal(dry.temperature_c, wet.temperature_c)
    assert (wet.rain_mm > 0).sum() > (dry.rain_mm > 0).sum()


def test_winter_is_cold_and_afternoons_are_warm() -> None:
    temperature_c = by_day(synthetic(horizon=TEN_YEARS).temperature_c)
    january, july = (temperature_c[TEN_YEARS.month == month].mean() for month in (1, 7))
    assert january == pytest.approx(0.3, abs=1.5)  # coldest 0, warmest 20 degC
    assert july == pytest.approx(19.7, abs=1.5)
    assert temperature_c.mean(axis=0).argmax() in (14, 15)
    assert temperature_c.mean() == pytest.approx(10.0, abs=0.5)


def test_south_of_the_equator_july_is_the_cold_month() -> None:
    south = Horizon(date(2026, 1, 1), 3650, -35.0)
    temperature_c = by_day(synthetic(horizon=south).temperature_c)
    assert temperature_c[south.month == 7].mean() < temperature_c[south.month == 1].mean() - 15.0


def test_spells_have_the_spread_and_the_memory_of_an_autoregressive_series() -> None:
    settings = {**FLAT, "spells": "4 degC", "spells_last": "30 h"}
    departures = np.concatenate([synthetic(r, TEN_YEARS, **settings).temperature_c - 10.0 for r in range(4)])
    hours = departures.size
    keeps = math.exp(-1 / 30)
    independent = hours * (1 - keeps) / (1 + keeps)  # Bartlett: hours that count as independent
    assert abs(departures.mean()) < 4 * 4.0 / math.sqrt(independent)
    assert departures.std() == pytest.approx(4.0, rel=4 / math.sqrt(2 * independent) + 0.001)
    lag_1 = np.corrcoef(departures[:-1], departures[1:])[0, 1]
    # rounding to half a degree takes 0.5**2 / 12 off the covariance's share of the variance
    expected = keeps * 16.0 / (16.0 + 0.25 / 12)
    assert lag_1 == pytest.approx(expected, abs=4 * math.sqrt((1 - keeps**2) / hours) + 3e-4)


def test_the_first_hour_is_as_uncertain_as_any_other() -> None:
    first = np.array([synthetic(r, **FLAT).temperature_c[0] for r in range(400)])
    assert first.std() == pytest.approx(4.0, rel=4 / math.sqrt(800))


def test_the_first_hour_is_as_windy_and_the_first_day_as_wet_as_any_other() -> None:
    settings = {
        "wind": "4 m/s",
        "wind_shape": 2,
        "wet_days_share": 0.4,
        "wet_stays_share": 0.8,
        **STEADY_WIND,
    }
    short = Horizon(YEAR.start, 1, 45.0)
    drawn = [synthetic(r, short, **settings) for r in range(600)]
    wind_m_s = np.array([weather.wind_m_s[0] for weather in drawn])
    relative = math.sqrt(4 / math.pi - 1)
    assert wind_m_s.std() / 4.0 == pytest.approx(relative, rel=0.15)
    assert abs(wind_m_s.mean() - 4.0) < 4 * 4.0 * relative / math.sqrt(600)
    wet = np.mean([weather.rain_mm.sum() > 0 for weather in drawn])
    assert wet == pytest.approx(0.4, abs=4 * math.sqrt(0.24 / 600))


def test_wind_has_the_mean_and_the_spread_of_a_weibull_distribution() -> None:
    settings = {"wind": "4 m/s", "wind_shape": 2, "wind_lasts": "3 h", **STEADY_WIND}
    wind_m_s = synthetic(horizon=TEN_YEARS, **settings).wind_m_s
    spread = math.sqrt(4 / math.pi - 1)  # relative, Rayleigh
    error = 4 * spread / math.sqrt(wind_m_s.size / 8)
    assert wind_m_s.mean() == pytest.approx(4.0, rel=error)
    assert wind_m_s.std() / wind_m_s.mean() == pytest.approx(spread, rel=0.02)


def test_the_mean_wind_stays_when_it_is_shifted_to_winter_afternoons_and_rain() -> None:
    wind_m_s = by_day(synthetic(horizon=TEN_YEARS, wind="4 m/s").wind_m_s)
    assert wind_m_s.mean() == pytest.approx(4.0, rel=0.03)
    assert wind_m_s[:, 14].mean() > 1.4 * wind_m_s[:, 2].mean()
    assert wind_m_s[TEN_YEARS.month == 1].mean() > 1.1 * wind_m_s[TEN_YEARS.month == 7].mean()


def test_wet_days_are_as_many_as_set_cloudier_and_windier() -> None:
    weather = synthetic(horizon=TEN_YEARS, wet_days_share=0.4, wet_stays_share=0.5)
    wet = by_day(weather.rain_mm).sum(axis=1) > 0
    days = wet.size
    independent = days * (1 - 0.5) / (1 + 0.5)
    assert wet.mean() == pytest.approx(0.4, abs=4 * math.sqrt(0.24 / independent))
    assert np.corrcoef(wet[:-1], wet[1:])[0, 1] == pytest.approx(0.5, abs=4 / math.sqrt(days))
    for column, more in ((weather.sun_w_m2, False), (weather.wind_m_s, True)):
        daily = by_day(column).mean(axis=1)
        assert (daily[wet].mean() > daily[~wet].mean()) == more
    fallen_mm = by_day(weather.rain_mm).sum(axis=1)[wet]
    assert abs(fallen_mm.mean() - 6.0) < 4 * fallen_mm.std() / math.sqrt(fallen_mm.size)


def test_rain_falls_evenly_in_hours_in_a_row() -> None:
    rain_mm = by_day(synthetic(rain_lasts="4 h").rain_mm)
    for day in rain_mm[rain_mm.sum(axis=1) > 0]:
        hours = np.flatnonzero(day)
        assert hours.size == 4
        assert hours[-1] - hours[0] == 3
        assert len(set(day[hours])) == 1


def test_a_year_brings_a_plausible_amount_of_rain() -> None:
    assert 300.0 < synthetic().rain_mm.sum() < 2500.0


def test_the_sun_shines_between_sunrise_and_sunset_only() -> None:
    sunrise_h, sunset_h = daylight_of(YEAR)
    middle = np.arange(24) + 0.5
    dark = (middle < sunrise_h[:, np.newaxis] - 0.1) | (middle > sunset_h[:, np.newaxis] + 0.1)
    sun = by_day(synthetic().sun_w_m2)
    assert (sun[dark] == 0.0).all()
    assert sun[172, 12] > sun[355, 12]
    assert (
        950.0 < clear_sky_w_m2(YEAR).max() < 1050.0
    )  # 68 deg high: sin .93; Haurwitz 1098 x .93 x exp(-.061)


def test_the_day_comes_an_hour_later_on_a_clock_that_is_an_hour_ahead() -> None:
    july = Horizon(date(2026, 7, 1), 31, 45.0, 15.0, "Etc/GMT-1")
    summer_time = Horizon(date(2026, 7, 1), 31, 45.0, 15.0, "CET")
    sun, later_sun = (clear_sky_w_m2(horizon) for horizon in (july, summer_time))
    assert later_sun[:, 1:] == pytest.approx(sun[:, :-1])
    settings = {"spells": "0 K", "daily_swing": "10 K", "dry_sun_share": 1, "wet_sun_share": 1}
    warmest, later = (
        by_day(synthetic(horizon=horizon, **settings).temperature_c).mean(axis=0)
        for horizon in (july, summer_time)
    )
    assert (int(warmest.argmax()), int(later.argmax())) == (15, 16)


def test_constant_weather_is_the_same_in_every_hour() -> None:
    settings = {"temperature": "-5 degC", "wind": "3 m/s", "rain": "0.5 mm", "sun_w_m2": 100}
    weather = CONSTANT.build(CONSTANT.settings.model_validate(settings)).draw(Draw(0, 0), YEAR)
    assert {(weather.temperature_c == -5).all(), (weather.wind_m_s == 3).all()} == {True}
    assert {(weather.rain_mm == 0.5).all(), (weather.sun_w_m2 == 100).all()} == {True}


def test_a_summer_colder_than_winter_is_refused() -> None:
    with pytest.raises(ValidationError, match="the warmest time, 5 degC, is colder than the coldest, 9 degC"):
        synthetic(coldest="9 degC", warmest="5 degC")


@pytest.mark.parametrize("keeps", [0.0, 0.3, 0.9, 0.999])
@pytest.mark.parametrize("size", [1, 2, 7, 8760])
def test_memory_is_the_filter_of_a_general_purpose_library(keeps: float, size: int) -> None:
    from scipy.signal import lfilter  # takes a second

    steps = Draw(1, 0).normal("steps", size)
    filtered = lfilter([1.0], [1.0, -keeps], steps)
    assert np.allclose(remembering(steps, keeps), filtered, rtol=1e-11, atol=1e-11)
