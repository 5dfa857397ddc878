"""Demand model for planner: ``adverts.burst``, buyers who come back, and adverts that bring more of them.

In: the settings of a scenario that names it. Out: a model that draws buyers. Must not know: the workshop.
"""

from __future__ import annotations

from planner.plugin.protocol import Provider, hookimpl
from planner_adverts.model import Burst
from planner_adverts.settings import Adverts, BurstSettings

__all__ = ["Adverts", "Burst", "BurstSettings", "planner_models"]


@hookimpl
def planner_models() -> list[Provider]:
    """The model of this package."""
    return [
        Provider(
            kind="demand",
            name="burst",
            settings=BurstSettings,
            build=Burst,
            summary="Private buyers who come back, and adverts that bring more: a burst that decays, paid for.",
            example={
                "people": 25,
                "known": 8,
                "gap": {"exponential": {"mean": "120 days"}},
                "size": {"lognormal": {"mean": "18 kg", "sd": "8 kg"}},
                "most": {"mixed": {"normal": {"mean": "4.3 EUR/kg", "sd": "0.6 EUR/kg"}}},
                "adverts": {
                    "dates": ["2026-03-02"],
                    "every": "60 days",
                    "cost": "12 EUR",
                    "reach_share": 0.15,
                },
            },
        )
    ]
