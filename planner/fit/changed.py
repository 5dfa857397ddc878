"""What stands in a fitted scenario instead of what stood there: every number that an estimate moves.

In: estimates and the tree they were made from. Out: written values by path, and what of them is written as a whole.
Must not know: files.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from math import fsum
from typing import Any, Final

import numpy as np

from planner.fit.estimate import Estimate
from planner.fit.standing import tree_of, values_at
from planner.fit.units import usual
from planner.scenario import Scenario
from planner.scenario.amounts import is_spread, plus, times
from planner.scenario.business import SHARES_OF_WEIGHTS
from planner.scenario.changes import find
from planner.scenario.clock import MONTHS
from planner.scenario.inputs import FACTORS
from planner.scenario.units import found_number, split_written, written

DIGITS: Final = 4
"""A fitted number is written with so many digits that count."""


def changed(scenario: Scenario, estimates: Iterable[Estimate]) -> dict[str, Any]:
    """The new value at each path, whole spreads among them."""
    tree, found = tree_of(scenario), dict[str, Any]()
    for one in estimates:
        found |= values_of(one, tree, scenario.currency, scenario.units == "us")
    _sum_to_one(found)
    return found


def _sum_to_one(values: dict[str, Any]) -> None:
    """Shares of a mix sum to 1 as they are written too: the largest takes what rounding left."""
    for above in {path.rpartition(".")[0] + "." for path in values if path.endswith(SHARES_OF_WEIGHTS)}:
        those = [f"{above}{key}" for key in SHARES_OF_WEIGHTS if f"{above}{key}" in values]
        largest = max(those, key=lambda path: values[path])
        values[largest] = round(1.0 - fsum(values[path] for path in those if path != largest), 9)


def values_of(one: Estimate, tree: Any, currency: str, us: bool = False) -> dict[str, Any]:
    """What one estimate puts where."""
    found = {}
    for path, old in values_at(tree, one.path).items():
        if one.way in FACTORS:
            new = times(old, float(np.exp(one.shift)), currency)
        else:
            new = plus(
                old,
                f"{found_number(one.shift)} {one.unit}" if one.unit else one.shift,
                currency,
            )
        found[path] = rounded(new, currency, us)
    return found


def rounded(value: Any, currency: str, us: bool = False) -> Any:
    """The same with the digits that count; names and weights as they are."""
    if isinstance(value, Mapping):
        return {key: rounded(part, currency, us) for key, part in value.items()}
    if isinstance(value, list):
        return [rounded(part, currency, us) for part in value]
    if isinstance(value, float):
        return _rounded(value)
    if isinstance(value, str) and (split := split_written(value, currency)):
        number, unit = usual(*split, us)
        return written(_rounded(number), unit, currency)
    return value


def _rounded(x: float) -> float:
    return float(np.format_float_positional(x, precision=DIGITS, unique=False, fractional=False, trim="-"))


def leaves(path: str, value: Any) -> Iterator[tuple[str, Any]]:
    """The single values of a written value, each with its path."""
    if isinstance(value, Mapping):
        for key, part in value.items():
            yield from leaves(f"{path}.{key}", part)
    elif isinstance(value, list):
        for number, part in enumerate(value, 1):
            yield from leaves(f"{path}.{number}", part)
    else:
        yield path, value


def wholes(scenario: Scenario, values: Mapping[str, Any]) -> dict[str, Any]:
    """What is written anew: the values, or the spread, table of months or mix that they are part of, as a whole."""
    tree, found = tree_of(scenario), dict[str, Any]()
    for path, value in values.items():
        for leaf, one in leaves(path, value):
            steps, _ = find(tree, leaf)
            here: Any = tree
            for step in steps[:-1]:
                here = here[step]
            here[steps[-1]] = one
    for path in values:
        words = path.split(".")
        for length in range(1, len(words) + 1):
            above = ".".join(words[:length])
            value = find(tree, above)[1]
            if length == len(words) or is_spread(value) or _is_one(value):
                found.setdefault(above, value)
                break
    return found


def _is_one(value: Any) -> bool:
    """A table of months, or a mix, whose parts say nothing alone."""
    return isinstance(value, dict) and (set(value) == set(MONTHS) or "clip_on_share" in value)
