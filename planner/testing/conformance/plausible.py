"""Ranges beyond which a number is more likely in another unit than true.

In: a part of the world. Out: what lies outside, in plain words. Must not know: which model made it.

The ranges are wide, and all of them assumed: pounds for kilograms pass, tonnes, grams and prices a tonne do not.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import numpy as np

from planner.testing.conformance.leaves import leaves

Ranges = Mapping[str, tuple[float, float]]
"""Lowest and highest value by the name of a column."""

WEATHER: Final[Ranges] = {
    "temperature_c": (-60.0, 55.0),
    "wind_m_s": (0.0, 60.0),
    "rain_mm": (0.0, 200.0),
    "sun_w_m2": (0.0, 1400.0),
}
RATES: Final[Ranges] = {"per_kg": (0.0, 100.0)}
SUPPLY: Final[Ranges] = {
    "x_km": (-1000.0, 1000.0),
    "y_km": (-1000.0, 1000.0),
    "asking_h": (0.0, 5000.0),
    "misses_borne": (0.0, 1e6),
    "price_creep_share": (0.0, 1.0),
    "mass_kg": (0.0, 5000.0),
    "price": (0.0, 50_000.0),
}
DEMAND: Final[Ranges] = {
    "size_kg": (0.0, 20_000.0),
    "most_per_kg": (0.0, 100.0),
    "tin_kg": (0.0, 500.0),
    "tin_most_per_kg": (0.0, 1000.0),
    "sale_h": (0.0, 24.0),
    "message_h": (0.0, 24.0),
    "parcel_h": (0.0, 24.0),
    "trip_km": (0.0, 5000.0),
    "parcel_kg": (0.0, 1000.0),
    "parcel_fee": (0.0, 1000.0),
    "least_kg": (0.0, 20_000.0),
}
PRICE_PER_KG: Final = (0.0, 100.0)
TIN_PER_KG: Final = (0.0, 1000.0)


def outside(part: Any, ranges: Ranges) -> list[str]:
    """What lies outside its range, or is not a number."""
    found = []
    for name, leaf in leaves(part):
        column = name.rpartition(".")[2].partition("[")[0]
        if column not in ranges:
            continue
        (low, high), values = ranges[column], np.asarray(leaf, dtype=float)
        if values.size and not (low <= values.min() and values.max() <= high):
            wrong = values[~((values >= low) & (values <= high))].flat[0]
            found.append(f"{name} holds {wrong:g}, which is not between {low:g} and {high:g}")
    return found
