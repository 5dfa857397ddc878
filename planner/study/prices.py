"""What a little more of something costs, where an option of the scenario gives the same and has a price.

In: a scenario and increments. Out: a price for each that has one. Must not know: runs, worlds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.scenario import Scenario
from planner.scenario.header import AS_TODAY
from planner.study.increments import Increment


@dataclass(frozen=True, slots=True)
class Price:
    """What one unit costs once."""

    each: float
    option: str
    """The option that tells it: its start-up cost over what it gives."""


def prices(scenario: Scenario, those: Sequence[Increment]) -> dict[str, Price]:
    """Prices by the key of the increment: of the cheapest option that changes nothing else."""
    found: dict[str, Price] = {}
    for one in those:
        told = [
            price for name in scenario.options if name != AS_TODAY and (price := _told(scenario, name, one))
        ]
        if told:
            found[one.key] = min(told, key=lambda price: price.each)
    return found


def _told(scenario: Scenario, name: str, one: Increment) -> Price | None:
    option = scenario.options[name]
    touched = {path.strip() for path in option.changes}
    if option.start_up_cost <= 0.0 or not touched or not touched <= one.paths:
        return None
    if one.size is None:
        same = all(option.changes.get(each.path) == each.change for each in one.inputs)
        return Price(option.start_up_cost, name) if same else None
    more = one.size(scenario.business(name)) - one.size(scenario.business())
    return Price(option.start_up_cost / more, name) if more > 0.0 else None
