"""Supply models for planner beside shops: own records, a yearly contract, clear-outs, scrap bought loose by weight.

In: the settings of a scenario that names one of them. Out: a model that draws the buckets of a world.
Must not know: the workshop. A file of records is read when a model is built from it, and never again.
"""

from __future__ import annotations

from planner.plugin.protocol import Provider, hookimpl
from planner_other_sources.clearouts import CLEAROUTS, Clearouts, ClearoutsSettings
from planner_other_sources.contract import CONTRACT, Contract, ContractSettings
from planner_other_sources.loose import LOOSE, Loose, LooseSettings
from planner_other_sources.replay import REPLAY, Replay, ReplaySettings

__all__ = [
    "Clearouts",
    "ClearoutsSettings",
    "Contract",
    "ContractSettings",
    "Loose",
    "LooseSettings",
    "Replay",
    "ReplaySettings",
    "planner_models",
]


@hookimpl
def planner_models() -> list[Provider]:
    """The models of this package."""
    return [REPLAY, CONTRACT, CLEAROUTS, LOOSE]
