"""Ranges that the user gives to inputs: what might as well be otherwise.

In: the block ``ranges`` of a file, and the business it stands beside. Out: an `Axis` by name, or problems at the place
of the range that causes them. Must not know: what is played along them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from planner.scenario.axis import Axis, RangeError, axis_of
from planner.scenario.complaints import Complaint, problem
from planner.scenario.errors import InputError, Problem
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.scenario.inputs import Input
from planner.scenario.tree import Tree
from planner.scenario.variants import Pair, Variants
from planner.scenario.wording import quoted

KEY: Final = "ranges"


def read_ranges(variants: Variants, tree: Tree, file: Path) -> tuple[dict[str, Axis], list[Problem]]:
    """Read every range.

    Parameters
    ----------
    variants : Variants
        The business as the file says it, its problems told already.
    tree : Tree
        The file.
    file : Path
        The scenario.

    Returns
    -------
    dict of str to Axis
        Those that can be read.
    list of Problem
        What is wrong with the others. Where the business itself is wrong, only what is wrong with their writing: paths
        and ends are judged when it is right.
    """
    axes, found = dict[str, Axis](), list[Problem]()
    written = variants.as_written
    texts = tree.value.get(KEY)
    for name, text in texts.items() if isinstance(texts, dict) else ():
        if not isinstance(text, str):  # the header says so
            continue
        try:
            axis = axis_of(text, written or {}, variants.currency or "", file)
        except RangeError as error:
            found.append(_problem(name, str(error), tree))
        except InputError as error:
            if written is not None:
                found += [_problem(name, one.message, tree) for one in error.problems]
        else:
            axes[name] = replace(axis, label=name)
    if written is None:
        return axes, found
    met = dict(meeting(axes))
    found += [_problem(name, words, tree) for name, words in met.items()]
    apart = {name: axis for name, axis in axes.items() if name not in met}
    return axes, [*found, *_impossible(apart, variants, tree, file)]


def _problem(name: str, words: str, tree: Tree) -> Problem:
    return problem(Complaint((KEY, name), words), tree)


def meeting(axes: Mapping[str, Axis]) -> Iterator[tuple[str, str]]:
    """Those that move what another one moves, and what to say of each."""
    moved: dict[str, str] = {}
    for name, axis in axes.items():
        for lever in axis.levers:
            met = next((path for path in moved if _meet(path, lever.path)), None)
            if met is not None:
                yield (
                    name,
                    f"{quoted(lever.path)} is moved by {quoted(moved[met])} too; leave one of the two out",
                )
                break
        moved |= {lever.path: name for lever in axis.levers}


def _meet(one: str, other: str) -> bool:
    return one == other or one.startswith(f"{other}.") or other.startswith(f"{one}.")


def _impossible(axes: Mapping[str, Axis], variants: Variants, tree: Tree, file: Path) -> Iterator[Problem]:
    """Ends that make no possible business; all lower ends at once first, since that is nearly always well."""
    told = set[str]()
    for end in ("low", "high"):
        if _wrong(list(axes.values()), end, variants, file):
            for name, axis in axes.items():
                for words in [] if name in told else _wrong([axis], end, variants, file)[:1]:
                    told.add(name)
                    yield _problem(name, f"its {'lower' if end == 'low' else 'upper'} end: {words}", tree)


def _wrong(axes: Sequence[Axis], end: str, variants: Variants, file: Path) -> list[str]:
    return wrong_at([one for axis in axes for one in axis.inputs(getattr(axis, end))], variants, file)


def wrong_at(
    inputs: Sequence[Input],
    variants: Variants,
    file: Path,
    pairs: Iterable[Pair] = ((AS_TODAY, EXPECTED),),
) -> list[str]:
    """What is wrong with a business in which these values are others, with the first option or outlook that is."""
    try:
        moved = variants.at(inputs, file)
        for pair in pairs:
            moved.business(*pair)
    except InputError as error:
        return [": ".join(filter(None, (one.path, one.message))) for one in error.problems]
    return []
