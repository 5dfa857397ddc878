"""When it is light: sunrise and sunset by day of the year and latitude, and how far the sun is ahead of a clock.

In: latitude [deg, north positive], longitude [deg, east positive], day of the year [1 to 366], how far a clock is ahead
of universal time [h]. Out: hours of local solar time [h], where noon is 12, and elevations of the sun [deg].
Must not know: dates, names of time zones, weather.

Local solar time differs from the clock on the wall by up to half an hour within a time zone, by a quarter of an hour
over the year, and by an hour more in summer time: `solar_ahead_h` says by how much.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

SUNRISE_DEG: Final = -0.833
"""34' refraction and 16' half of the sun's disc, the usual convention, from memory [deg]."""
CIVIL_TWILIGHT_DEG: Final = -6.0
"""Enough light outdoors without a lamp, the usual convention, from memory [deg]."""
_POLE_DEG: Final = 89.999  # deg; nearer to a pole the hour angle has no meaning

# Spencer, Search 2 (1971) 172: declination [rad] as a series in the day angle; constant, then cos and sin of 1, 2, 3.
_SPENCER: Final = (0.006918, ((-0.399912, 0.070257), (-0.006758, 0.000907), (-0.002697, 0.00148)))
# The same paper: equation of time [rad] in the same form, the corrected constant.
_SPENCER_TIME: Final = (0.0000075, ((0.001868, -0.032077), (-0.014615, -0.040849)))


def declination_deg(day_of_year: ArrayLike) -> NDArray[np.float64]:
    """Declination of the sun.

    Parameters
    ----------
    day_of_year : array_like
        1 for January 1st [d].

    Returns
    -------
    ndarray
        Angle [deg], within .05 deg.

    Notes
    -----
    J. W. Spencer, Fourier series representation of the position of the sun, Search 2 (1971) 172.
    """
    return np.degrees(_series(day_of_year, *_SPENCER))


def equation_of_time_h(day_of_year: ArrayLike) -> NDArray[np.float64]:
    """How far a sundial is ahead of a clock that shows local mean time.

    Parameters
    ----------
    day_of_year : array_like
        1 for January 1st [d].

    Returns
    -------
    ndarray
        Time [h], from -0.24 to 0.27; within a minute.

    Notes
    -----
    J. W. Spencer, Fourier series representation of the position of the sun, Search 2 (1971) 172.
    """
    return _series(day_of_year, *_SPENCER_TIME) * 12.0 / np.pi


def solar_ahead_h(
    longitude_deg: float, day_of_year: ArrayLike, clock_ahead_of_utc_h: ArrayLike
) -> NDArray[np.float64]:
    """How far local solar time is ahead of the clock on the wall.

    Parameters
    ----------
    longitude_deg : float
        Longitude, east positive [deg].
    day_of_year : array_like
        1 for January 1st [d].
    clock_ahead_of_utc_h : array_like
        How far that clock is ahead of universal time on that day [h], summer time included.

    Returns
    -------
    ndarray
        Time [h]: add it to the clock's hour for solar time, take it off solar time for the clock's hour.
    """
    mean_h = longitude_deg / 15.0 - np.asarray(clock_ahead_of_utc_h, dtype=np.float64)
    ahead_h: NDArray[np.float64] = mean_h + equation_of_time_h(day_of_year)
    return ahead_h


def sun_elevation_deg(latitude_deg: float, day_of_year: ArrayLike, solar_h: ArrayLike) -> NDArray[np.float64]:
    """Elevation of the middle of the sun above the horizon, without refraction.

    Parameters
    ----------
    latitude_deg : float
        Latitude, north positive [deg].
    day_of_year : array_like
        1 for January 1st [d].
    solar_h : array_like
        Local solar time [h]; noon is 12.

    Returns
    -------
    ndarray
        Angle [deg]; negative below the horizon. Days and hours broadcast.
    """
    latitude = np.radians(_latitude(latitude_deg))
    declination = np.radians(declination_deg(day_of_year))
    hour_angle = np.radians(15.0 * (np.asarray(solar_h, dtype=np.float64) - 12.0))
    sine = np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.cos(
        hour_angle
    )
    elevation: NDArray[np.float64] = np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0)))
    return elevation


def daylight(
    latitude_deg: float, day_of_year: ArrayLike, sun_at_deg: float = SUNRISE_DEG
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Hours at which it gets light and dark.

    Parameters
    ----------
    latitude_deg : float
        Latitude, north positive [deg].
    day_of_year : array_like
        1 for January 1st [d].
    sun_at_deg : float
        Elevation of the sun that counts [deg]: ``SUNRISE_DEG``, or ``CIVIL_TWILIGHT_DEG`` for usable light.

    Returns
    -------
    sunrise_h, sunset_h : ndarray
        Local solar time [h], of the shape of the days. 12 and 12 where the sun stays below, 0 and 24 where it stays
        above.
    """
    latitude = np.radians(_latitude(latitude_deg))
    declination = np.radians(declination_deg(day_of_year))
    cosine = (np.sin(np.radians(sun_at_deg)) - np.sin(latitude) * np.sin(declination)) / (
        np.cos(latitude) * np.cos(declination)
    )
    half_day_h = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))) / 15.0
    return 12.0 - half_day_h, 12.0 + half_day_h


def _series(
    day_of_year: ArrayLike, constant: float, terms: tuple[tuple[float, float], ...]
) -> NDArray[np.float64]:
    """Fourier series in the day angle [rad]."""
    angle = 2.0 * np.pi * (np.asarray(day_of_year, dtype=np.float64) - 1.0) / 365.0
    radians = np.full_like(angle, constant)
    for n, (cosine, sine) in enumerate(terms, 1):
        radians += cosine * np.cos(n * angle) + sine * np.sin(n * angle)
    return radians


def _latitude(latitude_deg: float) -> float:
    if not -90.0 <= latitude_deg <= 90.0:
        raise ValueError(f"latitude_deg is {latitude_deg}; it goes from -90 to 90")
    return min(max(latitude_deg, -_POLE_DEG), _POLE_DEG)
