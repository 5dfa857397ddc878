"""Values that vary, as they are written in a scenario.

In: what the file holds for one varying value, a constant or a one-key block. Out: a frozen `Spread`
within the hard bounds of its field. Knows no fields; the arithmetic is in `distribution`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Any, Final

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import core_schema

from planner.scenario.distribution import PARAMETERS
from planner.scenario.distribution import Spread as Spread
from planner.scenario.kinds import BARE, KINDS
from planner.scenario.part import PartError, parts_of, raise_all, together
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


def _counted(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


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
    key, inner = next(iter(value.items()))
    kind, found = key if key in PARAMETERS else nearest(str(key), PARAMETERS), list[PartError]()
    if kind != key:
        guess = f"did you mean {kind}? " if kind else ""
        found.append(
            PartError(f"a spread of the kind '{shown(key)}' is not known; {guess}there are {kinds}", [key])
        )
    if kind == "beta" and form.symbol != "share":
        words = f"beta is for shares; for {KINDS[form.symbol].what} use triangular or gamma"
        found.append(PartError(words, [key]))
    elif kind is not None and not isinstance(inner, Mapping):
        words = f"{shown(inner)} was found where a block of keys is needed; write {_example(kind, form, currency)}"
        found.append(PartError(words, [key]))
    elif kind is not None:
        spread, wrong = _read_kind(kind, inner, form, currency)
        if spread is not None and not found:
            return spread
        found += [part for one in wrong for part in parts_of(one, key)]
    raise together(found)


def _read_kind(
    kind: str, inner: Mapping[str, Any], form: SpreadOf, currency: str | None
) -> tuple[Spread | None, list[PartError]]:
    """A spread of this kind, or all that is wrong inside it."""
    names, found = PARAMETERS[kind], list[PartError]()
    keys = {name: name for name in names if name in inner}
    for key in inner:
        if key not in names:
            found.append(PartError(f"{kind} has no '{shown(key)}'", [key]))
            near = nearest(str(key), [name for name in names if name not in keys])
            keys |= {near: key} if near else {}
    found += [PartError(f"'{name}' is missing") for name in names if name not in keys]
    example = f"; write {_example(kind, form, currency)}" if found else ""
    found = [PartError(f"{one}{example}", one.at) for one in found]
    parts = {name: (key, inner[key]) for name, key in keys.items()}
    if kind == "choice":
        numbers, weights, wrong = _read_choice(parts, form, currency)
    else:
        numbers, wrong = _read_parameters(kind, parts, form, currency)
        weights = ()
    found += wrong
    return (None if found else Spread(kind, numbers, weights)), found


def _read_parameters(
    kind: str, parts: Mapping[str, tuple[str, Any]], form: SpreadOf, currency: str | None
) -> tuple[tuple[float, ...], list[PartError]]:
    of: dict[str, float] = {}
    found: list[PartError] = []
    for name, (key, part) in parts.items():
        symbol = "number" if form.symbol == "count" and name in {"mean", "sd"} else form.symbol
        try:
            of[name] = float(quantity(part, symbol, currency, difference=name == "sd"))
        except ValueError as error:
            found.append(PartError(str(error), [key]))
    odd = list(_odd(kind, of, {name: key for name, (key, _) in parts.items()}, form, currency))
    if found and "mean" in of and not odd:
        odd += _not_within(of["mean"], "a mean of ", [], form, currency)
    return tuple(of[name] for name in PARAMETERS[kind] if name in of), found + odd


def _read_choice(
    parts: Mapping[str, tuple[str, Any]], form: SpreadOf, currency: str | None
) -> tuple[tuple[float, ...], tuple[float, ...], list[PartError]]:
    found: list[PartError] = []
    read: dict[str, list[float]] = {}
    for name, (key, part) in parts.items():
        if not isinstance(part, list) or not part:
            example = _example("choice", form, currency)
            words = f"{shown(part)} was found where a list is needed; write {example}"
            found.append(PartError(words, [key]))
            continue
        read[name] = []
        for position, one in enumerate(part):
            try:
                number = float(quantity(one, form.symbol if name == "values" else "number", currency))
            except ValueError as error:
                found.append(PartError(str(error), [key, position]))
                continue
            read[name].append(number)
            if name == "weights" and number < 0:
                found.append(PartError(f"{shown(one)} is below 0; a weight is 0 or more", [key, position]))
            if name == "values":
                found += _not_within(number, "", [key, position], form, currency)
    if len(read) == 2:
        values, weights = (parts[name] for name in ("values", "weights"))
        if len(values[1]) != len(weights[1]):
            words = (
                f"{_counted(len(values[1]), 'value')}, but {_counted(len(weights[1]), 'weight')}; write one weight "
                "for each value"
            )
            found.append(PartError(words, [weights[0]]))
        if not any(read["weights"]) and len(read["weights"]) == len(weights[1]):
            found.append(PartError("the weights are all 0; at least one must be more", [weights[0]]))
    return tuple(read.get("values", ())), tuple(read.get("weights", ())), found


def _odd(
    kind: str, of: Mapping[str, float], keys: Mapping[str, str], form: SpreadOf, currency: str | None
) -> Iterator[PartError]:
    """Parameters that are impossible by themselves or beside each other."""

    def text(name: str) -> str:
        return in_words(of[name], form.symbol, currency)

    low, mode, high, mean, sd = (of.get(name) for name in ("low", "mode", "high", "mean", "sd"))
    if low is not None and high is not None:
        if low > high:
            words = f"low ({text('low')}) is above high ({text('high')})"
            yield PartError(words, [keys["low"]], [keys["high"]])
        elif mode is not None and not low <= mode <= high:
            limit = "low" if mode < low else "high"
            words = f"the mode ({text('mode')}) lies outside low ({text('low')}) to high ({text('high')})"
            yield PartError(words, [keys["mode"]], [keys[limit]])
    if sd is not None and sd < 0:
        yield PartError(
            f"sd, how far values usually lie from the mean, is {text('sd')}; write 0 or more", [keys["sd"]]
        )
    if mean is None:
        return
    if kind in {"lognormal", "gamma", "exponential"} and mean <= 0:
        yield PartError(f"the mean of {kind} must be above 0, not {text('mean')}", [keys["mean"]])
    if kind == "beta":
        if not 0 < mean < 1:
            yield PartError(f"the mean of beta must be between 0 and 1, not {text('mean')}", [keys["mean"]])
        elif sd is not None and sd >= (most := math.sqrt(mean * (1 - mean))):
            yield PartError(f"with a mean of {text('mean')} the sd must be below {most:.3g}", [keys["sd"]])


def _refuse_outside(spread: Spread, form: SpreadOf, currency: str | None) -> None:
    """Raise where a constant, a value of a choice, or the mean of another distribution is not possible."""
    if spread.kind == "choice":
        for position, value in enumerate(spread.numbers):
            raise_all(_not_within(value, "", ["choice", "values", position], form, currency))
        return
    which, at = ("", []) if spread.kind == "constant" else ("a mean of ", [spread.kind])
    mean = replace(spread, low=None, high=None).mean
    raise_all(_not_within(mean, which, at, form, currency))


def _not_within(
    value: float, which: str, at: Sequence[str | int], form: SpreadOf, currency: str | None
) -> list[PartError]:
    too_low = form.low is not None and value < form.low
    if not too_low and (form.high is None or value <= form.high):
        return []
    allowed = bounds_in_words(form.low, form.high, form.symbol, currency)
    return [
        PartError(
            f"{which}{in_words(value, form.symbol, currency)} is not possible; it must be {allowed}", at
        )
    ]


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
LEAST_BUCKET_KG: Final = 0.001
"""What a bucket costs is reckoned by its weight, so it weighs a gram at least."""
SpreadBucketKg = Annotated[Spread, SpreadOf("kg", low=LEAST_BUCKET_KG)]
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
