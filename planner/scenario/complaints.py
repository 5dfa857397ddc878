"""What pydantic found wrong, in words that the owner of a side business understands.

In: a validation error, the tree it was found in, the model. Out: one `Problem` for each error, at the
deepest key that is really in the file. Knows how models are built, not what they are about.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final, Literal

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from planner.scenario.errors import Problem
from planner.scenario.outline import (
    allowed_in_words,
    example_block,
    example_value,
    fields_of,
    homes_in,
    kind_in_words,
    toll_of,
    walk,
)
from planner.scenario.part import PartError, PartsError
from planner.scenario.section import Section
from planner.scenario.tree import Steps, Tree, at, dotted
from planner.scenario.wording import (
    blank_missing,
    explain_number,
    listed,
    nearest,
    quoted,
    shown,
    too_large,
    unknown,
)

_DECIMALS: Final = re.compile(r"\d+( \S+)?")
"""A key that is what stands behind a decimal comma."""


@dataclass(frozen=True, slots=True)
class Subject:
    """What was validated: a part of a tree, against a model.

    Attributes
    ----------
    tree : Tree
        All values and their places.
    above : Steps
        Path of the part that was validated.
    model : type[Section]
        What it was validated against.
    currency : str or None
        For examples in messages.
    also_known : tuple of str
        Further keys allowed at the top of the part, read elsewhere.
    whole : tuple of type[Section]
        The models of the whole file, where a misplaced key may belong.
    """

    tree: Tree
    above: Steps
    model: type[Section]
    currency: str | None = None
    also_known: tuple[str, ...] = ()
    whole: tuple[type[Section], ...] = ()


@dataclass(frozen=True, slots=True)
class Complaint:
    """One error: the path in the file as far as it exists, and words.

    Attributes
    ----------
    steps : Steps
        Path in the file.
    message : str
        What is wrong, what is allowed, what to do.
    at_key : bool
        Point at the key itself.
    about : Steps
        Path of what is wrong in the model, which the file need not have.
    fault : str
        What kind of error it is.
    meant : Steps or None
        Path of the key that a misspelt one stands for.
    spoils : Steps or None
        Path of a value that is read wrongly for the same reason.
    """

    steps: Steps
    message: str
    at_key: bool = False
    about: Steps = ()
    fault: Literal["value", "unknown", "missing", "name"] = "value"
    meant: Steps | None = None
    spoils: Steps | None = None


def complaints(error: ValidationError, subject: Subject) -> Iterator[Complaint]:
    """Every error of one validation, nested ones unrolled; a misspelt key is not called missing as well."""
    details = error.errors(include_url=False)
    found = [complaint for detail in details for complaint in _complaints_of(detail, subject)]
    meant = {complaint.meant for complaint in found if complaint.meant}
    yield from (
        complaint for complaint in found if not (complaint.fault == "missing" and complaint.about in meant)
    )


def problem(complaint: Complaint, tree: Tree) -> Problem:
    """A complaint at its place."""
    place = tree.place(complaint.steps, key=complaint.at_key)
    return Problem(
        place.file, place.line, place.column, dotted(complaint.steps, tree.value), complaint.message
    )


def _complaints_of(detail: ErrorDetails, subject: Subject) -> Iterator[Complaint]:
    location = tuple(step for step in detail["loc"] if step != "[key]")
    kind, inner = detail["type"], detail.get("ctx", {}).get("error")
    about = (*subject.above, *location)
    steps = real_steps(subject.tree.value, about)
    if isinstance(inner, ValidationError):
        yield from complaints(inner, Subject(subject.tree, steps, subject.model, subject.currency))
    elif isinstance(inner, (PartError, PartsError)):
        for part in inner.found if isinstance(inner, PartsError) else (inner,):
            yield of_part(part, about, subject.tree)
    elif kind in {"value_error", "assertion_error"}:
        words = str(inner) or "this value is not possible"
        if "[key]" in detail["loc"]:
            yield Complaint(steps, words, True, about, "name")
        else:
            yield Complaint(steps, words, about=about)
    elif kind == "missing":
        yield Complaint(steps, _missing(location, subject), True, about, "missing")
    elif kind == "extra_forbidden":
        words, near = unknown_key(location, subject)
        meant = (*about[:-1], near) if near else None
        yield Complaint(steps, words, True, about, "unknown", meant, _cut_by_comma(about, subject.tree))
    else:
        yield Complaint(steps, _in_words(detail, location, subject), about=about)


def of_part(part: PartError, above: Steps, tree: Tree) -> Complaint:
    """A complaint inside a value; where another key is at odds with it, that key's line as well."""
    about = (*above, *part.at)
    here = real_steps(tree.value, about)
    other = real_steps(tree.value, (*above, *part.against))
    message = str(part)
    if part.against and tree.place(other).line != tree.place(here).line:
        message += f" (see line {tree.place(other).line})"
    return Complaint(here, message, about=about)


def real_steps(tree: Any, steps: Steps) -> Steps:
    """The part of a path that is in the file: pydantic adds steps of its own."""
    real: list[str | int] = []
    for step in steps:
        try:
            tree = at(tree, (step,))
        except KeyError:
            continue
        real.append(step)
    return tuple(real)


def _missing(location: Steps, subject: Subject) -> str:
    section, field, _ = walk(subject.model, location)
    key = str(location[-1])
    if field is None and section is not None:
        field = fields_of(_section_above(location, subject.model)).get(key)
    if field is None:
        return f"'{key}' is missing"
    what = (field.description or "").strip().rstrip(".")
    meaning = f" ({what[0].lower()}{what[1:]})" if what else ""
    return (
        f"'{key}' is missing{meaning}; add a line such as `{key}: {example_value(field, subject.currency)}`"
    )


def _section_above(location: Steps, model: type[Section]) -> type[Section]:
    section, _, _ = walk(model, location[:-1])
    return section or model


def unknown_key(location: Steps, subject: Subject) -> tuple[str, str | None]:
    """What to say of a key that its section does not have, and the key that was meant."""
    key = str(location[-1])
    section = _section_above(location, subject.model)
    own = [*fields_of(section), *(subject.also_known if len(location) == 1 else ())]
    start = unknown(key)
    if _DECIMALS.fullmatch(key):
        return f"{start}; if a decimal comma stands before it, write a decimal point", None
    near = nearest(key, own)
    field = section.model_fields.get(key)
    if meant := (field.alias or key) if field else near:
        return unknown(key, meant), meant
    homes = [home for model in subject.whole or (subject.model,) for home in homes_in(model).get(key, ())]
    if homes:
        return f"{start}; it belongs to {' or '.join(homes[:3])}", None
    return f"{start}; the keys here are {listed(own)}" if own else f"{start}; nothing can be set here", None


def _cut_by_comma(steps: Steps, tree: Tree) -> Steps | None:
    """The value of which a decimal comma made this key; None for any other key."""
    if not _DECIMALS.fullmatch(str(steps[-1])):
        return None
    keys = list(at(tree.value, steps[:-1]))
    before = keys.index(steps[-1]) - 1
    return (*steps[:-1], keys[before]) if before >= 0 else None


def _in_words(detail: ErrorDetails, location: Steps, subject: Subject) -> str:
    """Words for the errors that pydantic finds itself."""
    kind, context = detail["type"], detail.get("ctx", {})
    try:
        value = at(subject.tree.value, (*subject.above, *location))
    except KeyError:
        value = detail["input"]
    _, field, _ = walk(subject.model, location)
    allowed = allowed_in_words(field, subject.currency) if field else ""
    needed = kind_in_words(field) if field else "a block of keys"
    example = (
        example_value(field, subject.currency) if field else example_block(subject.model, subject.currency)
    )
    found = quoted(value)

    def taking(number: Any) -> str:
        """Of what is too much, what it would take."""
        too_much = isinstance(number, int) and kind in {"less_than_equal", "less_than", "too_long"}
        toll = toll_of(field) if field is not None and too_much else None
        return f"; {toll.words(number)}" if toll else ""

    if value is None:
        otherwise = "" if field and field.is_required() else ", or delete the key"
        return f"nothing is written here; write {needed}, such as {example}{otherwise}"
    match kind:
        case "greater_than_equal" | "greater_than" | "less_than_equal" | "less_than":
            return (
                f"{shown(value)} is not possible; it must be {allowed or 'within its bounds'}{taking(value)}"
            )
        case "literal_error" | "enum":
            words = re.findall(r"'([^']*)'", str(context.get("expected", "")))
            near = nearest(shown(value), words)
            return f"{found} is not known here; {f'did you mean {near}? ' if near else ''}write one of: {listed(words)}"
        case "int_type" | "int_from_float" | "int_parsing" | "float_type" | "float_parsing" | "finite_number":
            number = "a whole number" if kind.startswith("int") else "a number"
            reason = explain_number(value) or too_large(value) if isinstance(value, str) else None
            if reason:
                return f"{reason}; write {number} such as {'12' if kind.startswith('int') else '1.5'}"
            return f"{found} was found where {number} is needed; write {number} without quotes"
        case "bool_type" | "bool_parsing":
            guess = {"no": "false", "off": "false", "yes": "true", "on": "true"}.get(str(value).lower())
            return f"{found} was understood as text; write {guess or 'true or false'}"
        case "string_type":
            return (
                f'{found} was found where text is needed; put it in quotes, such as "{shown(value)}"'
                if not isinstance(value, (dict, list))
                else f"{found} was found where text is needed"
            )
        case "model_type" | "dict_type" | "model_attributes_type" | "mapping_type":
            blank = blank_missing(value) if isinstance(value, str) else None
            return blank or (
                f"{found} was found where a block of keys is needed; indent keys below, such as {example}"
            )
        case "tuple_type" | "list_type" | "set_type" | "frozen_set_type":
            return f"{found} was found where a list is needed; write {needed}, such as {example}"
        case "too_short" | "too_long":
            limit = (
                f"at least {context['min_length']}"
                if kind == "too_short"
                else f"at most {context['max_length']}"
            )
            count = len(value) if isinstance(value, (dict, list)) else context.get("actual_length")
            what = "block" if isinstance(value, dict) else "list"
            has = "is empty" if count == 0 else f"has {'other' if count is None else f'{count:,}'} entries"
            return f"the {what} {has}; write {limit}{f', such as {example}' if count == 0 else ''}{taking(count)}"
        case "string_too_short":
            least = context["min_length"]
            return "no text stands here; write some" if least == 1 else f"write at least {least} letters"
        case "string_too_long":
            return f"the text is too long; write at most {context['max_length']} letters"
    return f"{found} is not understood here ({detail['msg'].rstrip('.')}); write {needed}, such as {example}"
