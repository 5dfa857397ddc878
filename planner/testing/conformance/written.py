"""Settings as a user writes them: read, looked at field by field, and changed a little.

In: a settings class, or a mapping as it stands in a file. Out: sections, faults in plain words, mappings in which one
number is a little larger. Must not know: what the settings do.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, Final

from pydantic import ValidationError

from planner.scenario.section import Section

NUDGE: Final = 1.05
"""So many times a number is what a small change makes of it."""
_QUANTITY: Final = re.compile(r"(-?\d+(?:\.\d+)?)( [A-Za-z].*)")
_STRANGE: Final = "no_such_key"


def sections_of(of: type[Section]) -> set[type[Section]]:
    """A settings class and every section inside it."""
    found, open_ = {of}, [of]
    while open_:
        inside = {part for field in open_.pop().model_fields.values() for part in _classes(field.annotation)}
        open_ += inside - found
        found |= inside
    return found


def _classes(annotation: Any) -> list[type[Section]]:
    if isinstance(annotation, type) and issubclass(annotation, Section):
        return [annotation]
    return [found for part in getattr(annotation, "__args__", ()) for found in _classes(part)]


def faults(of: type[Section]) -> list[str]:
    """What is open, not frozen or not described in a settings class and the sections inside it."""
    found = []
    for section in sorted(sections_of(of), key=lambda one: one.__name__):
        if section.model_config.get("extra") != "forbid":
            found.append(
                f"{section.__name__} takes keys that it does not know; leave extra='forbid' as Section has it"
            )
        if not section.model_config.get("frozen"):
            found.append(
                f"{section.__name__} can be changed after it was read; leave frozen=True as Section has it"
            )
        for name, field in section.model_fields.items():
            if not (field.description or "").strip():
                found.append(f"{section.__name__}.{name} has no description")
    return found


def refuses_strange_keys(of: type[Section], written: Mapping[str, Any], context: Mapping[str, Any]) -> bool:
    """Is a key that nobody knows refused?"""
    try:
        of.model_validate({**written, _STRANGE: 1}, context=dict(context))
    except ValidationError as error:
        return any(one["loc"][-1:] == (_STRANGE,) for one in error.errors(include_url=False))
    return False


def nudged(written: Any) -> Iterator[tuple[str, Any]]:
    """The same settings with one number a little larger, for each number: (its path, the settings)."""
    if isinstance(written, Mapping):
        for key, value in written.items():
            for path, other in nudged(value):
                yield f"{key}.{path}".rstrip("."), {**written, key: other}
    elif isinstance(written, (list, tuple)):
        for number, value in enumerate(written):
            for path, other in nudged(value):
                yield f"{number}.{path}".rstrip("."), [*written[:number], other, *written[number + 1 :]]
    elif isinstance(written, str) and (found := _QUANTITY.fullmatch(written)) and float(found[1]):
        yield "", f"{round(float(found[1]) * NUDGE, 9)}{found[2]}"
    elif isinstance(written, (int, float)) and not isinstance(written, bool) and written:
        yield "", round(written * NUDGE, 9)


def merged(old: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, Any]:
    """Settings with others put over them, key by key."""
    both = dict(old)
    for key, value in new.items():
        here = both.get(key)
        both[key] = merged(here, value) if isinstance(here, Mapping) and isinstance(value, Mapping) else value
    return both
