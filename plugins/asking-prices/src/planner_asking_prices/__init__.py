"""Pricing models for planner: ``asking.linked``, ``asking.ladder`` and ``asking.best``.

In: the settings of a scenario that names one of them. Out: a model that quotes prices.
Must not know: the workshop; what a buyer of the run would pay.
"""

from __future__ import annotations

from planner.plugin.protocol import Provider, hookimpl
from planner_asking_prices.best import BEST
from planner_asking_prices.ladder import LADDER
from planner_asking_prices.linked import LINKED

__all__ = ["planner_models"]


@hookimpl
def planner_models() -> list[Provider]:
    """The models of this package."""
    return [LINKED, LADDER, BEST]
