"""Sunrise, sunset and elevation against pvlib, a general-purpose library of solar position."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest
from pvlib import solarposition

from planner.trade.daylight import (
    CIVIL_TWILIGHT_DEG,
    daylight,
    declination_deg,
    equation_of_time_h,
    sun_elevation_deg,
)
from planner.world.build import daylight_of
from planner.world.parts import Horizon

YEAR = np.arange(1, 366)


def noons(every: int = 1) -> pd.DatetimeIndex:
    return pd.date_range("2023-01-01 12:00", periods=365, freq="D", tz="UTC")[::every]


def test_declination_is_spencers_and_close_to_coopers() -> None:
    """Spencer 1971 and Cooper 1969 as in pvlib.solarposition."""
    assert np.radians(declination_deg(YEAR)) == pytest.approx(
        solarposition.declination_spencer71(YEAR), abs=1e-9
    )
    assert np.radians(declination_deg(YEAR)) == pytest.approx(
        solarposition.declination_cooper69(YEAR), abs=np.radians(1.8)
    )


def test_the_equation_of_time_is_spencers() -> None:
    """Spencer 1971 as in pvlib.solarposition."""
    minutes = solarposition.equation_of_time_spencer71(YEAR)
    assert 60.0 * equation_of_time_h(YEAR) == pytest.approx(minutes, abs=1e-9)


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone"),
    [(36.1, -79.95, "EST5EDT"), (47.5, 8.6, "CET"), (60.0, 25.0, "EET"), (-35.0, 149.0, "Australia/Sydney")],
)
def test_sunrise_and_sunset_on_the_clock_are_those_of_the_nrel_algorithm_within_five_minutes(
    latitude: float, longitude: float, zone: str
) -> None:
    """pvlib's NREL solar position algorithm, in the local time of the zone, summer time included."""
    horizon = Horizon(date(2026, 1, 1), 365, latitude, longitude, zone)
    noons = pd.DatetimeIndex([pd.Timestamp(f"{day} 12:00", tz=zone) for day in horizon.dates])
    spa = solarposition.sun_rise_set_transit_spa(noons, latitude, longitude)

    def on_the_clock(column: str) -> np.ndarray:
        local = spa[column].dt.tz_convert(zone).dt
        return np.asarray(local.hour + local.minute / 60.0 + local.second / 3600.0)

    sunrise_h, sunset_h = daylight_of(horizon)
    assert sunrise_h == pytest.approx(on_the_clock("sunrise"), abs=5 / 60)
    assert sunset_h == pytest.approx(on_the_clock("sunset"), abs=5 / 60)


@pytest.mark.parametrize("latitude", [-60.0, -35.0, 0.0, 36.0, 47.0, 60.0])
def test_sunrise_and_sunset_are_those_of_the_nrel_algorithm_within_four_minutes(latitude: float) -> None:
    """pvlib's NREL solar position algorithm at longitude 0, each counted from that day's own solar noon."""
    times = noons()
    spa = solarposition.sun_rise_set_transit_spa(times, latitude, 0.0)
    rise_h = (spa["sunrise"] - spa["transit"]).dt.total_seconds().to_numpy() / 3600.0 + 12.0
    set_h = (spa["sunset"] - spa["transit"]).dt.total_seconds().to_numpy() / 3600.0 + 12.0
    sunrise_h, sunset_h = daylight(latitude, YEAR)
    assert sunrise_h == pytest.approx(rise_h, abs=4 / 60)
    assert sunset_h == pytest.approx(set_h, abs=4 / 60)


def test_the_sun_stands_six_degrees_down_at_civil_twilight_by_the_nrel_algorithm() -> None:
    """pvlib's NREL solar position algorithm, true elevation at the hour found, within half a degree."""
    times = noons(7)
    transit = solarposition.sun_rise_set_transit_spa(times, 47.0, 0.0)["transit"]
    _, dusk_h = daylight(47.0, YEAR[::7], CIVIL_TWILIGHT_DEG)
    at = pd.DatetimeIndex(transit + pd.to_timedelta(dusk_h - 12.0, unit="h"))
    elevation = solarposition.get_solarposition(at, 47.0, 0.0)["elevation"].to_numpy()
    assert elevation == pytest.approx(np.full(elevation.size, CIVIL_TWILIGHT_DEG), abs=0.5)


@pytest.mark.parametrize("from_noon_h", [-5.0, -2.0, 0.0, 3.0])
def test_elevation_is_that_of_the_nrel_algorithm_within_half_a_degree(from_noon_h: float) -> None:
    """pvlib's NREL solar position algorithm, true elevation."""
    times = noons(5)
    transit = solarposition.sun_rise_set_transit_spa(times, 36.0, 0.0)["transit"]
    at = pd.DatetimeIndex(transit + pd.to_timedelta(from_noon_h, unit="h"))
    elevation = solarposition.get_solarposition(at, 36.0, 0.0)["elevation"].to_numpy()
    assert sun_elevation_deg(36.0, YEAR[::5], 12.0 + from_noon_h) == pytest.approx(elevation, abs=0.5)
