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
    """

    hours: Weather
    as_measured: bool
    block_days: int
    season_days: int

    @classmethod
    def of(cls, year: MeasuredYear, as_measured: bool, block_days: int, season_days: int) -> MeasuredWeather:
        """The model of a measured year."""
        return cls(year.weather(), as_measured, block_days, season_days)

    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        """Hourly weather; temperature, wind, rain and sun of an hour always come from the same measured hour."""
        day = dates_in_year(horizon)
        if not self.as_measured:
            day = (day + self.shifts(draw, horizon.days)) % DAYS
        hour = (day[:, None] * 24 + np.arange(24)).ravel()
        measured = self.hours
        return Weather(
            measured.temperature_c[hour],
            measured.wind_m_s[hour],
            measured.rain_mm[hour],
            measured.sun_w_m2[hour],
            measured.note,
        )

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
