"""A part of a scenario read whatever is wrong in it: what is wrong is told, and something valid stands in for it.

In: a part of a tree and its model. Out: the section, all complaints, and where something stands in for what is wrong,
so that everything else can be read and checked. Such a section is for checking alone: a scenario with complaints is
never played.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final

from pydantic import ValidationError

from planner.scenario.complaints import Complaint, Subject, complaints, problem
from planner.scenario.doubt import Places
from planner.scenario.errors import Problem
from planner.scenario.outline import fields_of, section_in, walk
from planner.scenario.section import KEYS_ALONE, Section
from planner.scenario.stand_in import block, stand_in
from planner.scenario.tree import Steps, Tree, at
from planner.scenario.wording import close

MOST_ROUNDS: Final = 10
"""Each round mends what the one before found; two are usual."""


@dataclass(slots=True)
class Read:
    """What a part of a tree was read as.

    Attributes
    ----------
    section : Section or None
        None where nothing can stand in for what is wrong.
    tree : Tree
        The whole tree, mended.
    told : list of (Complaint, Problem)
        What is wrong, and how it is told of the file as it is written.
    stand_ins : set of Steps
        Where something stands in for what is wrong or missing.
    """

    section: Section | None
    tree: Tree
    told: list[tuple[Complaint, Problem]] = field(default_factory=list)
    stand_ins: set[Steps] = field(default_factory=set)


def read_section(
    subject: Subject, context: Mapping[str, Any], read_before: Mapping[str, Any] | None = None
) -> Read:
    """Read one section, each key by itself; whether keys agree is asked later.

    What of it was read before need not be read again, unless something wrong is put in its place.
    """
    read, known = Read(None, subject.tree), dict(read_before or {})
    for _ in range(MOST_ROUNDS):
        try:
            value = at(read.tree.value, subject.above)
        except KeyError:
            value = None
        try:
            read.section = subject.model.model_validate(
                {**value, **known} if known else {} if value is None else value,
                context={**context, KEYS_ALONE: True},
            )
            break
        except ValidationError as error:
            found = list(complaints(error, replace(subject, tree=read.tree)))
        wrong = Places([*read.stand_ins, *read.tree.unread, *(one.spoils for one in found if one.spoils)])
        read.told += [(one, problem(one, read.tree)) for one in found if not wrong.meet(one.about)]
        for one in found:
            for path in (one.about, one.meant, one.spoils):
                known.pop(str(path[0]) if path else "", None)
        if read.tree is subject.tree:
            read.tree = _begun(subject, known)
        before = Places(read.stand_ins)
        # names last: what else is wrong is found by the names as they are written
        found.sort(key=lambda one: one.fault == "name")
        mended = [_mend(read, subject, one, before) for one in found]
        if not all(mended):
            break
    return read


def _begun(subject: Subject, known: Collection[str]) -> Tree:
    """A copy of the tree but for what is known to be sound, with a block in it where nothing is written as yet."""
    tree = subject.tree.copy({key for key in subject.tree.value if key not in known})
    try:
        above = at(tree.value, subject.above[:-1]) if subject.above else None
    except KeyError:
        return tree
    if isinstance(above, dict) and above.get(subject.above[-1]) is None:
        above[subject.above[-1]] = {}
    return tree


def _mend(read: Read, subject: Subject, complaint: Complaint, before: Places) -> bool:
    """Take what is wrong out of the tree, and put something valid in; False where that cannot be done."""
    about, depth = complaint.about, len(subject.above)
    if any(about[:end] in read.stand_ins and about[:end] not in before for end in range(len(about) + 1)):
        return True  # gone with what it stood in
    if complaint.fault == "unknown":
        return _without_unknown(read, complaint, subject)
    if complaint.fault == "name":
        return _renamed(read, about)
    path = _spot(subject.model, about[depth:])
    while path and (*subject.above, *path) in before:
        path = path[:-1]  # it did not help: mend what it stands in
        path = _spot(subject.model, path)
    if not path:
        return False
    if _one_for_a_list(read.tree, subject, path):
        return True
    return _put(read, (*subject.above, *path), _instead(subject.model, path, subject.currency))


def _put(read: Read, steps: Steps, value: Any) -> bool:
    try:
        above = at(read.tree.value, steps[:-1])
    except KeyError:
        return False
    if value is _DEFAULT and isinstance(above, dict):
        above.pop(steps[-1], None)
    else:
        above[steps[-1]] = value
    read.stand_ins.add(steps)
    return True


def _one_for_a_list(tree: Tree, subject: Subject, path: Steps) -> bool:
    """Take a block where a list is needed for its only entry, and the only entry of a list for a block."""
    steps = (*subject.above, *path)
    _, found, _ = walk(subject.model, path)
    shape, section = section_in(found.annotation) if found is not None else ("one", None)
    try:
        value, above = at(tree.value, steps), at(tree.value, steps[:-1])
    except KeyError:
        return False
    if section is not None and shape == "list" and isinstance(value, dict):
        above[steps[-1]] = [value]
        tree.move_places(steps, (*steps, 0))
    elif (
        section is not None
        and shape == "one"
        and isinstance(value, list)
        and list(map(type, value)) == [dict]
    ):
        (above[steps[-1]],) = value
        tree.move_places((*steps, 0), steps)
    else:
        return False
    return True


def _without_unknown(read: Read, complaint: Complaint, subject: Subject) -> bool:
    """Take an unknown key for the one that is clearly meant, or take it away."""
    steps, meant = complaint.about, complaint.meant
    above = at(read.tree.value, steps[:-1])
    if meant is not None and _is_slip(above[steps[-1]], steps, meant, subject):
        there = read.tree.keys.get(meant)
        # the key that is meant may stand in the file that this one extends
        if meant[-1] not in above or (there and there.file != read.tree.place(steps, key=True).file):
            _take_for(read.tree, above, steps, meant)
            return True
    above.pop(steps[-1], None)
    if meant is not None and meant[-1] not in above:
        read.stand_ins.add(meant)
    return True


def _take_for(tree: Tree, above: dict[Any, Any], steps: Steps, meant: Steps) -> None:
    """Let a value stand under the key that is meant; a block over a block that stands there, key by key."""
    old, new = above.get(meant[-1]), above[steps[-1]]
    if not isinstance(old, dict) or not isinstance(new, dict):
        tree.rename(steps, str(meant[-1]))
        return
    for key, value in above.pop(steps[-1]).items():
        old[key] = value
        tree.move_places((*steps, key), (*meant, key))


def _is_slip(value: Any, steps: Steps, meant: Steps, subject: Subject) -> bool:
    """True where this value can stand under the key that is meant, and the name is only a slip of the pen away."""
    _, found, _ = walk(subject.model, meant[len(subject.above) :])
    if found is None or not close(str(steps[-1]), [str(meant[-1])]):
        return False
    shape, section = section_in(found.annotation)
    return section is None or isinstance(value, list if shape == "list" else dict)


def _renamed(read: Read, steps: Steps) -> bool:
    """Give an entry whose name is none a name, so that what stands in it can be read."""
    others = at(read.tree.value, steps[:-1])
    name = re.sub(r"[^\w ]", " ", str(steps[-1])).strip()[:40] or "unnamed"
    while name in others:
        name += " again"
    read.tree.rename(steps, name)
    return True


class _Default:
    """Nothing is written: the default stands in."""


_DEFAULT: Final = _Default()


def _spot(model: type[Section], steps: Steps) -> Steps:
    """The part of a path that can be put right by itself: a field's whole value, or an entry of blocks."""
    section: type[Section] | None = model
    path: list[str | int] = []
    waiting = list(steps)
    while waiting and section is not None:
        found = fields_of(section).get(str(waiting[0]))
        if found is None:
            break
        path.append(waiting.pop(0))
        shape, section = section_in(found.annotation)
        if section is not None and shape != "one" and waiting:
            path.append(waiting.pop(0))
    return tuple(path)


def _instead(model: type[Section], path: Steps, currency: str | None) -> Any:
    """What stands in at a path that `_spot` found."""
    section, found, is_entry = model, None, False
    waiting = list(path)
    while waiting:
        found, is_entry = fields_of(section)[str(waiting.pop(0))], False
        shape, inner = section_in(found.annotation)
        if inner is not None:
            section = inner
            if shape != "one" and waiting:
                waiting.pop(0)
                is_entry = True
    if is_entry:
        return block(section, currency)
    return stand_in(found, currency) if found is not None and found.is_required() else _DEFAULT
