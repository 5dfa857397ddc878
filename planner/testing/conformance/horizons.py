"""Days that a model is asked for: an ordinary year, and those at which models break.

In: nothing. Out: horizons by name. Must not know: models.
"""

from __future__ import annotations

from datetime import date
from typing import Final

from planner.world.parts import Horizon

YEAR_DAYS: Final = 365


def year() -> Horizon:
    """An ordinary year in the temperate north, as no model has seen it before."""
    return Horizon(date(2026, 1, 1), YEAR_DAYS, 45.0, 10.0, "Europe/Paris")


def edges() -> dict[str, Horizon]:
    """Horizons at which models break, by what is odd about them."""
    return {
        "a single day": Horizon(date(2026, 6, 1), 1, 45.0, 10.0, "Europe/Paris"),
        "a leap year": Horizon(date(2028, 1, 1), 366, 45.0, 10.0, "Europe/Paris"),
        "three years": Horizon(date(2026, 7, 1), 3 * YEAR_DAYS, 36.1, -79.9, "America/New_York"),
        "a start in midwinter": Horizon(date(2026, 12, 21), 120, 60.0, 10.0, "Europe/Paris"),
        "a year south of the equator": Horizon(date(2026, 9, 1), YEAR_DAYS, -36.8, 174.8, "Pacific/Auckland"),
        "a winter without sun": Horizon(date(2026, 11, 1), 120, 69.6, 19.0, "Europe/Oslo"),
    }
