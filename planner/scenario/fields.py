"""Every field of a scenario as tables in Markdown, made out of the models.

In: the models, and a catalogue that names the models of plugins. Out: text for scenarios/README.md, where
a test keeps it equal to what is made here.
"""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from functools import cache
from typing import Any, NamedTuple

from pydantic.fields import FieldInfo

from planner.scenario.header import Header
from planner.scenario.outline import (
    allowed_in_words,
    business_model,
    fields_of,
    kind_in_words,
    section_in,
    written_default,
)
from planner.scenario.registry import MODEL_KINDS, Catalogue
from planner.scenario.section import Choice, Section

_HEAD = "| key | what it is | default | allowed | meaning |\n|---|---|---|---|---|"


def fields_markdown(catalogue: Catalogue, business_class: type[Section] | None = None) -> str:
    """Tables of every field: key, kind, default, allowed range, meaning; a heading for each section.

    Parameters
    ----------
    catalogue : Catalogue
        Names every model and knows its settings.
    business_class : type[Section], optional
        What the keys below the header are read as; `Business` if left out.
    """
    business_class = business_model(business_class)
    parts = ["## The top of a file", "", _table(Header, "", also=business_class), ""]
    for model in (Header, business_class):
        for heading, section in _sections(model, ""):
            parts += [f"## `{heading}`", "", _about(section), "", _table(section, heading), ""]
    for kind in MODEL_KINDS:
        if kind not in fields_of(business_class):
            continue
        for name in sorted(catalogue.model_names(kind)):
            settings = catalogue.settings_class(kind, name)
            parts += [
                f"## `{kind}`: model `{name}`",
                "",
                _about(settings),
                "",
                _table(settings, "settings"),
                "",
            ]
            for heading, section in _sections(settings, "settings"):
                parts += [
                    f"### `{heading}` of `{name}`",
                    "",
                    _about(section),
                    "",
                    _table(section, heading),
                    "",
                ]
    return "\n".join(parts).rstrip() + "\n"


class Described(NamedTuple):
    """One key of a section, in words: where it stands, what it holds, its default, what is allowed, what it means."""

    key: str
    type: str
    default: str
    allowed: str
    description: str


def described(section: type[Section], above: str = "", *, deep: bool = True) -> Iterator[Described]:
    """Every key of a section as users write it; with `deep` those of the sections in it too, after its own."""
    for one in _own(section):
        yield one._replace(key=f"{above}.{one.key}") if above else one
    for heading, inner in _sections(section, above) if deep else ():
        yield from described(inner, heading, deep=False)


@cache
def _own(section: type[Section]) -> tuple[Described, ...]:
    """The keys of a section itself."""
    return tuple(
        Described(key, _kind(field), _default(field), allowed_in_words(field), _meaning(field))
        for key, field in fields_of(section).items()
    )


def _sections(model: type[Section], above: str) -> Iterator[tuple[str, type[Section]]]:
    """Every section below a model, with its path; an entry stands as `<name>` or `<number>`."""
    for key, field in fields_of(model).items():
        shape, section = section_in(field.annotation)
        if section is None or section is Choice:
            continue
        entry = "<name>" if shape == "map" or "name" in fields_of(section) else "<number>"
        path = ".".join(part for part in (above, key, entry if shape != "one" else "") if part)
        yield path, section
        yield from _sections(section, path)


def _about(section: type[Section]) -> str:
    return inspect.cleandoc(section.__doc__ or "").partition("\n\n")[0].replace("\n", " ")


def _table(section: type[Section], above: str, also: type[Section] | None = None) -> str:
    if not fields_of(section):
        return "Nothing can be set."
    rows = [_HEAD]
    for model in (section, also) if also else (section,):
        for one in described(model, above, deep=False):
            cells = (f"`{one.key}`", one.type, one.default, one.allowed, one.description)
            rows.append(
                "| " + " | ".join(cell.replace("|", "\\|").replace("\n", " ") for cell in cells) + " |"
            )
    return "\n".join(rows)


def _kind(field: FieldInfo) -> str:
    shape, section = section_in(field.annotation)
    if section is Choice:
        return "a model with its settings" if shape == "one" else "a list of models with their settings"
    return kind_in_words(field)


def _meaning(field: FieldInfo) -> str:
    return " ".join((field.description or "").split())


def _default(field: FieldInfo) -> str:
    if field.is_required():
        return "must be written"
    _, section = section_in(field.annotation)
    value = written_default(field)
    if value is None or value == "":
        return "none"
    if section is not None and section is not Choice:
        return "see below" if isinstance(value, dict) and value else "none"
    return f"`{flow(value)}`" if value not in ({}, []) else "none"


def flow(value: Any) -> str:
    """A plain value on one line, as YAML would hold it."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {flow(part)}" for key, part in value.items() if part != "") + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(map(flow, value)) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float) and value == int(value):
        return str(int(value))
    return "null" if value is None else str(value)
