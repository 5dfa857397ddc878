"""Inputs that are estimates: how sure each is, and how they hang together.

In: the block ``estimates`` of a file, and the business it stands beside. Out: ``Estimates``, which make of a standard
normal number for each what stands where in one world; or problems at their places. Must not know: chance.

What stands at a path is the estimate, and the middle of what is drawn. Each estimate moves by a number of its own, of
mean 0 and standard deviation 1; correlations are those of these numbers.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import exp
from pathlib import Path
from typing import Any, Final

from planner.scenario.axis import Axis, RangeError, axis_of
from planner.scenario.complaints import Complaint, problem
from planner.scenario.correlation import Pairs, impossible, root_of
from planner.scenario.errors import InputError, Problem
from planner.scenario.header import Estimate
from planner.scenario.inputs import FACTORS, Input, Way
from planner.scenario.ranges import meeting, wrong_at
from planner.scenario.tree import Steps, Tree
from planner.scenario.units import NUMBER
from planner.scenario.variants import Variants
from planner.scenario.wording import listed, nearest, quoted, shown

KEY: Final = "estimates"
FARTHEST: Final = 4.0
"""Draws are cut at so many standard deviations: one in 16,000 lies beyond."""
MOST_SD: Final = 3.0
"""Of a logarithm: more is no estimate."""
_SIGNS: Final[Mapping[Way, str]] = {"times": "*=", "plus": "+=", "tilt": "~="}
_AMOUNT: Final = re.compile(rf"({NUMBER})\s*(.*)")
_PATH: Final = re.compile(r"[^=+]+")


@dataclass(frozen=True, slots=True)
class Drawn:
    """One input that is drawn anew in every world.

    Parameters
    ----------
    name : str
        In the owner's words.
    path : str
        As it is written; a ``*`` stands for any key.
    axis : Axis
        What moves: its numbers are factors or what is added, its ends how far they go.
    sd : float
        Of the factor's logarithm, or of what is added.
    records : int
        How many records told it; 0: a guess.
    method : str
        How, in words.
    """

    name: str
    path: str
    axis: Axis
    sd: float
    records: int = 0
    method: str = ""

    @property
    def way(self) -> Way:
        """``times``, ``plus`` or ``tilt``."""
        return self.axis.levers[0].way

    @property
    def paths(self) -> tuple[str, ...]:
        """Of every value that moves."""
        return tuple(lever.path for lever in self.axis.levers)

    def at(self, z: float) -> float:
        """The factor, or what is added, so many standard deviations from the middle; cut at the ends."""
        moved = exp(self.sd * z) if self.way in FACTORS else self.sd * z
        return min(max(moved, self.axis.low), self.axis.high)

    def inputs(self, z: float) -> tuple[Input, ...]:
        """What is to stand where then."""
        return self.axis.inputs(self.at(z))

    @property
    def spec(self) -> list[Any]:
        """Everything that a run depends on."""
        levers = [[one.path, one.way, one.unit] for one in self.axis.levers]
        return [self.name, levers, repr(self.sd), repr(self.axis.low), repr(self.axis.high), self.axis.whole]


@dataclass(frozen=True, slots=True)
class Estimates:
    """All inputs that are drawn, by name in the order of the alphabet.

    Parameters
    ----------
    drawn : tuple of Drawn
        Each once.
    correlations : tuple of (name, name, number)
        Of pairs that hang together.
    root : tuple of tuple of float
        Lower triangle: what each number is made of, out of those that are independent.
    """

    drawn: tuple[Drawn, ...] = ()
    correlations: tuple[tuple[str, str, float], ...] = ()
    root: tuple[tuple[float, ...], ...] = ()

    def __len__(self) -> int:
        return len(self.drawn)

    @property
    def names(self) -> tuple[str, ...]:
        """Of each."""
        return tuple(one.name for one in self.drawn)

    def correlated(self, normals: Sequence[float]) -> tuple[float, ...]:
        """One number for each out of independent ones, which stand in the order of the names."""
        found = []
        for row in self.root:
            total = 0.0
            for weight, normal in zip(row, normals, strict=False):
                if weight:
                    total += weight * normal
            found.append(total)
        return tuple(found)

    def inputs(self, z: Sequence[float]) -> tuple[Input, ...]:
        """What is to stand where, with this number for each."""
        return tuple(one for each, at in zip(self.drawn, z, strict=True) for one in each.inputs(at))

    @property
    def spec(self) -> list[Any]:
        """Everything that a run depends on."""
        return [[one.spec for one in self.drawn], [[*names, repr(by)] for *names, by in self.correlations]]


NONE: Final = Estimates()
"""Of a scenario in which everything is taken to be known."""


def read_estimates(
    variants: Variants, tree: Tree, written: Mapping[str, Estimate], file: Path
) -> tuple[Estimates, list[Problem]]:
    """Read every estimate, and try how far each can go.

    Parameters
    ----------
    variants : Variants
        The business as the file says it, its options and outlooks, their problems told already.
    tree : Tree
        The file.
    written : mapping of str to Estimate
        The block, its keys read.
    file : Path
        The scenario.

    Returns
    -------
    Estimates
        None of them where there are problems.
    list of Problem
        What is wrong with them; where the business itself is wrong, only what is wrong with their writing.
    """
    found: list[tuple[Steps, str]] = []
    drawn: dict[str, Drawn] = {}
    for name, one in sorted(written.items()):
        try:
            drawn[name] = _drawn(name, one, variants, file)
        except _Wrong as error:
            found.append(((name, error.key), str(error)))
        except InputError as error:
            if variants.as_written is not None:
                found += [((name, "path"), each.message) for each in error.problems]
    pairs, apart = _pairs(written)
    found += apart
    if not apart and (group := impossible(sorted(written), pairs)):
        words = (
            f"the correlations of {listed(map(quoted, group))} cannot all be true at once: what goes along with one "
            "cannot go against another that goes along with it; make them smaller, or leave some out"
        )
        found.append(((next(name for name in group if written[name].correlations), "with"), words))
    axes = {name: one.axis for name, one in drawn.items()}
    if variants.as_written is not None:
        met = dict(meeting(axes))
        found += [((name, "path"), words) for name, words in met.items()]
        if not found:
            found += _too_far(drawn, written, variants, file)
    problems = [problem(Complaint((KEY, *steps), words), tree) for steps, words in found]
    if problems or variants.as_written is None or not drawn:
        return NONE, problems
    correlations = tuple(
        (*sorted(pair), by) for pair, by in sorted(pairs.items(), key=lambda one: sorted(one[0]))
    )
    return Estimates(tuple(drawn.values()), correlations, root_of(sorted(drawn), pairs)), []  # type: ignore[arg-type]


class _Wrong(ValueError):  # noqa: N818  (says where it is)
    """What is wrong with a key of an estimate."""

    def __init__(self, key: str, words: str) -> None:
        super().__init__(words)
        self.key = key


def _drawn(name: str, one: Estimate, variants: Variants, file: Path) -> Drawn:
    """One estimate; its ends not tried as yet."""
    sd, unit = _sd(one)
    if not _PATH.fullmatch(one.path):
        raise _Wrong(
            "path",
            f"{quoted(one.path)} is not a path; write keys with dots between them, such as owner.hour_price",
        )
    ends = "0.5..2" if one.way in FACTORS else f"-1 {unit}..1 {unit}" if unit else "-1..1"
    try:
        axis = axis_of(
            f"{one.path}{_SIGNS[one.way]}{ends}", variants.as_written or {}, variants.currency or "", file
        )
    except RangeError as error:
        raise _Wrong("path", str(error)) from error
    if any(lever.path.startswith("calendar.") for lever in axis.levers):
        raise _Wrong(
            "path", "the days that are played are the same in every world; an estimate is of anything else"
        )
    far = FARTHEST * sd
    low, high = (exp(-far), exp(far)) if one.way in FACTORS else (-far, far)
    if one.within is not None:
        low, high = _within(one, unit)
    return Drawn(name, one.path, replace(axis, label=name, low=low, high=high), sd, one.records, one.method)


def _sd(one: Estimate) -> tuple[float, str]:
    """Standard deviation and its unit."""
    number, unit = _amount("sd", one.sd)
    if one.way in FACTORS and unit:
        words = f"of way {one.way} it is that of a logarithm, a number such as 0.1 for about a tenth"
        raise _Wrong("sd", f"{quoted(one.sd)} has a unit; {words}")
    if not number > 0.0:
        raise _Wrong(
            "sd",
            f"{shown(one.sd)} is not possible; it must be above 0, and what is known for sure is no estimate",
        )
    if one.way in FACTORS and number > MOST_SD:
        raise _Wrong(
            "sd",
            f"{shown(one.sd)} is not possible; it must be at most {MOST_SD:g}: 0.1 is about a tenth, 0.7 about double",
        )
    return number, unit


def _within(one: Estimate, unit: str) -> tuple[float, float]:
    """The ends that are written."""
    ends = str(one.within).split("..")
    example = (
        "0.8..1.25"
        if one.way in FACTORS
        else f"-2{f' {unit}' if unit else ''}..2{f' {unit}' if unit else ''}"
    )
    if len(ends) != 2:
        raise _Wrong("within", f"{quoted(one.within)} is not understood; write two ends, such as {example}")
    (low, of_low), (high, of_high) = (_amount("within", end, example) for end in ends)
    if {of_low, of_high} - {"", unit} or (unit and not of_high):
        raise _Wrong("within", f"{quoted(one.within)} is in another unit than sd; write it like {example}")
    middle = 1.0 if one.way in FACTORS else 0.0
    if not low < middle < high or (one.way in FACTORS and low <= 0.0):
        words = (
            "factors, from above 0 and below 1 to above 1"
            if one.way in FACTORS
            else "what is added, from below 0 to above 0"
        )
        raise _Wrong("within", f"{quoted(one.within)} is not possible; it holds {words}, such as {example}")
    return low, high


def _amount(key: str, value: Any, example: str = "0.1, or 2 kg where the way is plus") -> tuple[float, str]:
    found = _AMOUNT.fullmatch(str(value).strip()) if not isinstance(value, bool) else None
    if found is None or re.match(r"[eE][+-]?\d", found[2]):
        raise _Wrong(key, f"{quoted(value)} is not understood; write it like {example}")
    return float(found[1]), found[2].strip()


def _pairs(written: Mapping[str, Estimate]) -> tuple[Pairs, list[tuple[Steps, str]]]:
    """Every correlation once, and what is wrong with how they are written."""
    pairs: Pairs = {}
    found: list[tuple[Steps, str]] = []
    for name, one in written.items():
        for other, by in one.correlations.items():
            at, pair = (name, "with", other), frozenset((name, other))
            if other == name:
                found.append((at, "an estimate goes along with itself anyway; leave this out"))
            elif other not in written:
                near = nearest(other, [each for each in written if each != name])
                guess = f"; did you mean {near}?" if near else ""
                found.append((at, f"there is no estimate {quoted(other)}{guess}"))
            elif pair in pairs:
                found.append((at, f"it is written under {quoted(other)} already; write each pair once"))
            else:
                pairs[pair] = float(by)
    return pairs, found


def _too_far(
    drawn: Mapping[str, Drawn], written: Mapping[str, Estimate], variants: Variants, file: Path
) -> Iterator[tuple[Steps, str]]:
    """Estimates whose ends make no possible business, with an option or an outlook or without one."""
    told = set[str]()
    for end in ("low", "high") if drawn else ():
        those = {name: _at_end(one, end) for name, one in drawn.items()}
        if not wrong_at([one for each in those.values() for one in each], variants, file, variants.pairs):
            continue
        for name, inputs in those.items():
            if name not in told and (words := wrong_at(inputs, variants, file, variants.pairs)):
                told.add(name)
                key = "sd" if written[name].within is None else "within"
                yield (name, key), _cut(drawn[name], end, words[0])


def _at_end(one: Drawn, end: str) -> tuple[Input, ...]:
    return one.axis.inputs(one.axis.low if end == "low" else one.axis.high)


def _cut(one: Drawn, end: str, words: str) -> str:
    """What to say of an estimate that may go too far."""
    at = one.axis.low if end == "low" else one.axis.high
    far = (
        f"{at:.3g} times what stands there"
        if one.way in FACTORS
        else f"{at:+.3g}{one.axis.unit and ' '}{one.axis.unit}"
    )
    ends = "low" if end == "low" else "high"
    return f"it may be drawn as {ends} as {far}, and then: {words}; give it a within that keeps it possible"
