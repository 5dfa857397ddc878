"""Buyers who come back, and adverts that bring more of them.

In: settings, named streams. Out: the ``Crowd`` of ``core.returning``, with who comes to know of the business when, and
the adverts' bills. Must not know: the owner's stock, prices, or which needs are served.

One uniform a person decides at how much advertising they are told; whoever a friend tells first is not told again.
"""

from __future__ import annotations

from dataclasses import replace
from math import ceil

import numpy as np

from planner.plugin.builtin.crowds import People
from planner.scenario.clock import days_of
from planner.world.draw import Draw
from planner.world.parts import Bill, Crowd, FloatArray, Horizon
from planner_adverts.effect import reminded, told_h
from planner_adverts.settings import Adverts, BurstSettings

STREAM = "adverts"
NEVER_H = 1e9
"""Beyond any horizon: whom no advert tells."""


class Burst(People):
    """A class of buyers; see the module."""

    def __init__(self, settings: BurstSettings) -> None:
        super().__init__(settings, "private", settings.size_kg, settings.least_kg)
        self.adverts = settings.adverts

    def draw(self, draw: Draw, horizon: Horizon) -> Crowd:
        """Everybody in reach; with adverts, when each of them is told by one."""
        crowd, adverts = super().draw(draw, horizon), self.adverts
        at_h = appear_h(adverts, horizon)
        if not at_h.size:
            return crowd
        hazard = -np.log1p(-draw.uniform(STREAM, self.settings.people))
        return replace(
            crowd,
            knows_from_h=np.minimum(
                told_h(at_h, adverts.reach_share, adverts.half_life_days * 24.0, hazard), NEVER_H
            ),
            bills=tuple(Bill(t_h, "adverts", adverts.cost) for t_h in at_h.tolist() if t_h >= 0.0),
        )

    def operational_h(self, horizon: Horizon) -> FloatArray:
        """Operational time at each day's start and at the end [h]: faster while an advert is fresh."""
        operational_h, adverts = super().operational_h(horizon), self.adverts
        at_h = appear_h(adverts, horizon)
        if adverts.more_often_share == 0.0 or not at_h.size:
            return operational_h
        times = 1.0 + adverts.more_often_share * reminded(at_h, adverts.half_life_days * 24.0, horizon.days)
        return np.concatenate(([0.0], np.cumsum(np.diff(operational_h) * times)))


def appear_h(adverts: Adverts, horizon: Horizon) -> FloatArray:
    """When adverts appear [h after the start], in order, those before the start included; at midnight, one a day."""
    days = {(day - horizon.start).days for day in days_of(adverts.dates)}
    if adverts.every_days is not None:
        first, last = 0, horizon.days - 1
        if adverts.between is not None:
            first, last = ((day - horizon.start).days for day in adverts.between)
        count = ceil((last - first + 1) / adverts.every_days)
        days |= {first + int(number * adverts.every_days) for number in range(count)}
    found: FloatArray = np.array(sorted(day for day in days if day < horizon.days), dtype=np.float64) * 24.0
    return found
