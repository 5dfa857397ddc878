"""How busy each day is by the scenario: season, growth, spells.

In: settings of shops or buyers, dates. Out: a factor a day. Must not know: records, what is counted.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from planner.fit.estimate import FloatArray
from planner.plugin.builtin.pace import pace
from planner.world.parts import Horizon

YEAR_DAYS = 365.0


@dataclass(frozen=True, eq=False)
class Days:
    """Every day from the first to the last that matters.

    Parameters
    ----------
    first : date
        The first.
    factor : FloatArray
        How fast time runs for buckets or needs on each day, 1 in an ordinary month.
    month : NDArray
        0 January .. 11 December, of each day.
    """

    first: date
    factor: FloatArray
    month: NDArray[np.int64]

    def number(self, day: date) -> int:
        """Which day it is, from 0."""
        return (day - self.first).days


def days_of(settings: Any, first: date, last: date, start: date) -> Days:
    """Season, growth and spells of each day.

    Parameters
    ----------
    settings
        With ``season``, ``growth_a_year_share`` and ``spells``.
    first, last : date
        Both included.
    start : date
        First day of the scenario, from which growth counts.
    """
    horizon = Horizon(first, (last - first).days + 1, 0.0)
    factor = np.diff(pace(horizon, settings.season, settings.growth_a_year_share, settings.spells)) / 24.0
    factor = factor * (1.0 + settings.growth_a_year_share) ** ((first - start).days / YEAR_DAYS)
    dates = (first + timedelta(days=number) for number in range(horizon.days))
    return Days(first, factor, np.array([day.month - 1 for day in dates], dtype=np.int64))
