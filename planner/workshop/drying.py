"""When a wet lot is dry: in the shade by itself, sooner in the sun.

In: a world's weather, how long the shade takes and how much water is to go. Out: times.
Must not know: which lot it is, who waits for it.
"""

from __future__ import annotations

import numpy as np

from planner.scenario.gear import Melting
from planner.trade.drying import evaporation_mm_per_h
from planner.world.parts import FloatArray, World


def dry_h(world: World, melting: Melting, t_h: float) -> float:
    """When weights that came wet at ``t_h`` may go near molten metal [h].

    The shade takes an even part of the water in every hour; in hours without rain the sun takes what Makkink's formula
    says on top of it.
    """
    shade_h = melting.dry_days * 24.0
    if shade_h <= 0.0:
        return t_h
    key = ("drying", shade_h, melting.dry_off_mm, melting.rain_from_mm)
    if key not in world.scratch:
        world.scratch[key] = _dried(world, melting, shade_h)
    hours, dried = world.scratch[key]
    begun = float(np.interp(t_h, hours, dried))
    if begun + 1.0 > dried[-1]:
        return t_h + shade_h
    return float(np.interp(begun + 1.0, dried, hours))


def _dried(world: World, melting: Melting, shade_h: float) -> tuple[FloatArray, FloatArray]:
    """Hours from 0 to the end, and the times over that a lot would have dried until then."""
    weather = world.weather
    sun_mm = np.where(
        weather.rain_mm < melting.rain_from_mm,
        evaporation_mm_per_h(weather.temperature_c, weather.sun_w_m2),
        0.0,
    )
    hours = np.arange(weather.sun_w_m2.size + 1, dtype=np.float64)
    dried = hours / shade_h
    dried[1:] += np.cumsum(sun_mm) / melting.dry_off_mm
    return hours, dried
