"""The outline of a model: which keys it has, where each stands, what it holds.

In: a `Section` class. Out: its fields by key, the field at a path, and one line that shows how to
write a field. Used for messages, for the JSON Schema and for the table of fields.
"""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from planner.scenario.clock import Table, Written
from planner.scenario.kinds import KINDS
from planner.scenario.section import Section, units_of
from planner.scenario.spread import Spread, SpreadOf
from planner.scenario.toll import Toll
from planner.scenario.tree import Steps
from planner.scenario.units import Unit, bounds_in_words, example_of, in_words, written

Shape = Literal["one", "list", "map"]


def business_model(given: type[Section] | None = None) -> type[Section]:
    """What the keys below the header are read as: `Business`, imported when it is first needed, unless told."""
    if given is not None:
        return given
    from planner.scenario.business import Business

    return Business


@cache
def fields_of(model: type[Section]) -> Mapping[str, FieldInfo]:
    """Fields by the key that users write."""
    return types.MappingProxyType({field.alias or name: field for name, field in model.model_fields.items()})


def plain(annotation: Any) -> Any:
    """A type without `Annotated` and without `| None`."""
    while True:
        if hasattr(annotation, "__metadata__"):
            annotation = annotation.__origin__
            continue
        if get_origin(annotation) in {Union, types.UnionType}:
            parts = [part for part in get_args(annotation) if part is not type(None)]
            if len(parts) == 1:
                annotation = parts[0]
                continue
        return annotation


def shape_of(annotation: Any) -> tuple[Shape, Any]:
    """Whether a field holds one value, a list or a map of the user's names; and of what."""
    return _shape_of(annotation)


@cache
def _shape_of(annotation: Any) -> tuple[Shape, Any]:
    kind = plain(annotation)
    origin, inner = get_origin(kind), get_args(kind)
    if origin in {tuple, list, frozenset, set} and inner:
        return "list", plain(inner[0])
    if origin in {dict, Mapping} or (isinstance(origin, type) and issubclass(origin, Mapping)):
        return "map", plain(inner[1])
    return "one", kind


def section_in(annotation: Any) -> tuple[Shape, type[Section] | None]:
    """The section that a field holds, one of it, a list or a map; None where it holds values."""
    shape, inner = shape_of(annotation)
    return shape, inner if isinstance(inner, type) and issubclass(inner, Section) else None


@cache
def marker_of(field: FieldInfo) -> Any:
    """The one marker that says how a field's value is written; None for plain types."""
    for part in field.metadata:
        if isinstance(part, (Table, Written)):
            return part
    for part in _annotations(field.annotation):
        if isinstance(part, (Table, Written)):
            return part
    units = units_of(field)
    return next(iter(units)) if len(units) == 1 else None


def toll_of(field: FieldInfo) -> Toll | None:
    """What each of the things costs that a field counts; None where it counts nothing that takes long."""
    return next((part for part in field.metadata if isinstance(part, Toll)), None)


def _annotations(annotation: Any) -> Iterator[Any]:
    for part in getattr(annotation, "__metadata__", ()):
        yield from part.metadata if isinstance(part, FieldInfo) else [part]
    for inner in get_args(annotation):
        yield from _annotations(inner)


def walk(model: type[Section], steps: Steps) -> tuple[type[Section] | None, FieldInfo | None, Steps]:
    """Follow a path of keys down a model.

    Returns
    -------
    section : type[Section] or None
        The section that holds the last field met, or that the path leads to.
    field : FieldInfo or None
        The last field met; None where the path leads to a section, or out of the model.
    rest : tuple
        Steps left over, inside the field's own value.
    """
    section: type[Section] | None = model
    field: FieldInfo | None = None
    rest = list(steps)
    while rest and section is not None:
        step = rest[0]
        found = fields_of(section).get(step) if isinstance(step, str) else None
        if found is None:
            return section, None, tuple(rest)
        rest.pop(0)
        field = found
        shape, inner = section_in(found.annotation)
        if inner is None:
            return section, field, tuple(rest)
        if shape != "one" and rest:
            rest.pop(0)
        section = inner
    return section, field if not rest else None, tuple(rest)


def bounds_of(field: FieldInfo) -> dict[str, float]:
    """Bounds of a number by their names in pydantic: ge, gt, le, lt."""
    parts = [*field.metadata, *_annotations(field.annotation)]
    found: dict[str, float] = {}
    for name in ("ge", "gt", "le", "lt"):
        values = [float(value) for part in parts if (value := getattr(part, name, None)) is not None]
        if values:
            found[name] = max(values) if name[0] == "g" else min(values)
    return found


@cache
def allowed_in_words(field: FieldInfo, currency: str | None = None) -> str:
    """What a field allows: `from 0 kg to 100 kg`, `above 0`, `open air, roof`; empty where anything goes."""
    marker = marker_of(field)
    if isinstance(marker, (SpreadOf, Table)):
        symbol = marker.symbol
        return bounds_in_words(marker.low, marker.high, symbol, currency) if symbol else ""
    _, inner = shape_of(field.annotation)
    if get_origin(inner) is Literal:
        return ", ".join(map(str, get_args(inner)))
    symbol = getattr(marker, "symbol", "number")
    bounds = bounds_of(field)
    low, high = bounds.get("ge"), bounds.get("le")
    if symbol == "share":
        low, high = (low or 0.0), (1.0 if high is None else high)
    if "gt" in bounds and (low is None or bounds["gt"] >= low):
        most = f" and at most {in_words(high, symbol, currency)}" if high is not None else ""
        return f"above {in_words(bounds['gt'], symbol, currency)}{most}"
    if "lt" in bounds:
        least = f"at least {in_words(low, symbol, currency)} and " if low is not None else ""
        return f"{least}below {in_words(bounds['lt'], symbol, currency)}"
    return bounds_in_words(low, high, symbol, currency)


@cache
def kind_in_words(field: FieldInfo) -> str:
    """What a field holds, in a few words: `a mass`, `yes or no`, `a list of blocks`."""
    shape, section = section_in(field.annotation)
    if section is not None:
        return {"one": "a block of keys", "list": "a list of blocks", "map": "blocks under names of yours"}[
            shape
        ]
    marker = marker_of(field)
    shape, inner = shape_of(field.annotation)
    if isinstance(marker, Written):
        return marker.what
    if isinstance(marker, Table):
        each = KINDS[marker.symbol].what if marker.symbol else "times of day"
        return f"{each} for each of {marker.keys[0]} to {marker.keys[-1]}"
    if marker is not None:
        what = KINDS[marker.symbol].what
        what += ", or a spread" if isinstance(marker, SpreadOf) else ""
    elif get_origin(inner) is Literal:
        what = "a word"
    else:
        what = {
            bool: "true or false",
            int: "a whole number",
            float: "a number",
            str: "text",
            Path: "a file's name",
        }.get(inner, "a value")
    return {"one": what, "list": f"a list of: {what}", "map": f"{what} under each name"}[shape]


@cache
def example_value(field: FieldInfo, currency: str | None = None) -> str:
    """A value as a user would write it for this field."""
    if field.examples:
        return str(field.examples[0])
    shape, section = section_in(field.annotation)
    if section is not None:
        block = example_block(section, currency)
        return {"one": block, "list": f"[{block}]", "map": f"{{a name: {block}}}"}[shape]
    marker = marker_of(field)
    shape, inner = shape_of(field.annotation)
    if isinstance(marker, Written):
        one = marker.what.partition("such as ")[2].partition(",")[0]
    elif isinstance(marker, Table) and marker.symbol is None:
        return "{mon-fri: 18:00-21:00, sat: 09:00-17:00}"
    elif marker is not None:
        one = example_of(marker.symbol or "number", currency)
    elif get_origin(inner) is Literal:
        one = str(get_args(inner)[0])
    else:
        one = {bool: "true", int: "1", float: "1.5", Path: "data/year.csv"}.get(inner, "some text")
    return {"one": one, "list": f"[{one}]", "map": f"{{a name: {one}}}"}[
        "one" if isinstance(marker, (Table, Written)) else shape
    ]


def example_block(section: type[Section], currency: str | None = None) -> str:
    """A section as a user would write it, on one line: the keys that must be there, or else the first."""
    fields = fields_of(section)
    keys = [key for key, field in fields.items() if field.is_required()] or list(fields)[:1]
    parts = [f"{key}: {example_value(fields[key], currency)}" for key in keys[:3]]
    return "{" + ", ".join(parts) + (", ..." if len(keys) > 3 else "") + "}"


@cache
def homes_in(model: type[Section]) -> Mapping[str, list[str]]:
    """Every dotted path in a model, by its last step."""
    found: dict[str, list[str]] = {}
    for name, field in fields_of(model).items():
        found.setdefault(name, []).append(name)
        shape, section = section_in(field.annotation)
        if section is not None and section is not model:
            above = name if shape == "one" else f"{name}.<name>"
            for key, paths in homes_in(section).items():
                found.setdefault(key, []).extend(f"{above}.{path}" for path in paths)
    return found


def default_of(field: FieldInfo) -> Any:
    """A field's default; `PydanticUndefined` where the user must write it."""
    return PydanticUndefined if field.is_required() else field.get_default(call_default_factory=True)


def written_default(field: FieldInfo, currency: str = "EUR") -> Any:
    """A field's default as a file would hold it: `60 kg`, not 60.0."""
    return _written(default_of(field), marker_of(field), currency)


def _written(value: Any, marker: Any, currency: str) -> Any:
    if isinstance(value, BaseModel):
        return value.model_dump(mode="json", by_alias=True, context={"currency": currency})
    if value is None or value is PydanticUndefined:
        return None
    if isinstance(marker, Table):
        return marker.write(value, currency)
    if isinstance(marker, Written):
        return marker.write(value)
    if isinstance(value, Spread):
        return value.written(marker.symbol, currency)
    if isinstance(value, (list, tuple)):
        return [_written(part, marker, currency) for part in value]
    if isinstance(value, dict):
        return {key: _written(part, marker, currency) for key, part in value.items()}
    return written(value, marker.symbol, currency) if isinstance(marker, Unit) else value
