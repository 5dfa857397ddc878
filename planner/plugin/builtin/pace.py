"""How busy a time is: season, growth, and spells that an outlook announces.

In: settings by month and by date. Out: operational time at each day's start, for gaps drawn in operational time.
Must not know: what happens at that pace.
"""

from __future__ import annotations

import numpy as np
from pydantic import Field

from planner.scenario.clock import DateRange
from planner.scenario.section import Section
from planner.scenario.units import Number
from planner.world.parts import FloatArray, Horizon


class Spell(Section):
    """Days on which things come more or less often than the season says."""

    days: DateRange = Field(..., description="First and last day, such as `2026-03-01 to 2026-08-31`.")
    times: Number = Field(
        ..., ge=0, le=20, description="How many times as often as usual: 2 twice, 0.5 half, 0 never."
    )


def pace(
    horizon: Horizon, season: tuple[float, ...], growth_a_year_share: float, spells: tuple[Spell, ...]
) -> FloatArray:
    """Operational time at the start of each day and at the end [h], shape (days + 1,).

    Parameters
    ----------
    horizon : Horizon
        Days played.
    season : tuple of float
        Factor for each month, January first; 1 is an ordinary month.
    growth_a_year_share : float
        Growth a year, compounded daily; below 0 it shrinks.
    spells : tuple of Spell
        Factors between two dates; spells that overlap multiply.
    """
    operational_h = horizon.operational_h(dict(enumerate(season, 1)), growth_a_year_share)
    if not spells:
        return operational_h
    factor = np.ones(horizon.days)
    for spell in spells:
        first, last = ((day - horizon.start).days for day in spell.days)
        factor[max(first, 0) : max(last + 1, 0)] *= spell.times
    return np.concatenate(([0.0], np.cumsum(np.diff(operational_h) * factor)))
