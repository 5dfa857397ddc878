"""A value that is possible for a field, where the file has none that is.

In: a field, or a section. Out: a plain value as a file would hold it. For checking what stands beside it, never for
playing.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, Final, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from planner.scenario.clock import Table, Written
from planner.scenario.kinds import BARE
from planner.scenario.outline import bounds_of, example_value, fields_of, marker_of, section_in, shape_of
from planner.scenario.section import Section
from planner.scenario.spread import SpreadOf
from planner.scenario.units import Unit, example_of, quantity, written

_BARE_NUMBERS: Final = {"share": 0.25, "count": 12.0, "number": 1.5}


def block(section: type[Section], currency: str | None = None) -> dict[str, Any]:
    """A section with the keys that must be there, each with a value that is possible."""
    return {
        key: stand_in(field_info, currency)
        for key, field_info in fields_of(section).items()
        if field_info.is_required()
    }


def stand_in(field_info: FieldInfo, currency: str | None = None) -> Any:
    """A value that is possible for this field, as a file would hold it."""
    shape, section = section_in(field_info.annotation)
    marker = marker_of(field_info)
    if section is not None:
        one: Any = block(section, currency)
    elif isinstance(marker, Written):
        one = example_value(field_info, currency)
    elif isinstance(marker, Table) and marker.symbol is None:
        one = "none"
    else:
        one = _one(field_info, currency)
    shape = "one" if isinstance(marker, (Table, Written)) else shape_of(field_info.annotation)[0]
    if shape == "one":
        return one
    number = max((getattr(part, "min_length", 0) for part in field_info.metadata), default=0)
    return [one] * number if shape == "list" else {f"entry {n + 1}": one for n in range(number)}


@cache
def _one(field_info: FieldInfo, currency: str | None) -> Any:
    marker = marker_of(field_info)
    _, inner = shape_of(field_info.annotation)
    if get_origin(inner) is Literal:
        return get_args(inner)[0]
    if isinstance(marker, (Table, SpreadOf)):
        bounds = {"ge": marker.low, "le": marker.high}
    else:
        bounds = {**dict.fromkeys(("ge", "le")), **bounds_of(field_info)}
    if isinstance(marker, (Table, SpreadOf, Unit)):
        symbol = marker.symbol or "number"
        usual = _BARE_NUMBERS[symbol] if symbol in BARE else quantity(example_of(symbol), symbol)
        number = _within(usual, bounds)
        return int(number) if symbol == "count" else written(number, symbol, currency or "EUR")
    if inner is bool:
        return True
    if inner in (int, float):
        return inner(_within(1.0, bounds))
    return str(field_info.examples[0]) if field_info.examples else "some text"


def _within(number: float, bounds: Mapping[str, float | None]) -> float:
    """The number itself, or the nearest that a field allows."""
    low, above, high, below = (bounds.get(name) for name in ("ge", "gt", "le", "lt"))
    if high is not None:
        number = min(number, high)
    if low is not None:
        number = max(number, low)
    if below is not None and number >= below:
        least = above if above is not None else low if low is not None else below - 2.0
        number = (below + least) / 2.0
    if above is not None and number <= above:
        most = high if high is not None else below if below is not None else above + 2.0
        number = (above + most) / 2.0
    return number
