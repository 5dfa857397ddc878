"""A scenario file and the files it extends, merged into one tree.

In: the path of a file. Out: one `Tree`; what a file says overrides what its base says, key by key. Lists,
spreads of another kind, settings of another model and single changes are replaced whole; an option or outlook that is
`none` is left out.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from planner.scenario.amounts import is_spread
from planner.scenario.data import inside_of
from planner.scenario.errors import InputError, Problem
from planner.scenario.source import read
from planner.scenario.tree import Steps, Tree
from planner.scenario.wording import nearest, quoted

LONGEST_CHAIN = 10
MAY_BE_LEFT_OUT: Final = ("options", "outlooks")
LEFT_OUT: Final = "none"
"""Written instead of an option or outlook, or of all of them, that the file extended offers."""


def read_whole(path: Path) -> tuple[Tree, tuple[Path, ...]]:
    """Read a file with all of its bases.

    Returns
    -------
    tree : Tree
        The merged keys, each with its place in the file that says it.
    files : tuple of Path
        The file itself, then its bases, resolved.

    Raises
    ------
    InputError
        Where a file cannot be read, or `extends` runs in a circle or leaves the scenario's folder.
    """
    root = path.resolve().parent
    trees, chain, names = [read(path)], [path.resolve()], [path]
    while (value := trees[-1].value.get("extends")) is not None:
        tree = trees[-1]
        shown_chain = " -> ".join(file.name for file in chain)
        try:
            base = _base(value, chain[-1].parent, root)
            if base in chain:
                raise ValueError(f"the files extend each other in a circle: {shown_chain} -> {base.name}")
            if len(chain) >= LONGEST_CHAIN:
                raise ValueError(f"more than {LONGEST_CHAIN} files extend one another: {shown_chain}")
        except ValueError as error:
            place = tree.place(("extends",))
            more = f" (read as {shown_chain})" if len(chain) > 1 and shown_chain not in str(error) else ""
            raise InputError.of(
                [Problem(place.file, place.line, place.column, "extends", f"{error}{more}")]
            ) from None
        name = names[-1].parent / str(value)
        try:
            trees.append(read(base, str(name)))
        except InputError as error:
            raise InputError.of(taken_over(error.problems, str(path))) from None
        chain.append(base)
        names.append(name)
    whole, problems = trees[-1], list(_nothing_to_leave_out(trees[-1]))
    for tree in reversed(trees[:-1]):
        problems += _nothing_to_leave_out(tree, whole)
        whole = merge(whole, tree)
    if problems:
        raise InputError.of(taken_over(problems, str(path)))
    return whole, tuple(chain)


def taken_over(problems: Iterable[Problem], file: str) -> list[Problem]:
    """Problems of this file and of those it extends; these say which file takes them over."""
    return [
        one
        if one.file == file
        else replace(one, message=f"{one.message} (taken over by {file} through extends)")
        for one in problems
    ]


def _nothing_to_leave_out(tree: Tree, base: Tree | None = None) -> Iterator[Problem]:
    """Options and outlooks that are `none`, though no file extended offers them."""
    for kind in MAY_BE_LEFT_OUT:
        own, offered = tree.value.get(kind), base.value.get(kind) if base else None
        known = list(offered) if isinstance(offered, dict) else []
        lost: list[tuple[str, ...]] = [()] if own == LEFT_OUT and not known else []
        if isinstance(own, dict):
            lost += [(name,) for name, body in own.items() if body == LEFT_OUT and name not in known]
        for name in lost:
            place = tree.place((kind, *name))
            near = nearest(name[0], known) if name else None
            words = f"{LEFT_OUT} leaves out what the file extended offers, but it offers no such thing"
            words += f"; did you mean {near}?" if near else "; delete the line"
            yield Problem(place.file, place.line, place.column, ".".join((kind, *name)), words)


def _base(value: Any, folder: Path, root: Path) -> Path:
    if not isinstance(value, str) or not value.strip():
        raise ValueError(f"{quoted(value)} is not the name of a file; write one such as data/base.yaml")
    if "://" in value:
        raise ValueError(
            f"{quoted(value)} is an address; nothing is fetched from the net, name a file in the folder"
        )
    base = inside_of(folder, value.strip(), "the scenario's folder")
    if not base.is_relative_to(root):
        raise ValueError(f"{quoted(value)} leads out of the scenario's folder")
    return base


def merge(base: Tree, over: Tree) -> Tree:
    """Both trees in one; `over` wins."""
    merged = Tree(copy.deepcopy(base.value), dict(base.keys), dict(base.values))
    merged.values[()] = over.values[()]
    _merge(merged, over, ())
    return merged


def _merge(into: Tree, over: Tree, steps: Steps) -> None:
    old, new = _at(into.value, steps), _at(over.value, steps)
    for key, value in new.items():
        here = (*steps, key)
        if value == LEFT_OUT and here[0] in MAY_BE_LEFT_OUT and len(here) <= 2:
            old.pop(key, None)
            forget_places(into, here)
        elif key in old and _goes_deeper(old[key], value, here):
            into.keys[here], into.values[here] = over.keys[here], over.values[here]
            _merge(into, over, here)
        else:
            old[key] = copy.deepcopy(value)
            replace_places(into, here, over, here)


def _at(value: Any, steps: Steps) -> Any:
    for step in steps:
        value = value[step]
    return value


def _goes_deeper(old: Any, new: Any, steps: Steps) -> bool:
    if not (isinstance(old, dict) and isinstance(new, dict)):
        return False
    if len(steps) > 1 and steps[-2] == "changes":
        return False
    if is_spread(old) and is_spread(new):
        return list(old) == list(new)
    return not ("model" in old and "model" in new and old["model"] != new["model"])


def forget_places(tree: Tree, steps: Steps) -> None:
    """Forget the places of everything at and below a path."""
    for places in (tree.keys, tree.values):
        for old in [path for path in places if path[: len(steps)] == steps]:
            del places[old]


def replace_places(into: Tree, steps: Steps, source: Tree, source_steps: Steps) -> None:
    """Let everything at and below a path stand where the source's path stands."""
    source_length = len(source_steps)
    forget_places(into, steps)
    for places, from_places in ((into.keys, source.keys), (into.values, source.values)):
        for path, place in from_places.items():
            if path[:source_length] == source_steps:
                places[(*steps, *path[source_length:])] = place
