"""The changes of an option or an outlook, applied to the tree of a business.

In: a tree in which every value is written out, and a mapping of dotted paths to new values. Out: the
changed tree, in which each changed value stands where the change is written; and what went wrong.
"""

from __future__ import annotations

import copy
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from typing import Any

from planner.scenario.amounts import plus, times
from planner.scenario.extends import replace_places
from planner.scenario.tree import Steps, Tree, at, dotted
from planner.scenario.wording import listed, nearest, quoted, shown

OPERATIONS = ("times", "plus", "append", "remove")
_MISSING = object()


@dataclass(slots=True)
class Changed:
    """A changed tree.

    Attributes
    ----------
    tree : Tree
        The values with the changes made.
    wrong : list of (Steps, str)
        Changes that cannot be made: path of the change in its file's tree, and words.
    skipped : list of str
        Paths that are gone here, though they exist in the scenario as written.
    """

    tree: Tree
    wrong: list[tuple[Steps, str]] = field(default_factory=list)
    skipped: list[str] = field(default_factory=list)


def apply(
    base: Tree,
    source: Tree,
    where: Steps,
    currency: str,
    as_written: Any = None,
    closed: Collection[str] = (),
    *,
    complete: bool = True,
) -> Changed:
    """Make the changes that stand at `where` in `source`.

    Parameters
    ----------
    base : Tree
        Every value of the business written out, defaults too.
    source : Tree
        The scenario's file.
    where : Steps
        Path of the mapping of changes in it.
    currency : str
        The scenario's currency.
    as_written : Any, optional
        The scenario before other changes; a path that exists only there is skipped.
    closed : collection of str
        Keys at the top of a file that no change may touch.
    complete : bool
        False where defaults are not written out, since the business as written has problems of its own:
        changes that work on a value are then left out where there is none.
    """
    result = Changed(Tree(copy.deepcopy(base.value), dict(base.keys), dict(base.values)))
    try:
        changes = at(source.value, where)
    except KeyError:
        return result
    done: list[str] = []
    for path in sorted(changes or {}, key=lambda path: _order(path, changes[path])):
        value, written_at = changes[path], (*where, path)
        try:
            if whole := next((other for other in done if path.startswith(f"{other}.")), None):
                raise ValueError(f"{quoted(whole)} is set as a whole as well; write both as one change")
            if _operation(value) is None and not path.endswith(".model"):
                done.append(path)
            if (first := path.partition(".")[0].strip()) in closed:
                raise ValueError(f"'{first}' is not part of the business; no option or outlook can change it")
            if not complete and _operation(value) and not _exists(base.value, path):
                continue
            _change(result.tree, path, value, source, written_at, currency)
        except ValueError as error:
            if as_written is not None and _exists(as_written, path):
                result.skipped.append(path)
            else:
                result.wrong.append((written_at, str(error)))
    return result


def _order(path: str, value: Any) -> int:
    """Models first, since they bring their own settings; then values; entries go last."""
    operation = _operation(value)
    if path.endswith(".model") and operation is None:
        return 0
    return {"append": 2, "remove": 3}.get(operation or "", 1)


def _operation(value: Any) -> str | None:
    if isinstance(value, dict) and value and set(value) <= set(OPERATIONS):
        return str(next(iter(value)))
    return None


def _exists(tree: Any, path: str) -> bool:
    try:
        return find(tree, path)[1] is not _MISSING
    except ValueError:
        return False


def find(tree: Any, path: str) -> tuple[Steps, Any]:
    """Follow a dotted path; entries of a list go by their `name`.

    Returns
    -------
    steps : Steps
        Keys and positions.
    value : Any
        What stands there; a marker of this module where nothing does.

    Raises
    ------
    ValueError
        Where the path goes through a value or names an entry that a list does not have.
    """
    words = [word.strip() for word in path.split(".")]
    if not all(words):
        raise ValueError("a path is written as keys with dots between them, such as melting.pot.diameter")
    steps: list[str | int] = []
    here = tree
    for word in words:
        if isinstance(here, dict):
            steps.append(word)
            here = here.get(word, _MISSING)
        elif isinstance(here, list):
            steps.append(position_of(here, word, dotted(tuple(steps), tree)))
            here = here[int(steps[-1])]
        elif here is None or here is _MISSING:
            steps.append(word)
            here = _MISSING
        else:
            raise ValueError(
                f"{dotted(tuple(steps), tree)} is the single value {quoted(here)}; it has no '{word}' in it"
            )
    return tuple(steps), here


def position_of(entries: list[Any], word: str, called: str) -> int:
    """Position in a list of the entry with this name, or with this number from 1."""
    names = [entry.get("name") for entry in entries if isinstance(entry, dict)]
    if word in names:
        return [isinstance(entry, dict) and entry.get("name") == word for entry in entries].index(True)
    if word.isdecimal() and 1 <= int(word) <= len(entries):
        return int(word) - 1
    known = [name for name in names if name]
    if not known:
        raise ValueError(
            f"the entries of {called} have no names, so '{shown(word)}' is not found; give them a name"
        )
    near = nearest(word, known)
    guess = f"did you mean {near}? " if near else ""
    raise ValueError(f"{called} has no entry '{shown(word)}'; {guess}its entries are {listed(known)}")


def _change(tree: Tree, path: str, value: Any, source: Tree, written_at: Steps, currency: str) -> None:
    steps, old = find(tree.value, path)
    _stand_at(tree, steps, source, written_at)
    operation = _operation(value)
    if operation is None:
        _set(tree, steps, copy.deepcopy(value), source, written_at)
        return
    if len(value) > 1:
        raise ValueError(f"{listed(value)} are written together; write one of them")
    if old is _MISSING:
        near = nearest(path, (other for other in paths_of(tree.value) if not path.startswith(f"{other}.")))
        guess = f"; did you mean {near}?" if near else f", so there is nothing for {operation} to work on"
        raise ValueError(f"there is no {quoted(path)}{guess}")
    operand, inner = value[operation], (*written_at, operation)
    if operation == "append":
        _append(tree, steps, old, operand, source, inner)
    elif operation == "remove":
        _remove(tree, steps, old, operand)
    else:
        make = times if operation == "times" else plus
        _set(tree, steps, make(old, operand, currency), source, written_at)


def _stand_at(tree: Tree, steps: Steps, source: Tree, written_at: Steps) -> None:
    """Let all that a path leads through stand where the change is written: what is wrong there, it caused."""
    place = source.keys[written_at]
    for end in range(len(steps) + 1):
        tree.keys[steps[:end]] = tree.values[steps[:end]] = place


def _set(tree: Tree, steps: Steps, value: Any, source: Tree, written_at: Steps) -> None:
    here: Any = tree.value
    for step in steps[:-1]:
        if isinstance(here, dict) and here.get(step) is None:
            here[step] = {}
        here = here[step]
    if steps[-1] == "model" and "settings" in here and here.get("model") != value:
        here["settings"] = {}
    here[steps[-1]] = value
    replace_places(tree, steps, source, written_at)


def _append(tree: Tree, steps: Steps, old: Any, operand: Any, source: Tree, written_at: Steps) -> None:
    if not isinstance(old, list):
        raise ValueError("append adds to a list, but this is none; set the value itself")
    for position, entry in enumerate(operand if isinstance(operand, list) else [operand]):
        name = entry.get("name") if isinstance(entry, dict) else None
        if name and any(isinstance(other, dict) and other.get("name") == name for other in old):
            raise ValueError(f"there is already an entry '{shown(name)}'; give the new one another name")
        old.append(copy.deepcopy(entry))
        at_entry = (*written_at, position) if isinstance(operand, list) else written_at
        replace_places(tree, (*steps, len(old) - 1), source, at_entry)


def _remove(tree: Tree, steps: Steps, old: Any, operand: Any) -> None:
    for word in operand if isinstance(operand, list) else [operand]:
        if not isinstance(word, (str, int, float)):
            raise ValueError(
                f"{quoted(word)} is not a name; write which entry to remove, such as {{remove: a name}}"
            )
        if isinstance(old, dict) and word in old:
            del old[word]
        elif isinstance(old, list):
            called = dotted(steps, tree.value)
            position = old.index(word) if word in old else position_of(old, str(word), called)
            del old[position]
            _close_gap(tree, steps, position)
        else:
            known = list(old) if isinstance(old, dict) else []
            near = nearest(str(word), known)
            raise ValueError(
                f"there is no {quoted(word)} to remove{f'; did you mean {near}?' if near else ''}"
            )


def _close_gap(tree: Tree, steps: Steps, position: int) -> None:
    """Places of the entries behind a removed one move up."""
    depth = len(steps)
    for places in (tree.keys, tree.values):
        for path in sorted(path for path in places if path[:depth] == steps and len(path) > depth):
            step = path[depth]
            if not isinstance(step, int) or step < position:
                continue
            place = places.pop(path)
            if step > position:
                places[(*steps, step - 1, *path[depth + 1 :])] = place


def paths_of(tree: Any, above: str = "") -> Iterator[str]:
    """Every dotted path in a tree."""
    if isinstance(tree, dict):
        for key, value in tree.items():
            yield f"{above}{key}"
            yield from paths_of(value, f"{above}{key}.")
    elif isinstance(tree, list):
        for number, entry in enumerate(tree, start=1):
            if isinstance(entry, (dict, list)):
                name = (isinstance(entry, dict) and entry.get("name")) or str(number)
                yield f"{above}{name}"
                yield from paths_of(entry, f"{above}{name}.")
