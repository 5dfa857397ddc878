"""Text quantities (`60 kg`) made into plain floats in internal units, and written back.

In: one number and one unit as text. Out: a float in the unit that the field's type names; a
`ValueError` in plain words otherwise. Must not know what any field means.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import core_schema

from planner.scenario.currencies import CODES
from planner.scenario.factors import FACTORS
from planner.scenario.kinds import BARE, KINDS, Kind
from planner.scenario.wording import explain_number, nearest, quoted, shown, too_large

if TYPE_CHECKING:
    import pint


NUMBER = r"-?(?:(?:0|[1-9][0-9]*)(?:\.[0-9]+)?|\.[0-9]+)"
_WRITTEN = re.compile(rf"({NUMBER})\s*([^\W\d_°/].*|[°/].*)?")
_UNIT = re.compile(r"[A-Za-z°µμ_/*^()23 -]{1,40}")
_NO_DIMENSION = re.compile(r"\b(?:rad|radian|deg|degree|count|percent|ppm)s?\b")
_AMBIGUOUS = {"ton", "tons", "tn"}
_LETTERS = {"C": "degC", "F": "degF", "deg C": "degC", "deg F": "degF"}


@dataclass(frozen=True, slots=True)
class Unit:
    """Marks a float (or int) field as a quantity in this unit, written as text in the file.

    Parameters
    ----------
    symbol : str
        A key of `KINDS`: "kg", "money/kg", "1/month", "share" ...
    """

    symbol: str

    @property
    def kind(self) -> Kind:
        """How this kind of quantity is called and written."""
        return KINDS[self.symbol]

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        def read(value: Any, info: core_schema.ValidationInfo) -> float:
            return quantity(value, self.symbol, currency_of(info.context))

        def write(value: Any, info: core_schema.SerializationInfo) -> Any:
            return written(value, self.symbol, currency_of(info.context) or "EUR")

        return core_schema.with_info_before_validator_function(
            read,
            handler(source),
            serialization=core_schema.plain_serializer_function_ser_schema(
                write, info_arg=True, when_used="json"
            ),
        )

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return json_form(self.symbol)


def read_and_written(
    read: Callable[[Any, core_schema.ValidationInfo], Any],
    write: Callable[[Any, core_schema.SerializationInfo], Any],
) -> core_schema.CoreSchema:
    """A field that one function reads and another writes back, both told the scenario's context."""
    return core_schema.with_info_plain_validator_function(
        read,
        serialization=core_schema.plain_serializer_function_ser_schema(
            write, info_arg=True, when_used="json"
        ),
    )


def json_form(symbol: str) -> dict[str, Any]:
    """JSON Schema of one quantity as it is written in a file."""
    kind = KINDS[symbol]
    if symbol == "share":
        return {"type": "number", "minimum": 0, "maximum": 1, "description": kind.what}
    if symbol in BARE:
        return {"type": "integer" if symbol == "count" else "number", "description": kind.what}
    return {
        "type": "string",
        "pattern": rf"^{NUMBER} *[A-Za-z°µ/].*$",
        "description": f"{kind.what}, such as {kind.example}",
    }


def currency_of(context: Any) -> str | None:
    """The scenario's currency out of a validation context; None where any will do."""
    currency = context.get("currency") if isinstance(context, Mapping) else None
    return currency if isinstance(currency, str) else None


def quantity(value: Any, symbol: str, currency: str | None = None, *, difference: bool = False) -> float:
    """Read what a file holds for one quantity.

    Parameters
    ----------
    value : Any
        The plain value of the file: text for a quantity with a unit, a number for a share or count.
    symbol : str
        The unit wanted, a key of `KINDS`.
    currency : str, optional
        The scenario's currency (ISO 4217); None accepts any.
    difference : bool
        True where a difference is meant: `5 degC` is then five degrees more or less.

    Returns
    -------
    float
        The value in the unit wanted.

    Raises
    ------
    ValueError
        With a message that says what was understood and what to write.
    """
    kind = KINDS[symbol]
    if symbol in BARE:
        return _bare(value, symbol)
    if isinstance(value, str):
        return parse(value.strip(), symbol, currency, difference)
    example = example_of(symbol, currency)
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        raise ValueError(f"{shown(value)} has no unit; write {kind.what} with its unit, such as {example}")
    raise ValueError(f"{shown(value)} was found where {kind.what} is needed; write it like {example}")


def _bare(value: Any, symbol: str) -> float:
    kind = KINDS[symbol]
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        reason = explain_number(value) or too_large(value) if isinstance(value, str) else None
        if reason is None and isinstance(value, str) and re.fullmatch(NUMBER, value):
            reason = f"'{shown(value)}' is in quotes, which make it text"
        if reason is None and isinstance(value, str) and re.match(rf"{NUMBER}\s*[^\W\d_]", value):
            reason = f"'{shown(value)}' has a unit, but {kind.what} is a number without one"
        reason = reason or f"{quoted(value)} was found where {kind.what} is needed"
        if "percentage" in reason and symbol == "share":
            raise ValueError(reason)
        subject = "it" if kind.what in reason else kind.what
        raise ValueError(f"{reason}; {subject} is written like {kind.example}")
    if not math.isfinite(value):
        raise ValueError(
            f"{value} is not a number that can be used; {kind.what} is written like {kind.example}"
        )
    if symbol == "count":
        if value != int(value):
            raise ValueError(f"{shown(value)} is not a whole number; write one such as {kind.example}")
        return int(value)
    return float(value)


@lru_cache(maxsize=8192)
def parse(text: str, symbol: str, currency: str | None = None, difference: bool = False) -> float:
    """Read one number and one unit; see `quantity`."""
    kind, example = KINDS[symbol], example_of(symbol, currency)
    found = _WRITTEN.fullmatch(text)
    reason = explain_number(text, currency)
    if reason or not found:
        reason = reason or f"'{shown(text)}' is not one number and one unit"
        raise ValueError(f"{reason}; {kind.what} is written like {example}")
    number, unit = float(found[1]), found[2]
    if unit and re.search(r"(?<![A-Za-z^-])\d", unit):
        raise ValueError(
            f"'{shown(text)}' is more than one number and one unit; write one of each, such as {example}"
        )
    if not unit:
        raise ValueError(f"{text} has no unit; write {kind.what} with its unit, such as {example}")
    name = _in_currency(_tidy(unit), text, currency)
    if name == symbol:
        return number
    factor = FACTORS.get(symbol, {}).get(name)
    value = (
        number * factor
        if factor is not None
        else _converted(number, name, unit, text, symbol, currency, difference)
    )
    if not math.isfinite(value):
        raise ValueError(f"'{shown(text)}' is too large a number; {kind.what} is written like {example}")
    return value


def _tidy(unit: str) -> str:
    """One spelling for the ways people write the same unit."""
    unit = unit.strip().replace("²", "^2").replace("³", "^3").replace("**", "^").replace("·", "*")
    unit = re.sub(r"(?<=[A-Za-z])([23])\b", r"^\1", unit)
    unit = re.sub(r"\s*(?:\bper\b|/)\s*", "/", unit)
    unit = "day" if unit == "days" else unit
    return "1" + unit if unit.startswith("/") else unit


def _in_currency(unit: str, text: str, currency: str | None) -> str:
    codes = [code for code in re.findall(r"\b[A-Z]{3}\b", unit) if code in CODES]
    if codes and currency and codes[0] != currency:
        raise ValueError(
            f"'{shown(text)}' is in {codes[0]}, but this scenario counts in {currency}; "
            f"convert it to {currency} (no exchange rates are known here)"
        )
    return re.sub(rf"\b{codes[0]}\b", "money", unit) if codes else unit


def _converted(
    number: float, name: str, unit: str, text: str, symbol: str, currency: str | None, difference: bool
) -> float:
    kind, example = KINDS[symbol], example_of(symbol, currency)
    if unit.strip() in _AMBIGUOUS:
        raise ValueError(
            f"'{unit}' may mean 1000 kg or 2000 lb; write t (1000 kg) or short_ton (2000 lb), such as 2 t"
        )
    import pint

    units = registry()
    body = name.removeprefix("1/")
    try:
        if not _UNIT.fullmatch(body):
            raise pint.UndefinedUnitError(body)
        source: pint.Unit = units.parse_units(body)
        source = source if body == name else units.parse_units(f"1/({body})")
        if symbol != "deg" and (not source.dimensionality or _NO_DIMENSION.search(body)):
            raise pint.UndefinedUnitError(body)
    except Exception:  # the parser of units raises nearly anything, assertions too, at odd text
        raise ValueError(_unknown_unit(unit, symbol, currency)) from None
    target = units.parse_units(symbol)
    if source.dimensionality != target.dimensionality or (symbol == "deg" and not _is_angle(body)):
        hint = _LETTERS.get(unit.strip())
        if hint and symbol == "degC":
            raise ValueError(f"'{shown(text)}': write {found_number(number)} {hint}")
        other = _what(source, symbol)
        raise ValueError(f"'{shown(text)}' is {other}, but {kind.what} is needed, such as {example}")
    if symbol == "K" or (difference and symbol == "degC"):
        delta = {"degree_Celsius": "delta_degC", "degree_Fahrenheit": "delta_degF"}.get(str(source))
        source, target = units.parse_units(delta) if delta else source, units.parse_units("delta_degC")
    return float(units.Quantity(number, source).to(target).magnitude)


def _is_angle(unit: str) -> bool:
    return unit in {"deg", "degree", "degrees", "rad", "radian", "radians", "°"}


def _unknown_unit(unit: str, symbol: str, currency: str | None) -> str:
    kind = KINDS[symbol]
    usual = example_of(symbol, currency).split(" ", 1)[1]
    known = list(dict.fromkeys([usual, *(_money(other, currency) for other in kind.others)]))
    near = nearest(unit.strip(), known)
    guess = f"did you mean {near}? " if near else ""
    return f"the unit '{shown(unit)}' is not known; {guess}{kind.what} is written in {', '.join(known)}"


def _what(source: Any, symbol: str) -> str:
    """In words, what kind of quantity this unit measures."""
    units = registry()
    for other, kind in KINDS.items():
        if other in BARE or other in {symbol, "mm"}:
            continue
        if units.parse_units(other).dimensionality == source.dimensionality:
            return kind.what
    if source.dimensionality == units.parse_units("J").dimensionality:
        return "an amount of heat"
    return "another kind of quantity"


@lru_cache(maxsize=1)
def registry() -> pint.UnitRegistry[Any]:
    """The unit registry, made at the first unit that is neither ours nor a usual one."""
    import pint

    units: pint.UnitRegistry[Any] = pint.UnitRegistry()
    units.define("money = [money]")
    return units


def _money(text: str, currency: str | None) -> str:
    return text.replace("EUR", currency or "EUR")


def example_of(symbol: str, currency: str | None = None) -> str:
    """A quantity of this kind as a user would write it."""
    return _money(KINDS[symbol].example, currency)


def found_number(value: float) -> str:
    """A number as people write it, that reads back to the same float: 60, not 60.0; never 1e-05."""
    if value == int(value) and abs(value) < 1e16:
        return str(int(value))
    return format(Decimal(repr(float(value))), "f")


def written(value: float, symbol: str, currency: str = "EUR") -> Any:
    """Write a value back the way the file holds it: `60 kg`, `2 per month`; a share stays a number."""
    if symbol in BARE:
        return value
    if symbol.startswith("1/"):
        return f"{found_number(value)} per {symbol[2:]}"
    unit = "days" if symbol == "day" and value != 1 else symbol.replace("money", currency)
    return f"{found_number(value)} {unit}"


def split_written(text: str, currency: str = "EUR") -> tuple[float, str] | None:
    """Take apart what `written` wrote: the number and its unit; None for any other text."""
    found = _WRITTEN.fullmatch(text)
    if not found or not found[2]:
        return None
    symbol = _tidy(found[2]).replace(currency, "money")
    return (float(found[1]), symbol) if symbol in KINDS else None


def in_words(value: float, symbol: str, currency: str | None = None) -> str:
    """A value with its unit for a message: `60 kg`, `0.25`."""
    if symbol in BARE:
        return found_number(value)
    return str(written(value, symbol, currency or "EUR"))


def bounds_in_words(low: float | None, high: float | None, symbol: str, currency: str | None = None) -> str:
    """Bounds for a message: `at least 0 kg`, `from 0 to 1`; empty where there are none."""
    least = None if low is None else in_words(low, symbol, currency)
    most = None if high is None else in_words(high, symbol, currency)
    if least is None:
        return "" if most is None else f"at most {most}"
    return f"at least {least}" if most is None else f"from {least} to {most}"


MassKg = Annotated[float, Unit("kg")]
LengthM = Annotated[float, Unit("m")]
LengthCm = Annotated[float, Unit("cm")]
DistanceKm = Annotated[float, Unit("km")]
AreaM2 = Annotated[float, Unit("m^2")]
VolumeL = Annotated[float, Unit("L")]
DurationH = Annotated[float, Unit("h")]
DurationMin = Annotated[float, Unit("min")]
DurationDays = Annotated[float, Unit("day")]
PowerW = Annotated[float, Unit("W")]
TemperatureC = Annotated[float, Unit("degC")]
DifferenceK = Annotated[float, Unit("K")]
SpeedKmH = Annotated[float, Unit("km/h")]
SpeedMS = Annotated[float, Unit("m/s")]
RainMm = Annotated[float, Unit("mm")]
HeatJPerKg = Annotated[float, Unit("J/kg")]
TransferWPerM2K = Annotated[float, Unit("W/m^2/K")]
DensityKgPerM3 = Annotated[float, Unit("kg/m^3")]
RateKgPerH = Annotated[float, Unit("kg/h")]
PerMonth = Annotated[float, Unit("1/month")]
PerYear = Annotated[float, Unit("1/year")]
Money = Annotated[float, Unit("money")]
MoneyPerKg = Annotated[float, Unit("money/kg")]
MoneyPerH = Annotated[float, Unit("money/h")]
MoneyPerKm = Annotated[float, Unit("money/km")]
MoneyPerMonth = Annotated[float, Unit("money/month")]
AngleDeg = Annotated[float, Unit("deg")]
Share = Annotated[float, Unit("share"), Field(ge=0, le=1)]
Count = Annotated[int, Unit("count"), Field(ge=0)]
Number = Annotated[float, Unit("number")]
