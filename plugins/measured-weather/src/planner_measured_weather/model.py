"""The weather of the horizon, from measured years.

In: measured years, settings, named streams. Out: the world's ``Weather``.
Must not know: files. One uniform a block of days is all the chance there is.
"""

from __future__ import annotations

from calendar import isleap
from dataclasses import dataclass
from datetime import date

import numpy as np

from planner.world.draw import Draw
from planner.world.parts import Horizon, Weather
from planner_measured_weather.year import DAYS, IntArray, Measured

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
    """Replays measured years, or puts blocks of their days together anew within their season.

    Parameters
    ----------
    hours : Weather
        The measured years at the world's resolution, 8,760 hours each, leap days behind them.
    as_measured : bool
        Replay: every day is the measured one of that date, in every world. Years that were not measured are played with
        those that were, in their order, over and over.
    block_days : int
        Days that stay together, whole, with all their hours.
    season_days : int
        A block comes from at most this many days before or after its date.
    harder : Harder
        What is then taken off the temperature, and what the wind is multiplied by.
    first : date, optional
        First day of the years as they were; without it they are one typical year from 1 January on.
    leap_days : tuple of date
        Each 29 February that was measured.
    """

    hours: Weather
    as_measured: bool
    block_days: int
    season_days: int
    harder: Harder = _AS_IT_WAS
    first: date | None = None
    leap_days: tuple[date, ...] = ()

    @classmethod
    def of(
        cls,
        measured: Measured,
        as_measured: bool,
        block_days: int,
        season_days: int,
        harder: Harder = _AS_IT_WAS,
    ) -> MeasuredWeather:
        """The model of measured years."""
        return cls(
            measured.weather(),
            as_measured,
            block_days,
            season_days,
            harder,
            measured.first,
            measured.leap_days,
        )

    @property
    def years(self) -> int:
        """How many years were measured."""
        return (self.hours.temperature_c.size // 24 - len(self.leap_days)) // DAYS

    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        """Hourly weather; temperature, wind, rain and sun of an hour always come from the same measured hour.

        The file's hours are standard time, those of the world the owner's clock: in summer time the file's hour from
        11 to 12 is played from 12 to 13.
        """
        day = self._of_these_dates(horizon) if self.as_measured else self._put_together(draw, horizon)
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

    def _of_these_dates(self, horizon: Horizon) -> IntArray:
        """The measured day of each day's own date, where there is one, shape (days,)."""
        days = dates_in_year(horizon)
        if self.first is None:
            return days
        begins = _in_year(self.first)
        year = np.fromiter((one.year for one in horizon.dates), np.int64, horizon.days)
        year = (year - self.first.year - (days < begins)) % self.years
        found: IntArray = (days - begins) % DAYS + DAYS * year
        behind = {one: DAYS * self.years + number for number, one in enumerate(self.leap_days)}
        for number, one in enumerate(horizon.dates):
            if one in behind:
                found[number] = behind[one]
        return found

    def _put_together(self, draw: Draw, horizon: Horizon) -> IntArray:
        """The measured day of each day, drawn block by block, shape (days,)."""
        days = dates_in_year(horizon)
        block = np.repeat(np.arange(0, horizon.days, self.block_days), self.block_days)[: horizon.days]
        since = (days - days[block]) % DAYS
        shift, year = self.blocks(draw, horizon.days)
        begins = 0 if self.first is None else _in_year(self.first)
        return ((days[block] - begins) % DAYS + DAYS * year + since + shift) % (DAYS * self.years)

    def blocks(self, draw: Draw, days: int) -> tuple[IntArray, IntArray]:
        """How many days before (-) or after each day its weather was measured, and in which year, shape (days,)."""
        blocks, years = -(-days // self.block_days), self.years
        uniform = draw.uniform(STREAM, blocks)
        picked = np.floor(uniform * ((2 * self.season_days + 1) * years)).astype(np.int64)
        shift, year = picked // years - self.season_days, picked % years
        return np.repeat(shift, self.block_days)[:days], np.repeat(year, self.block_days)[:days]


def dates_in_year(horizon: Horizon) -> IntArray:
    """Day 0..364 of each day of the horizon; 29 February has the weather of the 28th."""
    day = horizon.day_of_year
    after_leap_day = np.fromiter((isleap(one.year) for one in horizon.dates), bool, horizon.days) & (
        day >= _29_FEBRUARY
    )
    return day - 1 - after_leap_day


def _in_year(day: date) -> int:
    """Day 0..364 of a day that is no 29 February."""
    number = day.timetuple().tm_yday
    return number - 1 - (isleap(day.year) and number > _29_FEBRUARY)
