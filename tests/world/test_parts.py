"""Days, operational time and the resolution of the weather."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from planner.world.parts import Horizon, Weather, clock_h

LEAP = Horizon(date(2028, 2, 28), 4, 45.0)


def test_a_horizon_knows_its_calendar() -> None:
    assert LEAP.hours == 96
    assert [d.isoformat() for d in LEAP.dates] == ["2028-02-28", "2028-02-29", "2028-03-01", "2028-03-02"]
    assert LEAP.day_of_year.tolist() == [59, 60, 61, 62]
    assert LEAP.month.tolist() == [2, 2, 3, 3]
    assert LEAP.weekday.tolist() == [0, 1, 2, 3]


def test_a_busy_month_stretches_operational_time() -> None:
    assert LEAP.operational_h({2: 0.5, 3: 2.0}).tolist() == [0.0, 12.0, 24.0, 72.0, 120.0]
    assert LEAP.operational_h({}).tolist() == [0.0, 24.0, 48.0, 72.0, 96.0]


def test_growth_compounds_over_a_year() -> None:
    operational_h = Horizon(date(2026, 1, 1), 730, 45.0).operational_h({}, 0.2)
    first, second = operational_h[365], operational_h[730] - operational_h[365]
    assert second / first == pytest.approx(1.2)


def test_clock_time_is_the_way_back_from_operational_time() -> None:
    operational_h = LEAP.operational_h({2: 0.5, 3: 2.0})
    at_h = np.array([0.0, 6.0, 24.0, 48.0, 120.0, 120.1])
    assert clock_h(operational_h, at_h).tolist() == [0.0, 12.0, 48.0, 60.0, 96.0, np.inf]


def test_weather_is_rounded_as_weather_files_give_it() -> None:
    weather = Weather.rounded(*(np.array([value]) for value in (10.26, 2.34, -0.1, -5.0)))
    columns = (weather.temperature_c, weather.wind_m_s, weather.rain_mm, weather.sun_w_m2)
    assert [float(column[0]) for column in columns] == [10.5, 2.3, 0.0, 0.0]


def test_an_hour_of_summer_time_is_the_hour_before_of_standard_time() -> None:
    change = Horizon(date(2026, 3, 28), 3, 45.0, 15.0, "CET")
    assert change.summer_time_h.tolist() == [0, 1, 1]
    assert change.standard_hour.tolist() == [*range(24), *range(23, 71)]
    back = Horizon(date(2026, 10, 24), 2, 45.0, 15.0, "CET")
    assert back.standard_hour.tolist() == [0, *range(23), *range(24, 48)]
    assert Horizon(date(2026, 7, 1), 2, 45.0).standard_hour.tolist() == list(range(48))
