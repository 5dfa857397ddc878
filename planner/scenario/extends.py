"""A scenario file and the files it extends, merged into one tree.

In: the path of a file. Out: one `Tree`; what a file says overrides what its base says, key by key. Lists,
spreads of another kind, settings of another model, single changes and estimates are replaced whole; an option, outlook,
range or estimate that is `none` is left out.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import Path
from typing import Any, Final

from planner.scenario.amounts import is_spread
from planner.scenario.data import inside_of
from planner.scenario.errors import InputError, Problem
from planner.scenario.source import read
from planner.scenario.tree import Steps, Tree, at, copied
from planner.scenario.wording import close, nearest, quoted, unknown

LONGEST_CHAIN = 10
MAY_BE_LEFT_OUT: Final = ("options", "outlooks", "ranges", "estimates")
LEFT_OUT: Final = "none"
"""Written instead of an option, outlook, range or estimate, or of all of them, that the file extended offers."""


@dataclass(slots=True)
class Whole:
    """A file with all of its bases.

    Attributes
    ----------
    tree : Tree
        The merged keys, each with its place in the file that says it.
    files : tuple of Path
        The file itself, then its bases, resolved.
    trees : tuple of Tree
        What each of them says by itself, in the same order.
    problems : list of Problem
        What is wrong with their writing, and with what they extend and leave out.
    complete : bool
        False where a base cannot be read: what is not here may stand there.
    """

    tree: Tree
    files: tuple[Path, ...]
    trees: tuple[Tree, ...]
    problems: list[Problem] = field(default_factory=list)
    complete: bool = True


def read_whole(path: Path, known_keys: Collection[str] = ()) -> Whole:
    """Read a file with all of its bases.

    Parameters
    ----------
    path : Path
        The file.
    known_keys : collection of str
        The keys at the top of a file; one that is clearly a misspelt one of them is told and taken for it.

    Raises
    ------
    InputError
        Where not even the file itself can be read.
    """
    chain, names, problems = [Path(os.path.realpath(path))], [path], list[Problem]()
    trees, complete = [_read(path, str(path), known_keys)], True
    while (value := trees[-1].value.get("extends")) is not None:
        try:
            base = _base(value, chain, chain[0].parent)
        except ValueError as error:
            place = trees[-1].place(("extends",))
            problems.append(Problem(place.file, place.line, place.column, "extends", str(error)))
            complete = False
            break
        name = names[-1].parent / str(value)
        try:
            trees.append(_read(base, str(name), known_keys))
        except InputError as error:
            problems += error.problems
            complete = False
            break
        chain.append(base)
        names.append(name)
    whole, lost = trees[-1], list(_nothing_to_leave_out(trees[-1]))
    for tree in reversed(trees[:-1]):
        lost += _nothing_to_leave_out(tree, whole)
        whole = merge(whole, tree)
    if lost:
        whole = _without(whole, [steps for steps, _ in lost])
    problems += [problem for tree in trees for problem in tree.problems]
    if complete:
        problems += [problem for _, problem in lost]
    else:
        whole.value.pop("extends", None)
    return Whole(whole, tuple(chain), tuple(trees), problems, complete)


def taken_over(problems: Iterable[Problem], file: str) -> list[Problem]:
    """Problems of this file and of those it extends; these say which file takes them over."""
    return [
        one
        if one.file == file
        else replace(one, message=f"{one.message} (taken over by {file} through extends)")
        for one in problems
    ]


def _read(path: Path, name: str, known_keys: Collection[str]) -> Tree:
    """Read one file; a misspelt key at its top is told, and taken for the key that is meant."""
    tree = read(path, name)
    # no more than there are keys can be misspelt ones
    for key in islice([key for key in tree.value if key not in known_keys], len(known_keys)):
        meant = close(key, [other for other in known_keys if other not in tree.value])
        if meant:
            place = tree.place((key,), key=True)
            tree.problems.append(Problem(place.file, place.line, place.column, key, unknown(key, meant)))
            tree.rename((key,), meant)
    return tree


def _nothing_to_leave_out(tree: Tree, base: Tree | None = None) -> Iterator[tuple[Steps, Problem]]:
    """Options, outlooks, ranges and estimates that are `none`, though no file extended offers them."""
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
            yield (
                (kind, *name),
                Problem(place.file, place.line, place.column, ".".join((kind, *name)), words),
            )


def _without(tree: Tree, those: Iterable[Steps]) -> Tree:
    """The same tree without what leaves out nothing, which would be taken for an option."""
    left = tree.copy()
    for *above, key in those:
        block = at(left.value, tuple(above))
        if block.get(key) == LEFT_OUT:
            del block[key]
    return left


def _base(value: Any, chain: list[Path], root: Path) -> Path:
    """The file that the last one of a chain extends."""
    if not isinstance(value, str) or not value.strip():
        raise ValueError(f"{quoted(value)} is not the name of a file; write one such as data/base.yaml")
    if "://" in value:
        raise ValueError(
            f"{quoted(value)} is an address; nothing is fetched from the net, name a file in the folder"
        )
    base = inside_of(chain[-1].parent, value.strip(), "the scenario's folder", "data/base.yaml")
    if not base.is_relative_to(root):
        raise ValueError(f"{quoted(value)} leads out of the scenario's folder")
    shown_chain = " -> ".join(file.name for file in chain)
    if base in chain:
        raise ValueError(f"the files extend each other in a circle: {shown_chain} -> {base.name}")
    if len(chain) >= LONGEST_CHAIN:
        raise ValueError(f"more than {LONGEST_CHAIN} files extend one another: {shown_chain}")
    return base


def merge(base: Tree, over: Tree) -> Tree:
    """Both trees in one; `over` wins."""
    merged = base.copy()
    merged.values[()] = over.values[()]
    merged.unread |= over.unread
    _merge(merged, over, ())
    return merged


def _merge(into: Tree, over: Tree, steps: Steps) -> None:
    old, new = at(into.value, steps), at(over.value, steps)
    for key, value in new.items():
        here = (*steps, key)
        if value == LEFT_OUT and here[0] in MAY_BE_LEFT_OUT and len(here) <= 2:
            into.forget_standing(here)
            old.pop(key, None)
        elif key in old and _goes_deeper(old[key], value, here):
            into.keys[here], into.values[here] = over.place(here, key=True), over.place(here)
            _merge(into, over, here)
        else:
            into.forget_standing(here)
            old[key] = copied(value)
            into.replace_places(here, over, here)


def _goes_deeper(old: Any, new: Any, steps: Steps) -> bool:
    if not (isinstance(old, dict) and isinstance(new, dict)):
        return False
    if len(steps) > 1 and (steps[-2] == "changes" or steps[0] == "estimates"):
        return False
    if is_spread(old) and is_spread(new):
        return list(old) == list(new)
    return not ("model" in old and "model" in new and old["model"] != new["model"])
