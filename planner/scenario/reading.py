"""One tree read as a business: first its own keys, then the settings of the models it names.

In: a tree of values. Out: the business with every model's settings read, and all problems of both steps.
In two steps, so that every problem has a line: the model decides which settings there are.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from planner.scenario.complaints import Complaint, Subject, problem, problems, real_steps
from planner.scenario.distribution import Spread
from planner.scenario.errors import Problem
from planner.scenario.outline import fields_of, marker_of
from planner.scenario.registry import MODEL_KINDS, Registry, UnknownModel
from planner.scenario.section import Choice, Section
from planner.scenario.spread import SpreadOf, cut_warning
from planner.scenario.tree import Steps, Tree
from planner.scenario.wording import shown


@dataclass(slots=True)
class Reading:
    """What a tree was read as; no business where there are problems in its own keys."""

    business: Section | None
    problems: list[Problem] = field(default_factory=list)


def read_business(
    tree: Tree,
    business_class: type[Section],
    registry: Registry,
    context: Mapping[str, Any],
    header_class: type[Section] | None = None,
) -> Reading:
    """Read a business and the settings of its models.

    Parameters
    ----------
    tree : Tree
        The keys of the business alone, with places.
    business_class : type[Section]
        What they are read as.
    registry : Registry
        Knows the settings of models.
    context : Mapping
        Currency and folder.
    header_class : type[Section], optional
        Whose keys stand beside those of the business in the same file.
    """
    header_keys = tuple(fields_of(header_class)) if header_class else ()
    whole = (business_class, header_class) if header_class else (business_class,)
    subject = Subject(tree, (), business_class, context.get("currency"), header_keys, whole)
    reading = Reading(None)
    try:
        reading.business = business_class.model_validate(tree.value, context=dict(context))
    except ValidationError as error:
        reading.problems += problems(error, subject)
    reading.problems += doubled_names(tree)
    kinds = [kind for kind in MODEL_KINDS if kind in fields_of(business_class)]
    read: dict[str, Any] = {}
    for kind in kinds:
        value = getattr(reading.business, kind) if reading.business else tree.value.get(kind)
        if isinstance(value, (list, tuple)):
            entries = [
                _with_settings(entry, kind, (kind, position), tree, registry, context, reading)
                for position, entry in enumerate(value)
            ]
            read[kind] = tuple(entries)
        else:
            read[kind] = _with_settings(value, kind, (kind,), tree, registry, context, reading)
    if reading.business is not None:
        reading.business = reading.business.model_copy(update=read)
    return reading


def _with_settings(
    entry: Any,
    kind: str,
    steps: Steps,
    tree: Tree,
    registry: Registry,
    context: Mapping[str, Any],
    reading: Reading,
) -> Any:
    """The entry with its model's settings read; problems go to `reading`."""
    model = settings = None
    if isinstance(entry, Choice):
        model, settings = entry.model, entry.settings
    elif isinstance(entry, dict):
        model, settings = entry.get("model"), entry.get("settings")
    if not isinstance(model, str):
        return entry
    currency = context.get("currency")
    at_settings = (*steps, "settings")
    try:
        settings_class = registry.settings_class(kind, model)
    except UnknownModel as error:
        reading.problems.append(
            problem(Complaint(real_steps(tree.value, (*steps, "model")), str(error)), tree)
        )
        return entry
    subject = Subject(tree, at_settings, settings_class, currency, whole=(settings_class,))
    try:
        section = settings_class.model_validate({} if settings is None else settings, context=dict(context))
    except ValidationError as error:
        reading.problems += problems(error, subject)
        return entry
    return entry.model_copy(update={"settings": section}) if isinstance(entry, Section) else entry


def doubled_names(tree: Tree) -> Iterator[Problem]:
    """Entries of one list that have the same name, so that a change could not tell them apart."""

    def look(value: Any, steps: Steps) -> Iterator[Problem]:
        if isinstance(value, dict):
            for key, part in value.items():
                yield from look(part, (*steps, key))
        elif isinstance(value, list):
            seen: set[str] = set()
            for position, part in enumerate(value):
                name = part.get("name") if isinstance(part, dict) else None
                if isinstance(name, str) and name and name in seen:
                    words = f"another entry of this list is called '{shown(name)}' too; give one another name"
                    yield problem(Complaint((*steps, position, "name"), words), tree)
                seen.add(str(name))
                yield from look(part, (*steps, position))

    yield from look(tree.value, ())


def cut_spreads(value: Any, currency: str | None, steps: Steps = ()) -> Iterator[Complaint]:
    """Spreads anywhere in a section of which the bounds cut off more than a trace."""
    if isinstance(value, Section):
        for name, field in type(value).model_fields.items():
            part, here = getattr(value, name), (*steps, field.alias or name)
            if isinstance(part, Spread):
                marker = marker_of(field)
                if isinstance(marker, SpreadOf) and (words := cut_warning(part, marker, currency)):
                    yield Complaint(here, words)
            elif isinstance(part, (Section, dict, tuple)):
                yield from cut_spreads(part, currency, here)
    elif isinstance(value, dict):
        for key, part in value.items():
            yield from cut_spreads(part, currency, (*steps, str(key)))
    elif isinstance(value, tuple):
        for position, part in enumerate(value):
            yield from cut_spreads(part, currency, (*steps, position))
