"""One tree read as a business: first its own keys, then the settings of the models it names, then what must agree.

In: a tree of values. Out: the business with every model's settings read, and all problems of all three steps.
In steps, so that every problem has a line: the model decides which settings there are, and keys are compared once each
of them can be read.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from planner.scenario.complaints import Complaint, Subject, of_part, problem, real_steps
from planner.scenario.distribution import Spread
from planner.scenario.doubt import ANY, Doubt
from planner.scenario.errors import Problem
from planner.scenario.mending import Read, read_section
from planner.scenario.outline import fields_of, marker_of
from planner.scenario.registry import MODEL_KINDS, Registry, UnknownModel
from planner.scenario.section import Choice, Disagreement, Section
from planner.scenario.spread import SpreadOf, cut_warning
from planner.scenario.tree import Steps, Tree, at, dotted
from planner.scenario.wording import shown


@dataclass(slots=True)
class Reading:
    """What a tree was read as.

    Attributes
    ----------
    business : Section or None
        Where there are problems, with something valid in the place of what is wrong: for checking alone.
    tree : Tree
        What it was read from.
    doubt : Doubt
        What of it cannot be judged.
    problems : list of Problem
        What is wrong.
    """

    business: Section | None
    tree: Tree
    doubt: Doubt
    problems: list[Problem] = field(default_factory=list)

    def take(self, read: Read) -> None:
        """Take over what was found in one part."""
        self.problems += [told for one, told in read.told if not hidden(one, self.doubt)]
        self.tree = read.tree
        self.doubt = self.doubt.also(read.stand_ins)


def hidden(complaint: Complaint, doubt: Doubt) -> bool:
    """True for what may only follow from another mistake."""
    if doubt.incomplete and complaint.fault == "missing" and not doubt.is_new(complaint.about):
        # lists are never merged, so what an entry lacks is in no other file
        in_list = any(isinstance(step, int) for step in complaint.about)
        return not in_list or doubt.at(complaint.about)
    return doubt.at(complaint.about)


def read_business(
    tree: Tree,
    business_class: type[Section],
    registry: Registry,
    context: Mapping[str, Any],
    header_class: type[Section] | None = None,
    doubt: Doubt | None = None,
    read_before: Mapping[str, Any] | None = None,
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
    doubt : Doubt, optional
        What cannot be judged, since it is known to be wrong.
    read_before : Mapping, optional
        Sections, by their keys at the top, that the same values were read as before, models' settings included;
        nothing was wrong with them.
    """
    known = read_before or {}
    header_keys = tuple(fields_of(header_class)) if header_class else ()
    whole = (business_class, header_class) if header_class else (business_class,)
    subject = Subject(tree, (), business_class, context.get("currency"), header_keys, whole)
    reading = Reading(None, tree, doubt or Doubt())
    read = read_section(subject, context, known)
    reading.take(read)
    kinds = [kind for kind in MODEL_KINDS if kind in fields_of(business_class)]
    settings: dict[str, Any] = {}
    for kind in kinds:
        if reading.doubt.incomplete and kind not in tree.value:
            reading.doubt = reading.doubt.also(
                [(kind,)]
            )  # another model may stand in the file that cannot be read
        if kind in known:
            continue
        value = getattr(read.section, kind, None)
        if isinstance(value, tuple):
            settings[kind] = tuple(
                _with_settings(entry, kind, (kind, position), registry, context, reading)
                for position, entry in enumerate(value)
            )
        elif value is not None:
            settings[kind] = _with_settings(value, kind, (kind,), registry, context, reading)
    _tell_doubled_names(reading, known)
    if read.section is not None:
        reading.business = read.section.model_copy(update=settings)
        tell_disagreements(reading, known)
    return reading


def _with_settings(
    entry: Choice, kind: str, steps: Steps, registry: Registry, context: Mapping[str, Any], reading: Reading
) -> Choice:
    """The entry with its model's settings read; problems go to `reading`."""
    if reading.doubt.over((*steps, "model")):
        return entry
    model, section = _settings(entry.model, kind, steps, registry, context, reading)
    return entry.model_copy(
        update={"model": model, "settings": entry.settings if section is None else section}
    )


def _settings(
    model: str, kind: str, steps: Steps, registry: Registry, context: Mapping[str, Any], reading: Reading
) -> tuple[str, Section | None]:
    """The model that is meant, and its settings; what is wrong with either goes to `reading`."""
    at_settings = (*steps, "settings")
    try:
        settings_class = registry.settings_class(kind, model)
    except UnknownModel as error:
        about = (*steps, "model")
        complaint = Complaint(real_steps(reading.tree.value, about), str(error), about=about)
        if not hidden(complaint, reading.doubt):
            reading.problems.append(problem(complaint, reading.tree))
        if error.meant is None:
            reading.doubt = reading.doubt.also([about, at_settings])
            return model, None
        model = error.meant
        settings_class = registry.settings_class(kind, model)
        reading.tree = reading.tree.copy()
        at(reading.tree.value, steps)["model"] = model
    subject = Subject(
        reading.tree, at_settings, settings_class, context.get("currency"), whole=(settings_class,)
    )
    read = read_section(subject, context)
    reading.take(read)
    if read.section is None:
        reading.doubt = reading.doubt.also([at_settings])
    return model, read.section


def _tell_doubled_names(reading: Reading, sound: Container[str]) -> None:
    """Tell of entries of one list that have the same name, so that a change could not tell them apart.

    What stands below the keys at the top that are known to be sound is not looked at.
    """
    tree = reading.tree

    def look(value: Any, steps: Steps) -> None:
        if isinstance(value, dict):
            for key, part in value.items():
                if isinstance(part, (dict, list)) and (steps or key not in sound):
                    look(part, (*steps, key))
        elif isinstance(value, list):
            seen: set[str] = set()
            for position, part in enumerate(value):
                name = part.get("name") if isinstance(part, dict) else None
                if reading.doubt.over((*steps, position, "name")):
                    name = None
                failed = (dotted(steps, tree.value), f"name {name}")
                if isinstance(name, str) and name and name in seen and failed not in reading.doubt.failed:
                    words = f"another entry of this list is called '{shown(name)}' too; give one another name"
                    reading.problems.append(problem(Complaint((*steps, position, "name"), words), tree))
                    told.append(failed)
                seen.add(str(name))
                look(part, (*steps, position))

    told: list[tuple[str, str]] = []
    look(tree.value, ())
    reading.doubt = reading.doubt.also(failed=told)


def tell_disagreements(reading: Reading, sound: Container[str] = ()) -> None:
    """Tell which keys do not agree, where all keys that a check looks at can be judged.

    Within the sections whose keys at the top are known to be sound they do.
    """
    doubt, tree = reading.doubt, reading.tree
    failed: list[tuple[str, str]] = []
    for steps, found in disagreements(reading.business, sound=sound):
        check = (dotted(steps, tree.value), found.check)
        complaint = of_part(found.error, steps, tree)
        looks_at = [(*steps, *keys) for keys in found.looks_at]
        # where it failed, or waited, before a change: only what this change itself wrote
        key_is_new = complaint.about != steps and doubt.is_new(complaint.about)
        old = check in doubt.failed and not key_is_new and not all(map(doubt.is_new, looks_at))
        elsewhere = doubt.incomplete and not all(_is_written(tree, one) for one in looks_at)
        if not old and not elsewhere and not any(doubt.at(one) for one in looks_at):
            reading.problems.append(problem(complaint, tree))
        failed.append(check)
    reading.doubt = doubt.also(failed=failed)


def _is_written(tree: Tree, steps: Steps) -> bool:
    """True where the file has this key; an entry of a list is never in two files."""
    try:
        at(tree.value, steps[: steps.index(ANY)] if ANY in steps else steps)
    except KeyError:
        return False
    return True


def disagreements(
    value: Any, steps: Steps = (), sound: Container[str | int] = ()
) -> Iterator[tuple[Steps, Disagreement]]:
    """Checks across keys that fail anywhere in a section, each with its path; not below top keys that are sound."""
    parts: Iterable[tuple[str | int, Any]] = ()
    if isinstance(value, Section):
        yield from ((steps, one) for one in value.disagreements())
        fields = type(value).model_fields
        parts = ((fields[name].alias or name, part) for name, part in value)
    elif isinstance(value, dict):
        parts = value.items()
    elif isinstance(value, tuple):
        parts = enumerate(value)
    for step, part in parts:
        if isinstance(part, (Section, dict, tuple)) and step not in sound:
            yield from disagreements(part, (*steps, step))


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
