"""Plain values of a file, each with its place in the file.

In: nothing but what `compose` puts there. Out: places for messages, and paths as users write them.
Knows no fields and no YAML.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from typing import Any

from planner.scenario.errors import Problem

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
    unread : set of Steps
        Paths at which a value is written that cannot be understood; it is None.
    problems : list of Problem
        What is wrong with the writing of a file whose values are understood all the same.
    """

    value: dict[str, Any]
    keys: dict[Steps, Place] = field(default_factory=dict)
    values: dict[Steps, Place] = field(default_factory=dict)
    unread: set[Steps] = field(default_factory=set)
    problems: list[Problem] = field(default_factory=list)

    def copy(self, only: Collection[str] | None = None) -> Tree:
        """The same values and places, free to be changed; the values below these keys at the top alone if so asked."""
        value = self.value
        if only is not None:
            value = {key: copied(part) if key in only else part for key, part in self.value.items()}
        return Tree(
            copied(value) if only is None else value, dict(self.keys), dict(self.values), set(self.unread)
        )

    def forget_places(self, steps: Steps) -> None:
        """Forget the places of everything at and below a path."""
        if steps not in self.keys and steps not in self.values:
            return  # nothing below it has a place either
        for places in (self.keys, self.values):
            for old in [path for path in places if path[: len(steps)] == steps]:
                del places[old]

    def forget_standing(self, steps: Steps) -> None:
        """Forget the places of a value that still stands at a path; no other places are looked at."""
        for path in self.paths(steps):
            self.keys.pop(path, None)
            self.values.pop(path, None)

    def replace_places(self, steps: Steps, source: Tree, source_steps: Steps) -> None:
        """Let everything at and below a path stand where the path of another tree stands."""
        length = len(source_steps)
        self.forget_places(steps)
        for path in source.paths(source_steps):
            for own, places in ((self.keys, source.keys), (self.values, source.values)):
                if path in places:
                    own[*steps, *path[length:]] = places[path]

    def paths(self, steps: Steps) -> Iterator[Steps]:
        """A path and every path below it; no more than these are looked at, however long the file is."""
        yield steps
        try:
            value = at(self.value, steps)
        except KeyError:
            return
        for step in (
            value if isinstance(value, dict) else range(len(value)) if isinstance(value, list) else ()
        ):
            yield from self.paths((*steps, step))

    def move_places(self, steps: Steps, to: Steps) -> None:
        """Let everything at and below a path be found at another one."""
        length = len(steps)
        # by places, not by values: these may have moved before
        moved = [
            {(*to, *path[length:]): place for path, place in places.items() if path[:length] == steps}
            for places in (self.keys, self.values)
        ]
        self.forget_places(to)
        if to[:length] != steps:
            self.forget_places(steps)
        self.keys.update(moved[0])
        self.values.update(moved[1])
        self.unread = {(*to, *path[length:]) if path[:length] == steps else path for path in self.unread}

    def rename(self, steps: Steps, key: str) -> None:
        """Let the value at a path stand under another key beside it, at its old place."""
        block, to = at(self.value, steps[:-1]), (*steps[:-1], key)
        block[key] = block.pop(steps[-1])
        if isinstance(block[key], (dict, list)):
            self.move_places(steps, to)
            return
        for places in (self.keys, self.values):
            if steps in places:
                places[to] = places.pop(steps)
        if steps in self.unread:
            self.unread = self.unread - {steps} | {to}

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


def copied(value: Any) -> Any:
    """A copy of plain values that shares no block and no list with them."""
    if isinstance(value, dict):
        return {key: copied(part) for key, part in value.items()}
    return [copied(part) for part in value] if isinstance(value, list) else value


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
