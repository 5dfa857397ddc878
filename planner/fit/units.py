"""Estimates in the units in which an owner counts: kW instead of W, and pounds and mph where these are usual.

In: estimates as they were found, in kg, m/s and W. Out: the same in usual units, with what they were seen in. Must not
know: how they were found.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from planner.fit.estimate import Block, Estimate, Picture
from planner.scenario.inputs import FACTORS
from planner.scenario.units import quantity

METRIC: Final[Mapping[str, str]] = {"W": "kW"}
US: Final[Mapping[str, str]] = {"W": "kW", "kg": "lb", "kg/h": "lb/h", "money/kg": "money/lb", "m/s": "mph"}
"""What stands for each unit; all others are the same for every owner."""


def usual(value: float, symbol: str, us: bool) -> tuple[float, str]:
    """A value and its unit as an owner writes them."""
    unit = (US if us else METRIC).get(symbol, symbol)
    if unit == symbol:
        return value, symbol
    return value / quantity(f"1 {unit.replace('money', 'USD')}", symbol, "USD"), unit


def in_usual(block: Block, currency: str, us: bool) -> Block:
    """Estimates that were found together, as an owner counts."""
    return replace(block, estimates=_all_in_usual(block, currency, us))


def _all_in_usual(block: Block, currency: str, us: bool) -> tuple[Estimate, ...]:
    pictures: dict[int, Picture | None] = {id(None): None}
    found = []
    for one in block.estimates:
        by, unit = usual(1.0, one.unit.replace(currency, "money"), us)
        if one.picture is not None and id(one.picture) not in pictures:
            pictures[id(one.picture)] = _picture(one.picture, currency, us)
        added = 1.0 if one.way in FACTORS else by
        found.append(
            replace(
                one,
                before=one.before * by,
                unit=unit.replace("money", currency),
                shift=one.shift * added,
                sd=one.sd * added,
                prior_sd=one.prior_sd * added,
                picture=pictures[id(one.picture)],
            )
        )
    return tuple(found)


def _picture(seen: Picture, currency: str, us: bool) -> Picture:
    x_title, across = _title(seen.x_title, currency, us)
    y_title, up = _title(seen.y_title, currency, us)
    return replace(
        seen,
        x_title=x_title,
        y_title=y_title,
        x=seen.x * across,
        curve_x=seen.curve_x * across,
        y=seen.y * up,
        fitted_y=seen.fitted_y * up,
        before_y=seen.before_y * up,
        low_y=seen.low_y * up,
        high_y=seen.high_y * up,
    )


def _title(text: str, currency: str, us: bool) -> tuple[str, float]:
    """A title that ends in a unit, and by how much what it is of is multiplied."""
    name, bracket, rest = text.rpartition(" [")
    if not bracket or not rest.endswith("]"):
        return text, 1.0
    by, unit = usual(1.0, rest[:-1].replace(currency, "money"), us)
    return f"{name} [{unit.replace('money', currency)}]", by
