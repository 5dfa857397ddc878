"""Values that vary, as they are written in a scenario.

In: what the file holds for one varying value, a constant or a one-key block. Out: a frozen `Spread`
within the hard bounds of its field. Knows no fields; the arithmetic is in `distribution`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import core_schema

from planner.scenario.distribution import PARAMETERS
from planner.scenario.distribution import Spread as Spread
from planner.scenario.kinds import BARE, KINDS
from planner.scenario.part import PartError, PartsError
from planner.scenario.units import (
    bounds_in_words,
    currency_of,
    example_of,
    in_words,
    json_form,
    quantity,
    read_and_written,
)
from planner.scenario.wording import listed, nearest, shown

CUT_WORTH_TELLING_SHARE = 0.001
"""Share of a distribution beyond its hard bounds above which the reader is told (assumed)."""


@dataclass(frozen=True, slots=True)
class SpreadOf:
    """Marks a field as a `Spread` in this unit, with hard bounds; see `spread_of`."""

    symbol: str
    low: float | None = None
    high: float | None = None

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        def read(value: Any, info: core_schema.ValidationInfo) -> Spread:
            return read_spread(value, self, currency_of(info.context))

        def write(value: Spread, info: core_schema.SerializationInfo) -> Any:
            return value.written(self.symbol, currency_of(info.context) or "EUR")

        return read_and_written(read, write)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        value, share = json_form(self.symbol), {"type": "number", "minimum": 0}
        forms: list[dict[str, Any]] = [value]
        for kind, names in PARAMETERS.items():
            inner: dict[str, Any] = dict.fromkeys(names, value)
            if kind == "choice":
                inner = {
                    "values": {"type": "array", "items": value},
                    "weights": {"type": "array", "items": share},
                }
            body = {
                "type": "object",
                "properties": inner,
                "required": list(names),
                "additionalProperties": False,
            }
            forms.append(
                {
                    "type": "object",
                    "properties": {kind: body},
                    "required": [kind],
                    "additionalProperties": False,
                }
            )
        return {"oneOf": forms}


def spread_of(symbol: str, low: float | None = None, high: float | None = None) -> SpreadOf:
    """Marker for `Annotated[Spread, spread_of("kg", low=1)]`: unit and hard bounds [that unit]."""
    return SpreadOf(symbol, low, high)


def read_spread(value: Any, form: SpreadOf, currency: str | None = None) -> Spread:
    """Read a constant or a one-key block such as `{normal: {mean: 60 kg, sd: 5 kg}}`.

    Raises
    ------
    PartError, PartsError
        In plain words, pointing at the keys inside the value.
    """
    if isinstance(value, Spread):
        spread = value  # a default
    elif isinstance(value, Mapping):
        spread = _read_distribution(value, form, currency)
    else:
        spread = Spread("constant", (quantity(value, form.symbol, currency),))
    spread = replace(spread, low=form.low, high=form.high, whole=form.symbol == "count")
    _refuse_outside(spread, form, currency)
    return spread


def _read_distribution(value: Mapping[str, Any], form: SpreadOf, currency: str | None) -> Spread:
    kinds = listed(PARAMETERS)
    if len(value) != 1:
        raise PartError(
            f"a spread has one kind, but {len(value)} keys were found"
            f" ({listed(map(str, value)) or 'none'}); write one of {kinds}"
        )
    kind, inner = next(iter(value.items()))
    if kind not in PARAMETERS:
        near = nearest(str(kind), PARAMETERS)
        guess = f"did you mean {near}? " if near else ""
        raise PartError(
            f"a spread of the kind '{shown(kind)}' is not known; {guess}there are {kinds}", [kind]
        )
    if kind == "beta" and form.symbol != "share":
        raise PartError(f"beta is for shares; for {KINDS[form.symbol].what} use triangular or gamma", [kind])
    example = _example(kind, form, currency)
    if not isinstance(inner, Mapping):
        raise PartError(f"{shown(inner)} was found where a block of keys is needed; write {example}", [kind])
    names = PARAMETERS[kind]
    found = [
        PartError(f"{kind} has no '{shown(key)}'; write {example}", [kind, key])
        for key in inner
        if key not in names
    ]
    found += [
        PartError(f"'{name}' is missing; write {example}", [kind]) for name in names if name not in inner
    ]
    if found:
        raise PartsError(found)
    if kind == "choice":
        return _read_choice(inner["values"], inner["weights"], form, currency, example)
    numbers = _each([(name, inner[name]) for name in names], [kind], form, currency)
    _refuse_shape(kind, dict(zip(names, numbers, strict=True)), form, currency)
    return Spread(kind, numbers)


def _each(
    parts: list[tuple[str | int, Any]], at: list[str | int], form: SpreadOf, currency: str | None
) -> tuple[float, ...]:
    numbers, found = [], []
    for key, part in parts:
        try:
            symbol = "number" if form.symbol == "count" and key in {"mean", "sd"} else form.symbol
            numbers.append(float(quantity(part, symbol, currency, difference=key == "sd")))
        except ValueError as error:
            found.append(PartError(str(error), [*at, key]))
    if found:
        raise PartsError(found)
    return tuple(numbers)


def _read_choice(values: Any, weights: Any, form: SpreadOf, currency: str | None, example: str) -> Spread:
    for name, part in (("values", values), ("weights", weights)):
        if not isinstance(part, list) or not part:
            raise PartError(
                f"{shown(part)} was found where a list is needed; write {example}", ["choice", name]
            )
    if len(values) != len(weights):
        raise PartError(
            f"there are {len(values)} values but {len(weights)} weights; write one weight for each value",
            ["choice", "weights"],
        )
    numbers = _each(list(enumerate(values)), ["choice", "values"], form, currency)
    shares = _each(list(enumerate(weights)), ["choice", "weights"], SpreadOf("number"), currency)
    for position, share in enumerate(shares):
        if share < 0:
            raise PartError(
                f"{shown(weights[position])} is below 0; a weight is 0 or more",
                ["choice", "weights", position],
            )
    if sum(shares) <= 0:
        raise PartError("the weights are all 0; at least one must be more", ["choice", "weights"])
    return Spread("choice", numbers, shares)


def _refuse_shape(kind: str, of: dict[str, float], form: SpreadOf, currency: str | None) -> None:
    def text(name: str) -> str:
        return in_words(of[name], form.symbol, currency)

    if "low" in of and of["low"] > of["high"]:
        raise PartError(f"low ({text('low')}) is above high ({text('high')})", [kind, "low"], [kind, "high"])
    if "mode" in of and not of["low"] <= of["mode"] <= of["high"]:
        limit = "low" if of["mode"] < of["low"] else "high"
        words = f"the mode ({text('mode')}) lies outside low ({text('low')}) to high ({text('high')})"
        raise PartError(words, [kind, "mode"], [kind, limit])
    if of.get("sd", 0.0) < 0:
        raise PartError(f"a standard deviation of {text('sd')} is below 0; write 0 or more", [kind, "sd"])
    if kind in {"lognormal", "gamma", "exponential"} and of["mean"] <= 0:
        raise PartError(f"the mean of {kind} must be above 0, not {text('mean')}", [kind, "mean"])
    if kind == "beta":
        if not 0 < of["mean"] < 1:
            raise PartError(f"the mean of beta must be between 0 and 1, not {text('mean')}", [kind, "mean"])
        most = math.sqrt(of["mean"] * (1 - of["mean"]))
        if of["sd"] >= most:
            raise PartError(f"with a mean of {text('mean')} the sd must be below {most:.3g}", [kind, "sd"])


def _refuse_outside(spread: Spread, form: SpreadOf, currency: str | None) -> None:
    allowed = bounds_in_words(form.low, form.high, form.symbol, currency)
    free = replace(spread, low=None, high=None)
    checked = spread.numbers if spread.kind in {"constant", "choice"} else (free.mean,)
    for position, value in enumerate(checked):
        too_low = form.low is not None and value < form.low
        if too_low or (form.high is not None and value > form.high):
            at: list[str | int] = [] if spread.kind == "constant" else [spread.kind]
            at += ["values", position] if spread.kind == "choice" else []
            which = "" if spread.kind in {"constant", "choice"} else "a mean of "
            raise PartError(
                f"{which}{in_words(value, form.symbol, currency)} is not possible; it must be {allowed}", at
            )


_EXAMPLE_FACTORS = {"low": 0.5, "mode": 1.0, "high": 1.5, "mean": 1.0, "sd": 0.1}


def _example(kind: str, form: SpreadOf, currency: str | None) -> str:
    value = quantity(example_of(form.symbol, currency), form.symbol) if form.symbol not in BARE else 0.5
    value = 12.0 if form.symbol == "count" else value
    one = in_words(value, form.symbol, currency)
    parts = {"values": f"[{one}, ...]", "weights": "[1, ...]"}
    for name, factor in _EXAMPLE_FACTORS.items():
        parts[name] = in_words(round(value * factor, 9), form.symbol, currency)
    return f"{{{kind}: {{{', '.join(f'{name}: {parts[name]}' for name in PARAMETERS[kind])}}}}}"


def cut_warning(spread: Spread, form: SpreadOf, currency: str | None = None) -> str | None:
    """What to tell the reader where the bounds change more than a trace of the values."""
    share = spread.cut_share
    if share <= CUT_WORTH_TELLING_SHARE:
        return None
    return (
        f"{100 * share:.2g} % of this {spread.kind} spread lies outside what is possible"
        f" ({bounds_in_words(form.low, form.high, form.symbol, currency)}) and is set to the bound"
    )


SpreadMassKg = Annotated[Spread, SpreadOf("kg", low=0)]
SpreadH = Annotated[Spread, SpreadOf("h", low=0)]
SpreadMin = Annotated[Spread, SpreadOf("min", low=0)]
SpreadDays = Annotated[Spread, SpreadOf("day", low=0)]
SpreadKm = Annotated[Spread, SpreadOf("km", low=0)]
SpreadC = Annotated[Spread, SpreadOf("degC")]
SpreadMoney = Annotated[Spread, SpreadOf("money", low=0)]
SpreadMoneyPerKg = Annotated[Spread, SpreadOf("money/kg", low=0)]
SpreadPerMonth = Annotated[Spread, SpreadOf("1/month", low=0)]
SpreadShare = Annotated[Spread, SpreadOf("share", low=0, high=1)]
SpreadCount = Annotated[Spread, SpreadOf("count", low=0)]
SpreadNumber = Annotated[Spread, SpreadOf("number")]
