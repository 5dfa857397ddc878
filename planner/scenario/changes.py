"""The changes of an option or an outlook, applied to the tree of a business.

In: a tree in which every value is written out, and a mapping of dotted paths to new values. Out: the
changed tree, in which each changed value stands where the change is written; and what went wrong.
"""

from __future__ import annotations

import copy
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from typing import Any

from planner.scenario.amounts import factor_of, plus, tilted, times
from planner.scenario.blocks import Blocks
from planner.scenario.doubt import CERTAIN, Doubt
from planner.scenario.inputs import FACTORS
from planner.scenario.part import PartError, PartsError
from planner.scenario.tree import Place, Steps, Tree, at, dotted
from planner.scenario.wording import listed, nearest, quoted, shown

OPERATIONS = ("times", "plus", "tilt", "append", "remove")
_MISSING = object()


class Lost(ValueError):  # noqa: N818  (it says what it is)
    """There is nothing where a change has to work.

    Parameters
    ----------
    message : str
        What is missing.
    steps : Steps
        Path as far as it leads to something, or to the list in which no entry has the name.
    """

    def __init__(self, message: str, steps: Steps) -> None:
        super().__init__(message)
        self.steps = steps


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
    anew : list of Steps
        Paths at which everything is new.
    moved : set of Place
        Where changes stand that multiply or add: whatever they make impossible is one mistake.
    touched : set of str
        Keys at the top at or below which a change works, or tries to.
    """

    tree: Tree
    wrong: list[tuple[Steps, str]] = field(default_factory=list)
    skipped: list[str] = field(default_factory=list)
    anew: list[Steps] = field(default_factory=list)
    moved: set[Place] = field(default_factory=set)
    touched: set[str] = field(default_factory=set)


def apply(
    base: Tree,
    source: Tree,
    where: Steps,
    currency: str | None,
    as_written: Any = None,
    closed: Collection[str] = (),
    doubt: Doubt = CERTAIN,
    blocks: Blocks | None = None,
    closed_to: str = "no option or outlook can change it",
    always: bool = False,
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
    currency : str or None
        The scenario's currency; None where it is not known, and any will do.
    as_written : Any, optional
        The scenario before other changes; a path that exists only there is skipped.
    closed : collection of str
        Keys at the top of a file that no change may touch.
    doubt : Doubt, optional
        What of the base cannot be judged: a change that finds nothing there is left out.
    blocks : Blocks, optional
        Knows which blocks have a key such as ``times`` of their own. Left out: it is always an operation.
    closed_to : str
        What to say of a change that touches a closed key.
    always : bool
        What looks like an operation is one, whatever keys the block there has.
    """
    try:
        changes = at(source.value, where)
    except KeyError:
        changes = {}
    result = Changed(base.copy({path.partition(".")[0].strip() for path in changes or {}}))
    done: list[str] = []
    for path in sorted(changes or {}, key=lambda path: _order(path, changes[path])):
        value, written_at = changes[path], (*where, path)
        if any(steps[: len(written_at)] == written_at for steps in source.unread):
            continue
        first = path.partition(".")[0].strip()
        result.touched.add(first)
        if first in closed:
            words = f"'{first}' is not part of the business; {closed_to}"
            result.wrong.append((written_at, words))
            continue
        whole = next((other for other in done if path.startswith(f"{other}.")), None)
        if whole:
            words = f"{quoted(whole)} is set as a whole as well; write both as one change"
            result.wrong.append((written_at, words))
        operation = operation_of(value, path, result.tree.value, None if always else blocks)
        if operation is None and not path.endswith(".model"):
            done.append(path)
        try:
            _change(result, path, value, operation, source, written_at, currency, doubt, blocks)
        except ValueError as error:
            if as_written is not None and _exists(as_written, path):
                result.skipped.append(path)
            elif isinstance(error, PartsError):
                result.wrong += [((*written_at, *part.at), str(part)) for part in error.found]
            elif not whole and not (isinstance(error, Lost) and doubt.names_in(error.steps)):
                result.wrong.append((written_at, str(error)))
    return result


def _order(path: str, value: Any) -> tuple[int, int]:
    """Models first: they bring settings; then values, blocks before keys; entries; shares as all else made them."""
    operation = operation_of(value, path, None, None)
    if path.endswith(".model") and operation is None:
        return 0, 0
    return {"append": 2, "remove": 3, "tilt": 4}.get(operation or "", 1), path.count(".")


def operation_of(value: Any, path: str, tree: Any, blocks: Blocks | None) -> str | None:
    """The operation that a change is written with; None where it is the new value itself.

    ``{times: 3}`` multiplies what is there. Where a block stands that has a key ``times`` of its own, it is that block,
    written anew.
    """
    if not (isinstance(value, dict) and value and set(value) <= set(OPERATIONS)):
        return None
    if blocks is not None:
        try:
            steps, _ = find(tree, path)
        except ValueError:  # told where the change is made
            steps = ()
        if steps and set(value) <= set(blocks.keys_at(tree, steps)):
            return None
    return str(next(iter(value)))


def overridden(later: Collection[str], earlier: Collection[str]) -> tuple[str, ...]:
    """Paths at which later changes set a value of their own, though earlier ones change that, a part or the whole."""
    return tuple(
        path
        for path in later
        if any(f"{path}.".startswith(f"{other}.") or f"{other}.".startswith(f"{path}.") for other in earlier)
    )


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
    Lost
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
            steps.append(position_of(here, word, tuple(steps), tree))
            here = here[int(steps[-1])]
        elif here is None or here is _MISSING:
            steps.append(word)
            here = _MISSING
        else:
            raise Lost(
                f"{dotted(tuple(steps), tree)} is the single value {quoted(here)}; it has no '{word}' in it",
                tuple(steps),
            )
    return tuple(steps), here


def position_of(entries: list[Any], word: str, steps: Steps, tree: Any) -> int:
    """Position in the list at a path of the entry with this name, or with this number from 1."""
    called = dotted(steps, tree)
    names = [entry.get("name") for entry in entries if isinstance(entry, dict)]
    if word in names:
        return [isinstance(entry, dict) and entry.get("name") == word for entry in entries].index(True)
    if word.isdecimal() and 1 <= int(word) <= len(entries):
        return int(word) - 1
    known = [name for name in names if name]
    if not known:
        words = f"the entries of {called} have no names, so '{shown(word)}' is not found; give them a name"
        raise Lost(words, steps)
    near = nearest(word, known)
    guess = f"did you mean {near}? " if near else ""
    raise Lost(f"{called} has no entry '{shown(word)}'; {guess}its entries are {listed(known)}", steps)


def _change(
    result: Changed,
    path: str,
    value: Any,
    operation: str | None,
    source: Tree,
    written_at: Steps,
    currency: str | None,
    doubt: Doubt,
    blocks: Blocks | None,
) -> None:
    tree = result.tree
    if operation is not None and len(value) > 1:
        raise ValueError(f"{listed(value)} are written together; write one of them")
    if operation in FACTORS:
        try:
            factor_of(value[operation], operation)
        except ValueError as error:
            result.wrong.append((written_at, str(error)))
            value = {operation: 1}
    steps, old = find(tree.value, path)
    _stand_at(tree, steps, source, written_at)
    if operation is None:
        model_before = old if steps[-1] == "model" else value
        _set(tree, steps, copy.deepcopy(value), source, written_at)
        result.anew += [steps] if model_before == value else [steps, (*steps[:-1], "settings")]
        return
    if old is _MISSING:
        near = nearest(path, (other for other in paths_of(tree.value) if not path.startswith(f"{other}.")))
        guess = f"; did you mean {near}?" if near else f", so there is nothing for {operation} to work on"
        raise Lost(f"there is no {quoted(path)}{guess}", steps)
    operand, inner = value[operation], (*written_at, operation)
    try:
        if operation == "append":
            _append(result, steps, old, operand, source, inner)
        elif operation == "remove":
            _remove(tree, steps, old, operand)
        elif operation == "tilt":
            _tilt(result, steps, operand, blocks, source, written_at)
        else:
            make = times if operation == "times" else plus
            result.moved |= {source.place(written_at), source.place(written_at, key=True)}
            _set(tree, steps, make(old, operand, currency), source, written_at)
    except ValueError as error:
        if isinstance(error, PartsError) or not (doubt.everything or doubt.over(steps)):
            raise
        raise Lost(str(error), steps) from None


def _stand_at(tree: Tree, steps: Steps, source: Tree, written_at: Steps) -> None:
    """Let all that a path leads through stand where the change is written: what is wrong there, it caused."""
    place = source.place(written_at, key=True)
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
    tree.replace_places(steps, source, written_at)


def _tilt(
    result: Changed, steps: Steps, factor: float, blocks: Blocks | None, source: Tree, written_at: Steps
) -> None:
    tree, above = result.tree, steps[:-1]
    shares = blocks.shares_at(tree.value, above) if blocks is not None else ()
    block = at(tree.value, above)
    found = tilted({key: block[key] for key in shares if key in block}, str(steps[-1]), factor)
    result.moved |= {source.place(written_at), source.place(written_at, key=True)}
    for key, share in found.items():
        _set(tree, (*above, key), share, source, written_at)


def _append(result: Changed, steps: Steps, old: Any, operand: Any, source: Tree, written_at: Steps) -> None:
    if not isinstance(old, list):
        raise ValueError("append adds to a list, but this is none; set the value itself")
    doubled = []
    for position, entry in enumerate(operand if isinstance(operand, list) else [operand]):
        at_entry = (position,) if isinstance(operand, list) else ()
        name = entry.get("name") if isinstance(entry, dict) else None
        if name and any(isinstance(other, dict) and other.get("name") == name for other in old):
            words = f"there is already an entry '{shown(name)}'; give the new one another name"
            doubled.append(PartError(words, ["append", *at_entry] if at_entry else ()))
        if doubled:
            continue
        old.append(copy.deepcopy(entry))
        result.tree.replace_places((*steps, len(old) - 1), source, (*written_at, *at_entry))
        result.anew.append((*steps, len(old) - 1))
    if doubled:
        raise PartsError(doubled)


def _remove(tree: Tree, steps: Steps, old: Any, operand: Any) -> None:
    lost: list[ValueError] = []
    for word in operand if isinstance(operand, list) else [operand]:
        try:
            place = _place_in(old, word, steps, tree)
        except ValueError as error:
            lost.append(error)
        if lost:
            continue
        del old[place]
        if isinstance(old, list):
            _close_gap(tree, steps, int(place))
    if len(lost) > 1:
        raise Lost("; ".join(map(str, lost)), steps)
    if lost:
        raise lost[0]


def _place_in(old: Any, word: Any, steps: Steps, tree: Tree) -> Any:
    """Key or position of what is to be removed."""
    if not isinstance(word, (str, int, float)):
        raise ValueError(
            f"{quoted(word)} is not a name; write which entry to remove, such as {{remove: a name}}"
        )
    if isinstance(old, dict) and word in old:
        return word
    if isinstance(old, list):
        return old.index(word) if word in old else position_of(old, str(word), steps, tree.value)
    near = nearest(str(word), old if isinstance(old, dict) else [])
    raise ValueError(f"there is no {quoted(word)} to remove{f'; did you mean {near}?' if near else ''}")


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
