"""Rates model for planner: ``fitted.reverting``, yard prices that follow a metal price fitted to a file.

In: the settings of a scenario that names it. Out: a model that draws what the yard pays. Must not know: the workshop.
"""

from __future__ import annotations

from planner.plugin.protocol import Provider, hookimpl
from planner_fitted_rates.model import FittedRates, build
from planner_fitted_rates.settings import FittedSettings

__all__ = ["FittedRates", "FittedSettings", "planner_models"]


@hookimpl
def planner_models() -> list[Provider]:
    """The model of this package."""
    return [
        Provider(
            kind="rates",
            name="reverting",
            settings=FittedSettings,
            build=build,
            summary="Yard prices that follow a metal price fitted to a CSV: it comes back to its mean, with shocks.",
            example={
                "file": "prices.csv",
                "lead": {"paid": "1.34 EUR/kg"},
                "steel": {"paid": "0.15 EUR/kg", "follows_share": 0},
            },
        )
    ]
