"""Plain values of a file, each with its place in the file.

In: nothing but what `compose` puts there. Out: places for messages, and paths as users write them.
Knows no fields and no YAML.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

Steps = tuple[str | int, ...]
"""Keys, and positions in lists from 0, from the top of the file."""


@dataclass(frozen=True, slots=True)
class Place:
    """A place in a file; line and column are counted from 1."""

    file: str
    line: int
    column: int


@dataclass(slots=True)
class Tree:
    """Plain values and where each stands.

    Attributes
    ----------
    value : dict
        The top of the file.
    keys, values : dict
        Place of the key, and of the value, at each path.
    """

    value: dict[str, Any]
    keys: dict[Steps, Place] = field(default_factory=dict)
    values: dict[Steps, Place] = field(default_factory=dict)

    def place(self, steps: Steps, *, key: bool = False) -> Place:
        """Place of the deepest part of this path that is written in the file.

        With `key`, or where the value itself is not written, the place of the key.
        """
        for end in range(len(steps), -1, -1):
            part = steps[:end]
            whole = end == len(steps)
            first, then = (self.values, self.keys) if whole and not key else (self.keys, self.values)
            if found := first.get(part) or then.get(part):
                return found
        raise KeyError(steps)


def at(tree: Any, steps: Steps) -> Any:
    """The value at a path; raises KeyError where there is none."""
    for step in steps:
        known = isinstance(tree, dict) and step in tree
        if not known and not (isinstance(tree, list) and isinstance(step, int) and step < len(tree)):
            raise KeyError(step)
        tree = tree[step]
    return tree


def dotted(steps: Steps, tree: Any = None) -> str:
    """A path as users write it; an entry of a list by its name, or by its number from 1."""
    words: list[str] = []
    for end, step in enumerate(steps):
        if isinstance(step, str):
            words.append(step)
            continue
        try:
            entry = at(tree, steps[: end + 1])
        except KeyError:
            entry = None
        name = entry.get("name") if isinstance(entry, dict) else None
        words.append(name if isinstance(name, str) and name else f"{step + 1}")
    return ".".join(words)
