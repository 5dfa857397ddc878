"""Amounts made larger or smaller, in the form in which a file holds them.

In: a written value (a number, `60 kg`, a spread, a table or a list of these) and a factor or an amount.
Out: the new value, written the same way. Knows no fields; bounds are checked later, by the model.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from planner.scenario.distribution import PARAMETERS
from planner.scenario.units import quantity, split_written, written
from planner.scenario.wording import explain_number, quoted, shown

_NOT_MOVED = {"sd", "weights"}


def factor_of(factor: Any, operation: str = "times") -> float:
    """The number to multiply by.

    Raises
    ------
    ValueError
        Where it is none.
    """
    if isinstance(factor, bool) or not isinstance(factor, (int, float)) or not math.isfinite(factor):
        reason = explain_number(factor) if isinstance(factor, str) else None
        raise ValueError(
            f"{reason or quoted(factor)}; {operation} needs a number, such as {{{operation}: 0.7}}"
        )
    return factor


def times(value: Any, factor: Any, currency: str | None) -> Any:
    """Multiply a written value.

    Every number in a spread is multiplied (mean and sd alike), weights are not; whole numbers stay whole,
    rounded to the nearest.

    Raises
    ------
    ValueError
        Where there is no number to multiply.
    """
    by = factor_of(factor)

    def one(number: float, symbol: str) -> float:
        if symbol == "degC":
            raise ValueError("a temperature cannot be multiplied; use plus, such as {plus: 5 degC}")
        return number * by

    return _each(value, one, currency, {"weights"}, "multiplied")


def tilted(shares: Mapping[str, Any], key: str, factor: float) -> dict[str, float]:
    """Multiply one of several shares, and divide all of them by what they sum to then.

    Raises
    ------
    ValueError
        It is none of them, or the factor is not above 0.
    """
    if key not in shares:
        raise ValueError("tilt works on one of several shares that sum to 1, and this is none; use times")
    if not factor > 0.0:
        raise ValueError(
            f"{shown(factor)} is not possible; tilt needs a factor above 0, such as {{tilt: 1.2}}"
        )
    before = {one: float(share) for one, share in shares.items() if isinstance(share, (int, float))}
    after = {**before, key: before.get(key, 0.0) * factor}
    by = math.fsum(before.values()) / (math.fsum(after.values()) or 1.0)
    return {one: share * by for one, share in after.items()}


def plus(value: Any, amount: Any, currency: str | None) -> Any:
    """Add to a written value. In a spread the place moves and the width stays: sd and weights are kept.

    Raises
    ------
    ValueError
        Where there is nothing to add to, or the amount has another unit.
    """

    def one(number: float, symbol: str) -> float:
        return number + quantity(amount, symbol, currency, difference=True)

    return _each(value, one, currency, _NOT_MOVED, "added to")


def _each(value: Any, one: Any, currency: str | None, kept: set[str], verb: str) -> Any:
    if isinstance(value, dict) and value:
        kept = kept if is_spread(value) else set()
        return {
            key: _each_part(part, one, currency, kept, verb)
            if kept
            else _each(part, one, currency, kept, verb)
            for key, part in value.items()
        }
    if isinstance(value, list) and value:
        return [_each(part, one, currency, kept, verb) for part in value]
    if isinstance(value, int) and not isinstance(value, bool):
        return round(one(value, "count"))
    if isinstance(value, float):
        return one(value, "number")
    if isinstance(value, str) and (found := split_written(value, currency or "EUR")):
        number, symbol = found
        return written(one(number, symbol), symbol, currency or "EUR")
    what = "is not set" if value is None else f"is {quoted(value)}, which is not a number"
    raise ValueError(f"the value {what}, so it cannot be {verb}; write the new value itself")


def _each_part(parts: Any, one: Any, currency: str | None, kept: set[str], verb: str) -> Any:
    return {
        name: part if name in kept else _each(part, one, currency, set(), verb)
        for name, part in parts.items()
    }


def is_spread(value: Any) -> bool:
    """True for a block such as `{normal: {mean: 60 kg, sd: 5 kg}}`."""
    return isinstance(value, dict) and len(value) == 1 and next(iter(value)) in PARAMETERS
