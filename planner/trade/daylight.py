"""When it is light: sunrise and sunset by day of the year and latitude.

In: latitude [deg, north positive], day of the year [1 to 366]. Out: hours of local solar time [h], where noon is 12,
and elevations of the sun [deg]. Must not know: dates, time zones, longitude, weather.

Local solar time differs from the clock on the wall by up to half an hour within a time zone, by a quarter of an hour
over the year, and by an hour more in summer time.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

SUNRISE_DEG: Final = (
    -0.833
)  # deg; 34' refraction and 16' half of the sun's disc, the usual convention, from memory
CIVIL_TWILIGHT_DEG: Final = (
    -6.0
)  # deg; enough light outdoors without a lamp, the usual convention, from memory
_POLE_DEG: Final = 89.999  # deg; nearer to a pole the hour angle has no meaning

# Spencer, Search 2 (1971) 172: declination [rad] as a series in the day angle; constant, then cos and sin of 1, 2, 3.
_SPENCER: Final = (0.006918, (-0.399912, 0.070257), (-0.006758, 0.000907), (-0.002697, 0.00148))


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
    angle = 2.0 * np.pi * (np.asarray(day_of_year, dtype=np.float64) - 1.0) / 365.0
    constant, *terms = _SPENCER
    radians = np.full_like(angle, constant)
    for n, (cosine, sine) in enumerate(terms, 1):
        radians += cosine * np.cos(n * angle) + sine * np.sin(n * angle)
    return np.degrees(radians)


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


def _latitude(latitude_deg: float) -> float:
    if not -90.0 <= latitude_deg <= 90.0:
        raise ValueError(f"latitude_deg is {latitude_deg}; it goes from -90 to 90")
    return min(max(latitude_deg, -_POLE_DEG), _POLE_DEG)
