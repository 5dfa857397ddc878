"""What a scenario takes for usual where a notebook says nothing: a melt's weather, what weights are made of.

In: a scenario. Out: ``Usual``. Must not know: records, what is estimated from them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property
from math import ceil, floor
from typing import Final

import numpy as np

from planner.fit.estimate import FloatArray
from planner.plugin.models import models_for
from planner.plugin.registry import Registry
from planner.scenario import Scenario
from planner.scenario.business import Business
from planner.scenario.gear import Melting
from planner.workshop.bucket import typical_bucket
from planner.world.asking import ask, unheard
from planner.world.build import Models, build
from planner.world.draw import Draw
from planner.world.parts import Weather

WORLDS: Final = 8
"""Weathers of a year that usual weather is the mean of (assumed: their means differ by a few percent)."""
NEAR_DAYS: Final = 10.0
"""Days of the year no farther off than this are as this one (assumed)."""
YEAR_DAYS: Final = 365
HOURS_A_DAY: Final = 24.0
SEED: Final = 0
UNKNOWN_REST: Final = (0.25, 0.25, 0.45, 0.05)
"""Clips, zinc, steel, rubbish in what is no lead, where a scenario names neither shops nor opening stock (assumed)."""


@dataclass(frozen=True)
class Usual:
    """What a business takes for usual; nothing is drawn before it is asked for.

    Parameters
    ----------
    business : Business
        The business as it is today.
    """

    business: Business

    @classmethod
    def of(cls, scenario: Scenario) -> Usual:
        """Of a scenario, as today and as expected."""
        return cls(scenario.business())

    @cached_property
    def _models(self) -> Models:
        return models_for(Registry(), self.business)

    @cached_property
    def _hours(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Mean air and wind by day of the year and hour, over hours in which one would light, and their number."""
        horizon = self._models.horizon
        air, wind, number = (np.zeros((YEAR_DAYS, 24)) for _ in range(3))
        at = np.minimum(horizon.day_of_year - 1, YEAR_DAYS - 1)
        for world in range(WORLDS):
            weather = ask(self._models.weather, Weather, Draw(SEED, world), horizon, unheard)
            good = _lights(self.business.melting, weather)
            for sums, values in ((air, weather.temperature_c), (wind, weather.wind_m_s), (number, None)):
                np.add.at(sums, at, np.where(good, 1.0 if values is None else values, 0.0).reshape(-1, 24))
        return air, wind, number

    def weather(self, day: date, lit_h: float, hours_h: float) -> tuple[float, float]:
        """Mean air [degC] and wind [m/s] of hours in which one would light, at this time of the year and day.

        Parameters
        ----------
        day : date
            The day.
        lit_h, hours_h : float
            Hour of the day at which it begins, and how long it lasts [h].
        """
        air, wind, number = self._hours
        today = min(day.timetuple().tm_yday, YEAR_DAYS) - 1
        apart = np.abs(np.arange(YEAR_DAYS) - today)
        apart = np.minimum(apart, YEAR_DAYS - apart)
        clock = np.arange(floor(lit_h), max(ceil(lit_h + hours_h), floor(lit_h) + 1)) % 24
        there = number[:, clock].sum(axis=1) > 0.0
        if not there.any():
            clock, there = np.arange(24), number.sum(axis=1) > 0.0
        if not there.any():  # one would never light; then no weather is better than another
            return 15.0, 0.0
        near = there & (apart <= max(NEAR_DAYS, float(apart[there].min())))
        total = number[np.ix_(near, clock)].sum()
        return (
            float(air[np.ix_(near, clock)].sum() / total),
            float(wind[np.ix_(near, clock)].sum() / total),
        )

    @cached_property
    def shares(self) -> tuple[float, float, float, float, float]:
        """Lead, clips, zinc, steel and rubbish of what goes into a pot, sorted or not as the scenario says."""
        world = build(Draw(SEED, 0), self.business, self._models)
        bucket = typical_bucket(self.business, world)
        if bucket is None:
            return (0.5, *(0.5 * share for share in UNKNOWN_REST))  # type: ignore[return-value]
        hard, clip, soft, zinc, steel, rubbish = bucket.shares
        if self.business.sorting.on:
            missed = self.business.sorting.missed_share.mean
            zinc, steel, rubbish = zinc * missed, steel * missed, rubbish * missed
        total = hard + soft + clip + zinc + steel + rubbish
        return (hard + soft) / total, clip / total, zinc / total, steel / total, rubbish / total

    def begins_h(self, day: date) -> float:
        """When the owner's first free window of a day begins [h]; on a day without one, as on the others."""
        windows = self._windows(day)
        if windows:
            return float(windows[0][0])
        starts = [week[0][0] for week in self.business.owner.hours if week]
        return float(np.mean(starts)) if starts else 12.0

    def ends_h(self, day: date, hour_h: float) -> float:
        """When the owner's free window that this hour lies in ends [h]; midnight if it lies in none."""
        return next((float(end) for begin, end in self._windows(day) if begin <= hour_h < end), HOURS_A_DAY)

    def _windows(self, day: date) -> tuple[tuple[float, float], ...]:
        owner = self.business.owner
        return dict(owner.other_hours).get(day) or owner.hours[day.weekday()]


def _lights(m: Melting, weather: Weather) -> np.ndarray:
    """Hours in which one would light where the pot stands."""
    good = weather.temperature_c >= m.coldest_c
    if m.place != "enclosed":
        good &= weather.wind_m_s <= m.most_wind_m_s
    if m.place == "open air":
        good &= weather.rain_mm < m.rain_from_mm
    return good
