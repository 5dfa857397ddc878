"""Amounts in another currency than the one that a scenario names, told once instead of at each amount.

In: a file with those it extends. Out: its tree, in which such amounts are read as if they were in the scenario's
currency, so that everything else can be checked; and what is wrong. Knows no fields and no exchange rates.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any, Final, NamedTuple

from planner.scenario.currencies import CODES
from planner.scenario.errors import Problem
from planner.scenario.extends import Whole
from planner.scenario.tree import Steps, Tree, at
from planner.scenario.units import NUMBER

MANY: Final = 3
"""From so many amounts on, a file counts in the currency that most of them are in (assumed)."""
_AMOUNT: Final = re.compile(rf"(\s*{NUMBER}\s*)([A-Z]{{3}})(\s*(?:/|per\b).*)?")


class _Amount(NamedTuple):
    """One row an amount of money anywhere in a file."""

    steps: Steps
    currency: str
    line: int


def in_one_currency(whole: Whole) -> tuple[Tree, list[Problem]]:
    """Find the files whose amounts are in another currency than the scenario, and take these for its own."""
    code = whole.tree.value.get("currency")
    if not isinstance(code, str) or code not in CODES:
        return whole.tree, []
    place = whole.tree.place(("currency",))
    files = [tree.place(()).file for tree in whole.trees]
    amounts: dict[str, list[_Amount]] = {file: [] for file in files}
    for steps, currency in _amounts(whole.tree.value):
        at_amount = whole.tree.place(steps)
        amounts[at_amount.file].append(_Amount(steps, currency, at_amount.line))
    own = files.index(place.file)
    told: dict[str, list[str]] = {}
    strange: list[_Amount] = []
    for number in reversed(range(own, len(files))):
        found = amounts[files[number]]
        other = _counts_in(found, None if number == own else _currency_of(whole.trees[number:]))
        those = [one for one in found if one.currency == other]
        # a few in the file itself are told where they stand, unless they are in the currency of a file it extends
        if (
            not those
            or other is None
            or other == code
            or (number == own and len(those) < MANY and other not in told)
        ):
            continue
        where = "in this file" if number == own else f"taken over from {files[number]}"
        amount = "1 amount" if len(those) == 1 else f"{len(those)} amounts"
        first = min(one.line for one in those)
        told.setdefault(other, []).append(f"{amount} {where} (the first in line {first})")
        strange += those
    words = (
        "the scenario is to count in {code}, but {those} {are} in {other}; write {other} here, or write {them} anew in "
        "{code} (no exchange rates are known here)"
    )
    problems = []
    for other, parts in told.items():
        one = len(parts) == 1 and parts[0].startswith("1 ")
        are, them = ("is", "it") if one else ("are", "all of them")
        text = words.format(code=code, those=" and ".join(parts), are=are, other=other, them=them)
        problems.append(Problem(place.file, place.line, place.column, "currency", text))
    return _counted_in(whole.tree, strange, code), problems


def _counts_in(found: list[_Amount], currency: str | None) -> str | None:
    """The currency that a file names, or that most of its amounts are in."""
    if currency is not None or not found:
        return currency
    ((most, times),) = Counter(one.currency for one in found).most_common(1)
    return most if 2 * times > len(found) else None


def _currency_of(trees: Sequence[Tree]) -> str | None:
    """The currency that a file names, or the file that it extends."""
    named = (tree.value.get("currency") for tree in trees)
    return next((code for code in named if isinstance(code, str) and code in CODES), None)


def _amounts(value: Any, steps: Steps = ()) -> Iterator[tuple[Steps, str]]:
    """Path and currency of every amount in a tree."""
    if isinstance(value, dict):
        for key, part in value.items():
            yield from _amounts(part, (*steps, key))
    elif isinstance(value, list):
        for position, part in enumerate(value):
            yield from _amounts(part, (*steps, position))
    elif isinstance(value, str) and (found := _AMOUNT.fullmatch(value)) and found[2] in CODES:
        yield steps, found[2]


def _counted_in(tree: Tree, strange: list[_Amount], code: str) -> Tree:
    """The same tree with these amounts in another currency."""
    tree = tree.copy() if strange else tree
    for one in strange:
        block, key = at(tree.value, one.steps[:-1]), one.steps[-1]
        block[key] = _AMOUNT.sub(rf"\g<1>{code}\g<3>", block[key])
    return tree
