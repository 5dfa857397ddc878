from __future__ import annotations

import numpy as np
import pytest

from planner.trade.daylight import (
    CIVIL_TWILIGHT_DEG,
    SUNRISE_DEG,
    daylight,
    declination_deg,
    equation_of_time_h,
    solar_ahead_h,
    sun_elevation_deg,
)

YEAR = np.arange(1, 366)


def test_days_are_long_in_june_in_the_north_and_in_december_in_the_south() -> None:
    for latitude, longest in ((48.0, 172), (-35.0, 355)):
        sunrise_h, sunset_h = daylight(latitude, YEAR)
        assert abs(int(YEAR[np.argmax(sunset_h - sunrise_h)]) - longest) <= 2


def test_the_sun_stands_at_the_chosen_height_at_sunrise_and_sunset() -> None:
    for at_deg in (SUNRISE_DEG, CIVIL_TWILIGHT_DEG):
        for hours in daylight(52.0, YEAR, at_deg):
            assert sun_elevation_deg(52.0, YEAR, hours) == pytest.approx(np.full(365, at_deg), abs=1e-9)


def test_twilight_adds_half_an_hour_or_more_at_each_end() -> None:
    sunrise_h, sunset_h = daylight(45.0, YEAR)
    dawn_h, dusk_h = daylight(45.0, YEAR, CIVIL_TWILIGHT_DEG)
    assert (sunrise_h - dawn_h > 0.45).all()
    assert (dusk_h - sunset_h > 0.45).all()


def test_in_the_far_north_the_sun_stays_up_in_summer_and_down_in_winter() -> None:
    sunrise_h, sunset_h = daylight(75.0, np.array([172, 355]))
    assert sunrise_h.tolist() == [0.0, 12.0]
    assert sunset_h.tolist() == [24.0, 12.0]


@pytest.mark.parametrize("latitude", [90.0, -90.0])
def test_at_the_poles_there_is_an_answer(latitude: float) -> None:
    sunrise_h, sunset_h = daylight(latitude, YEAR)
    assert np.isfinite(sunrise_h).all()
    assert {0.0, 24.0} == set((sunset_h - sunrise_h)[[171, 354]].tolist())


def test_noon_is_in_the_middle_and_the_sun_is_highest_then() -> None:
    sunrise_h, sunset_h = daylight(45.0, YEAR)
    assert sunrise_h + sunset_h == pytest.approx(np.full(365, 24.0))
    hours = np.linspace(0.0, 24.0, 97)
    by_hour = sun_elevation_deg(45.0, 100, hours)
    assert hours[np.argmax(by_hour)] == 12.0
    assert by_hour.max() == pytest.approx(90.0 - 45.0 + float(declination_deg(100)))


def test_the_sun_is_behind_in_february_and_ahead_in_november() -> None:
    minutes = 60.0 * equation_of_time_h(YEAR)
    assert int(YEAR[minutes.argmin()]) == pytest.approx(43, abs=3)  # 12 February
    assert int(YEAR[minutes.argmax()]) == pytest.approx(307, abs=3)  # 3 November
    assert minutes.min() == pytest.approx(-14.3, abs=0.2)
    assert minutes.max() == pytest.approx(16.4, abs=0.2)


def test_the_sun_is_an_hour_ahead_fifteen_degrees_further_east_and_behind_in_summer_time() -> None:
    sundial = equation_of_time_h(YEAR)
    assert solar_ahead_h(15.0, YEAR, 1.0) == pytest.approx(sundial)
    assert solar_ahead_h(30.0, YEAR, 1.0) == pytest.approx(sundial + 1.0)
    assert solar_ahead_h(-75.0, YEAR, np.full(365, -4.0)) == pytest.approx(sundial - 1.0)


def test_one_day_and_many_days_agree() -> None:
    one = daylight(45.0, 200)
    many = daylight(45.0, YEAR)
    assert (float(one[0]), float(one[1])) == (many[0][199], many[1][199])


def test_a_latitude_beyond_the_pole_is_refused() -> None:
    with pytest.raises(ValueError, match="latitude_deg is 95; it goes from -90 to 90"):
        daylight(95, 1)
