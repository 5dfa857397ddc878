"""The weather of the horizon, from one measured year.

In: a measured year, settings, named streams. Out: the world's ``Weather``.
Must not know: files. One uniform a block of days is all the chance there is.
"""

from __future__ import annotations

from calendar import isleap
from dataclasses import dataclass

import numpy as np

from planner.world.draw import Draw
from planner.world.parts import Horizon, Weather
from planner_measured_weather.year import DAYS, IntArray, MeasuredYear

STREAM = "blocks"
_29_FEBRUARY = 60


@dataclass(frozen=True, slots=True)
class Harder:
    """How a world's weather departs from the measured one, twelve values each, January first."""

    colder_by_k: tuple[float, ...] = (0.0,) * 12
    windier_times: tuple[float, ...] = (1.0,) * 12

    def of(self, weather: Weather, horizon: Horizon) -> Weather:
        """The same hours, colder and windier by the month in which they are played."""
        if self == _AS_IT_WAS:
            return weather
        month = np.repeat(horizon.month - 1, 24)
        return Weather.rounded(
            weather.temperature_c - np.array(self.colder_by_k)[month],
            weather.wind_m_s * np.array(self.windier_times)[month],
            weather.rain_mm,
            weather.sun_w_m2,
            weather.note,
        )


_AS_IT_WAS = Harder()


@dataclass(frozen=True, slots=True, eq=False)
class MeasuredWeather:
    """Replays a measured year, or puts blocks of its days together anew within their season.

    Parameters
    ----------
    hours : Weather
        The measured year at the world's resolution, 8,760 hours.
    as_measured : bool
        Replay: every day is the measured one of that date, in every world.
    block_days : int
        Days that stay together, whole, with all their hours.
    season_days : int
        A block comes from at most this many days before or after its date.
    harder : Harder
        What is then taken off the temperature, and what the wind is multiplied by.
    """

    hours: Weather
    as_measured: bool
    block_days: int
    season_days: int
    harder: Harder = _AS_IT_WAS

    @classmethod
    def of(
        cls,
        year: MeasuredYear,
        as_measured: bool,
        block_days: int,
        season_days: int,
        harder: Harder = _AS_IT_WAS,
    ) -> MeasuredWeather:
        """The model of a measured year."""
        return cls(year.weather(), as_measured, block_days, season_days, harder)

    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        """Hourly weather; temperature, wind, rain and sun of an hour always come from the same measured hour.

        The file's hours are standard time, those of the world the owner's clock: in summer time the file's hour from
        11 to 12 is played from 12 to 13.
        """
        day = dates_in_year(horizon)
        if not self.as_measured:
            day = (day + self.shifts(draw, horizon.days)) % DAYS
        hour = (day[:, None] * 24 + np.arange(24)).ravel()[horizon.standard_hour]
        measured = self.hours
        drawn = Weather(
            measured.temperature_c[hour],
            measured.wind_m_s[hour],
            measured.rain_mm[hour],
            measured.sun_w_m2[hour],
            measured.note,
        )
        return self.harder.of(drawn, horizon)

    def shifts(self, draw: Draw, days: int) -> IntArray:
        """How many days before (-) or after each day its weather was measured, shape (days,)."""
        blocks = -(-days // self.block_days)
        uniform = draw.uniform(STREAM, blocks)
        shift = np.floor(uniform * (2 * self.season_days + 1)).astype(np.int64) - self.season_days
        return np.repeat(shift, self.block_days)[:days]


def dates_in_year(horizon: Horizon) -> IntArray:
    """Day 0..364 of each day of the horizon; 29 February has the weather of the 28th."""
    day = horizon.day_of_year
    after_leap_day = np.fromiter((isleap(date.year) for date in horizon.dates), bool, horizon.days) & (
        day >= _29_FEBRUARY
    )
    return day - 1 - after_leap_day
