"""Estimates in the units in which an owner counts: pounds instead of kilograms, mph instead of m/s.

In: estimates as they were found, in kg and m/s. Out: the same in lb and mph, with what they were seen in. Must not
know: how they were found.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from planner.fit.estimate import Block, Estimate, Picture
from planner.scenario.inputs import FACTORS
from planner.scenario.units import quantity

US: Final[Mapping[str, str]] = {"kg": "lb", "kg/h": "lb/h", "money/kg": "money/lb", "m/s": "mph"}
"""What stands for each unit; all others are the same for every owner."""


def us_of(value: float, symbol: str) -> tuple[float, str]:
    """A value and its unit as an owner who counts in pounds writes them."""
    unit = US.get(symbol, symbol)
    if unit == symbol:
        return value, symbol
    return value / quantity(f"1 {unit.replace('money', 'USD')}", symbol, "USD"), unit


def in_us(block: Block, currency: str) -> Block:
    """Estimates that were found together, for an owner who counts in pounds."""
    return replace(block, estimates=_all_in_us(block, currency))


def _all_in_us(block: Block, currency: str) -> tuple[Estimate, ...]:
    pictures: dict[int, Picture | None] = {id(None): None}
    found = []
    for one in block.estimates:
        by, unit = us_of(1.0, one.unit.replace(currency, "money"))
        if one.picture is not None and id(one.picture) not in pictures:
            pictures[id(one.picture)] = _picture(one.picture, currency)
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


def _picture(seen: Picture, currency: str) -> Picture:
    x_title, across = _title(seen.x_title, currency)
    y_title, up = _title(seen.y_title, currency)
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


def _title(text: str, currency: str) -> tuple[str, float]:
    """A title that ends in a unit, and by how much what it is of is multiplied."""
    name, bracket, rest = text.rpartition(" [")
    if not bracket or not rest.endswith("]"):
        return text, 1.0
    by, unit = us_of(1.0, rest[:-1].replace(currency, "money"))
    return f"{name} [{unit.replace('money', currency)}]", by
