"""Burners that one could buy next.

In: today's power. Out: the next, with what it costs. Must not know: scenarios.
"""

from __future__ import annotations

from typing import Final, NamedTuple

STEP: Final = 1.5
"""A burner is another one from so many times the power on (assumed)."""


class Step(NamedTuple):
    """A burner: power [W], what it costs with its hose and stand and what it still brings [EUR]; prices assumed."""

    power_w: float
    cost: float
    resale: float

    @property
    def written(self) -> str:
        """Its power in a scenario."""
        return f"{self.power_w / 1000:g} kW"


BURNERS: Final = (Step(10_000.0, 90.0, 45.0), Step(16_000.0, 150.0, 70.0), Step(24_000.0, 220.0, 100.0))
"""Such as are sold for outdoor cooking (common practice)."""


def larger_burner(power_w: float) -> Step | None:
    """The next larger one."""
    return next((one for one in BURNERS if one.power_w >= STEP * power_w), None)


def largest_burner(power_w: float) -> Step | None:
    """The one after that, for a larger pot; the next where there is no other."""
    larger = [one for one in BURNERS if one.power_w >= STEP * power_w]
    return larger[min(1, len(larger) - 1)] if larger else None
