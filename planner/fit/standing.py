"""What a scenario says at each path before anything is estimated, with what it leaves to a kind of shop written out.

In: a scenario. Out: its tree, values at paths, its models by path. Must not know: records, estimates.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

from planner.plugin.builtin.shops import GAP_DAYS
from planner.scenario import Scenario
from planner.scenario.axis import matching
from planner.scenario.units import split_written

CORE_SHOPS = "core.shops"


def tree_of(scenario: Scenario) -> dict[str, Any]:
    """Every value of the business as a file would hold it, the gaps between a shop's buckets too."""
    tree: dict[str, Any] = copy.deepcopy(scenario.variants.as_written)
    for entry in tree["supply"]:
        if entry["model"] == CORE_SHOPS:
            for shop in entry["settings"]["shops"].values():
                if shop["gap"] is None:
                    shop["gap"] = GAP_DAYS[shop["kind"]].written("day", scenario.currency)
    return tree


def values_at(tree: Any, path: str) -> dict[str, Any]:
    """What stands at each path that this one stands for; nothing that is left out."""
    return {one: value for one, value in matching(path, tree) if value is not None}


def amount_at(scenario: Scenario, path: str) -> tuple[float, str]:
    """The one number at a path, and its unit as the file writes it.

    Raises
    ------
    KeyError
        There is none, or more than one.
    """
    found = list(values_at(tree_of(scenario), path).values())
    if len(found) != 1:
        raise KeyError(path)
    return amount(found[0], scenario.currency)


def amount(value: Any, currency: str) -> tuple[float, str]:
    """A written number and its unit."""
    if isinstance(value, str):
        split = split_written(value, currency)
        if split is not None:
            return split[0], value.split(" ", 1)[1]
    return float(value), ""


def entries(scenario: Scenario, kind: str) -> Iterator[tuple[str, str, Any]]:
    """Path, model and settings of each entry of ``supply`` or ``demand``."""
    for number, entry in enumerate(getattr(scenario.business(), kind), 1):
        yield f"{kind}.{entry.name or number}", entry.model, entry.settings
