"""Weather models ``core.synthetic`` and ``core.constant``.

In: settings of a climate. Out: ``Weather``, hour by hour over the horizon.
Must not know: what the weather is used for.

The course of a day keeps to the sun's own time. Wet days follow one another as a Markov chain; temperature and wind
carry over from hour to hour as first-order autoregressive series, the wind's through its normal score, so that its
values keep a Weibull distribution.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

from planner.plugin.builtin.memory import remembering
from planner.plugin.builtin.weather_settings import ConstantSettings, SyntheticSettings
from planner.plugin.protocol import Provider
from planner.trade.daylight import sun_elevation_deg
from planner.world.draw import Draw
from planner.world.parts import BoolArray, FloatArray, Horizon, Weather

YEAR_DAYS: Final = 365.0
WARMEST_H: Final = 15.0
"""Warmest hour of the day, by the sun; assumed."""
WINDIEST_H: Final = 14.0
"""Windiest hour of the day, by the sun; assumed."""
CLEAR_SKY_W_M2: Final = 1098.0
CLEAR_SKY_LOSS: Final = 0.057
"""Clear-sky sun on level ground 1098 cos z exp(-0.057 / cos z) W/m^2; B. Haurwitz, J. Meteorology 2 (1945) 154
and 3 (1946) 123; constants from memory."""
MOST_WIND_M_S: Final = 100.0
"""No made-up hour is windier; no measured one was (assumed: the strongest gust known is about 110 m/s, from memory)."""
_WET, _RAIN, _LASTS, _BEGINS, _SUN = range(5)
_HOURS: Final = np.arange(24.0)


class Courses(NamedTuple):
    """What each hour of the clock is like without chance, shape (days, 24) each."""

    clear_sky_w_m2: FloatArray
    warmer: FloatArray
    """From -1 to 1, the warmest hour of the day."""
    windier: FloatArray
    """From -1 to 1, the windiest hour of the day."""


class Synthetic:
    """A made-up climate; see the module."""

    def __init__(self, settings: SyntheticSettings) -> None:
        self.settings = settings
        self._courses: dict[Horizon, Courses] = {}

    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        """Hourly weather in which temperature, wind, rain and sun belong together."""
        days = draw.uniform("days", (horizon.days, 5))
        wet, warm, blow = (
            self._wet(days[:, _WET], horizon),
            draw.normal("temperature", horizon.hours),
            draw.normal("wind", horizon.hours),
        )
        winter = self._winter(horizon)
        courses = self._courses_of(horizon)
        sun_share = self._sun_share(days[:, _SUN], wet)
        return Weather.rounded(
            self._temperature_c(warm, winter, sun_share, courses),
            self._wind_m_s(blow, winter, wet, (horizon, courses)),
            self._rain_mm(days, wet),
            (courses.clear_sky_w_m2 * sun_share[:, np.newaxis]).ravel(),
        )

    def _winter(self, horizon: Horizon) -> FloatArray:
        """1 on the coldest day of the year, -1 half a year later, shape (days,)."""
        coldest = self.settings.coldest_day + (YEAR_DAYS / 2.0 if horizon.latitude_deg < 0.0 else 0.0)
        winter: FloatArray = np.cos(2.0 * math.pi * (horizon.day_of_year - coldest) / YEAR_DAYS)
        return winter

    def _wet(self, u: FloatArray, horizon: Horizon) -> BoolArray:
        """Days with rain: wet or dry whatever yesterday was, or else as yesterday."""
        wet_share = np.array(self.settings.wet_days_share)[horizon.month - 1]
        stays = self.settings.wet_stays_share
        surely_wet = u < wet_share * (1.0 - stays)
        open_still = ~surely_wet & (u < wet_share + stays * (1.0 - wet_share))
        surely_wet[0], open_still[0] = u[0] < wet_share[0], False
        decided = np.maximum.accumulate(np.where(open_still, 0, np.arange(u.size)))
        return surely_wet[decided]

    def _sun_share(self, u: FloatArray, wet: BoolArray) -> FloatArray:
        settings = self.settings
        return np.where(wet, settings.wet_sun_share.from_uniform(u), settings.dry_sun_share.from_uniform(u))

    def _temperature_c(
        self, warm: FloatArray, winter: FloatArray, sun_share: FloatArray, courses: Courses
    ) -> FloatArray:
        settings = self.settings
        keeps = math.exp(-1.0 / settings.spells_last_h)
        warm *= settings.spells_k * math.sqrt(1.0 - keeps**2)
        warm[0] /= math.sqrt(1.0 - keeps**2)
        mean_c, swing_c = (
            0.5 * (settings.warmest_c + settings.coldest_c),
            0.5 * (settings.warmest_c - settings.coldest_c),
        )
        day_c = mean_c - swing_c * winter
        temperature_c = remembering(warm, keeps).reshape(-1, 24)
        temperature_c += (
            day_c[:, np.newaxis] + settings.daily_swing_k * sun_share[:, np.newaxis] * courses.warmer
        )
        return temperature_c.ravel()

    def _wind_m_s(
        self, blow: FloatArray, winter: FloatArray, wet: BoolArray, when: tuple[Horizon, Courses]
    ) -> FloatArray:
        settings, (horizon, courses) = self.settings, when
        keeps = math.exp(-1.0 / settings.wind_lasts_h)
        blow[1:] *= math.sqrt(1.0 - keeps**2)
        score = remembering(blow, keeps)
        shape = 1.0 / settings.wind_shape
        wind = (-log_ndtr(-score)) ** shape * (settings.wind_m_s / math.gamma(1.0 + shape))
        wet_share = np.array(settings.wet_days_share)[horizon.month - 1]
        day = (1.0 + settings.windier_winter_share * winter) * (
            (1.0 + settings.windier_rain_share * wet) / (1.0 + settings.windier_rain_share * wet_share)
        )
        hour = 1.0 + settings.windier_afternoon_share * courses.windier
        wind_m_s: FloatArray = (wind.reshape(-1, 24) * (day[:, np.newaxis] * hour)).ravel()
        return np.minimum(wind_m_s, MOST_WIND_M_S)

    def _rain_mm(self, days: FloatArray, wet: BoolArray) -> FloatArray:
        """Rain of each hour: what falls on a wet day falls evenly over some hours in a row."""
        settings = self.settings
        day_mm = settings.rain_mm.from_uniform(days[:, _RAIN]) * wet
        lasts_h = np.rint(settings.rain_lasts_h.from_uniform(days[:, _LASTS]))
        begins_h = np.floor(days[:, _BEGINS] * (25.0 - lasts_h))
        since_h = _HOURS - begins_h[:, np.newaxis]
        falls = (since_h >= 0.0) & (since_h < lasts_h[:, np.newaxis])
        rain_mm: FloatArray = ((day_mm / lasts_h)[:, np.newaxis] * falls).ravel()
        return rain_mm

    def _courses_of(self, horizon: Horizon) -> Courses:
        """Kept, as there is no chance in them."""
        if horizon not in self._courses:
            sun_h = _sun_h(horizon)
            self._courses[horizon] = Courses(
                clear_sky_w_m2(horizon),
                np.cos(2.0 * math.pi * (sun_h - WARMEST_H) / 24.0),
                np.cos(2.0 * math.pi * (sun_h - WINDIEST_H) / 24.0),
            )
        return self._courses[horizon]


def _sun_h(horizon: Horizon) -> FloatArray:
    """The sun's own time in the middle of each hour of the clock [h], shape (days, 24)."""
    return _HOURS + 0.5 + horizon.sun_ahead_h[:, np.newaxis]


def clear_sky_w_m2(horizon: Horizon) -> NDArray[np.float64]:
    """Sun on level ground under a clear sky [W/m^2], shape (days, 24), in the middle of each hour of the clock."""
    elevation_deg = sun_elevation_deg(
        horizon.latitude_deg, horizon.day_of_year[:, np.newaxis], _sun_h(horizon)
    )
    sine = np.maximum(np.sin(np.radians(elevation_deg)), 1e-3)
    sun_w_m2 = np.where(elevation_deg > 0.0, CLEAR_SKY_W_M2 * sine * np.exp(-CLEAR_SKY_LOSS / sine), 0.0)
    return np.asarray(sun_w_m2, dtype=np.float64)


class Constant:
    """The same weather in every hour."""

    def __init__(self, settings: ConstantSettings) -> None:
        self.settings = settings

    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        """Four constants; uses no chance."""
        settings = self.settings
        return Weather.rounded(
            np.full(horizon.hours, settings.temperature_c),
            np.full(horizon.hours, settings.wind_m_s),
            np.full(horizon.hours, settings.rain_mm),
            np.full(horizon.hours, settings.sun_w_m2),
            "constant",
        )


SYNTHETIC = Provider(
    kind="weather",
    name="synthetic",
    settings=SyntheticSettings,
    build=Synthetic,
    summary="made-up weather with seasons, days, spells, wet and windy days",
    example={
        "coldest": "-2 degC",
        "warmest": "19 degC",
        "wind": "3 m/s",
        "wet_days_share": {"oct-mar": 0.4, "apr-sep": 0.3},
    },
)
CONSTANT = Provider(
    kind="weather",
    name="constant",
    settings=ConstantSettings,
    build=Constant,
    summary="the same weather in every hour: chance off",
    example={"temperature": "15 degC", "wind": "2 m/s"},
)
