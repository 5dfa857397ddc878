"""The JSON Schema of a scenario file, for editors that complete and check while one types.

In: the models, and a catalogue that names the models of plugins. Out: one JSON Schema (draft 2020-12). It
never asks for a key, since a base that the file extends may hold it; the loader says what is missing.
"""

from __future__ import annotations

import copy
from typing import Any

from pydantic.json_schema import JsonSchemaMode, models_json_schema

from planner.scenario.extends import LEFT_OUT, MAY_BE_LEFT_OUT
from planner.scenario.header import Header
from planner.scenario.outline import business_model, fields_of, section_in, shape_of, written_default
from planner.scenario.registry import MODEL_KINDS, Catalogue
from planner.scenario.section import Choice, Section

DIALECT = "https://json-schema.org/draft/2020-12/schema"
_MODE: JsonSchemaMode = "validation"


def scenario_schema(catalogue: Catalogue, business_class: type[Section] | None = None) -> dict[str, Any]:
    """JSON Schema of a scenario file.

    Parameters
    ----------
    catalogue : Catalogue
        Names every model and knows its settings.
    business_class : type[Section], optional
        What the keys below the header are read as; `Business` if left out.
    """
    business_class = business_model(business_class)
    kinds = [kind for kind in MODEL_KINDS if kind in fields_of(business_class)]
    offered = {
        (kind, name): catalogue.settings_class(kind, name)
        for kind in kinds
        for name in sorted(catalogue.model_names(kind))
    }
    every: list[type[Section]] = [Header, business_class, *offered.values()]
    classes = list(dict.fromkeys(every))
    references, whole = models_json_schema([(one, _MODE) for one in classes], by_alias=True)
    definitions: dict[str, Any] = whole["$defs"]
    for one in classes:
        _write_defaults(one, definitions, references[one, _MODE]["$ref"])
    properties = {
        key: copy.deepcopy(value)
        for one in (Header, business_class)
        for key, value in _body(definitions, references[one, _MODE]["$ref"])["properties"].items()
    }
    for kind in kinds:
        choices = [
            _choice(name, references[settings, _MODE])
            for (of, name), settings in offered.items()
            if of == kind
        ]
        shape, _ = shape_of(fields_of(business_class)[kind].annotation)
        entry: dict[str, Any] = {"oneOf": choices}
        properties[kind] = entry if shape == "one" else {"type": "array", "items": entry}
        properties[kind]["description"] = fields_of(business_class)[kind].description or ""
    for named in MAY_BE_LEFT_OUT:
        _or_none(properties[named])
    _ask_for_nothing(definitions)
    used = _used(properties, definitions)
    return {
        "$schema": DIALECT,
        "title": "Scenario",
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
        "$defs": {name: definitions[name] for name in sorted(used)},
    }


def _body(definitions: dict[str, Any], reference: str) -> dict[str, Any]:
    body: dict[str, Any] = definitions[reference.rpartition("/")[2]]
    return body


def _choice(name: str, settings: dict[str, Any]) -> dict[str, Any]:
    """One model in a list of models: its name, and its own settings."""
    return {
        "type": "object",
        "properties": {"name": {"type": "string"}, "model": {"const": name}, "settings": settings},
        "required": ["model"],
        "additionalProperties": False,
    }


def _write_defaults(model: type[Section], definitions: dict[str, Any], reference: str) -> None:
    """Defaults as a file holds them, and no title that only repeats the key."""
    body = _body(definitions, reference)
    for key, field in fields_of(model).items():
        entry = body["properties"][key]
        entry.pop("title", None)
        if "default" in entry:
            entry["default"] = written_default(field)
        _, section = section_in(field.annotation)
        if section is not None and section is not Choice and section is not model:
            inner = next((name for name in _references(entry)), None)
            if inner is not None:
                _write_defaults(section, definitions, inner)


def _references(value: Any) -> list[str]:
    if isinstance(value, dict):
        own = [value["$ref"]] if isinstance(value.get("$ref"), str) else []
        return own + [found for part in value.values() for found in _references(part)]
    if isinstance(value, list):
        return [found for part in value for found in _references(part)]
    return []


def _or_none(named: dict[str, Any]) -> None:
    """Blocks by name, each or all of which may be left out of what another file offers; errors keep their place."""
    text = {"if": {"type": "string"}, "then": {"const": LEFT_OUT}}
    blocks = {key: named.pop(key) for key in list(named) if key not in {"description", "default"}}
    if blocks["additionalProperties"].get("type") != "string":  # of texts "none" is one more
        blocks["additionalProperties"] = {**text, "else": blocks["additionalProperties"]}
    named.update({**text, "else": blocks})


def _ask_for_nothing(value: Any) -> None:
    """Take `required` out of every section; spreads, which are written whole, keep it."""
    for body in value.values():
        body.pop("required", None)


def _used(value: Any, definitions: dict[str, Any]) -> set[str]:
    """Names of the definitions that are reached from here."""
    found: set[str] = set()
    waiting = _references(value)
    while waiting:
        name = waiting.pop().rpartition("/")[2]
        if name not in found:
            found.add(name)
            waiting += _references(definitions[name])
    return found
