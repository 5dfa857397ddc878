"""Every option along one input: what it brings, which is best where, and where two bring the same.

In: worlds held fixed, an axis, options, whom to compare them with. Out: ``Along``. Must not know: words, files.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import nan
from typing import Final, Literal

import numpy as np

from planner.scenario.axis import Axis
from planner.scenario.header import AS_TODAY
from planner.study.break_even import Crossing, crossings
from planner.study.held import Held, State
from planner.study.intervals import FloatArray, Interval, interval, lopsided

BETWEEN: Final = 32
"""Steps from one point to the next at which straight lines between them are looked at for who is best."""

Feels = Literal["", "sets it", "not touched"]
Ahead = Literal["crosses", "more", "less", "same", "nowhere"]


@dataclass(frozen=True, slots=True)
class Course:
    """One option along the input. Money in the scenario's currency, after the owner's hours.

    Parameters
    ----------
    option : str
        Its name.
    levels, gains : tuple of Interval
        What it brings at each point, and its paired difference to the base; nan where that is nobody's figure. Each
        interval holds by itself.
    unfelt : Feels
        ``sets it``: it brings the same all along, since it (or the outlook) puts a value of its own in that place;
        ``not touched``: it brings the same all along for another reason.
    """

    option: str
    levels: tuple[Interval, ...]
    gains: tuple[Interval, ...]
    unfelt: Feels = ""


@dataclass(frozen=True, slots=True)
class Best:
    """The allowed option with the highest mean at one point; None where no option has one.

    ``sure``: it surely brings more than each other, but for those that never differ from it.
    """

    x: float
    option: str | None
    sure: bool
    gain: Interval
    """Paired difference to the base."""


@dataclass(frozen=True, slots=True)
class Change:
    """Where the best option gives way to another, going up along the input."""

    first: str
    then: str
    crossing: Crossing


@dataclass(frozen=True, slots=True)
class BreakEven:
    """Where an option brings as much as another.

    Parameters
    ----------
    option, against : str
        The two; ``against`` is empty where it is held against nothing at all.
    ahead : Ahead
        ``crosses``: there are crossings; ``more`` or ``less``: the option brings more (less) all along; ``same``: the
        two never differ; ``nowhere``: there is no point at which both have a figure.
    sure : bool
        Without crossings: is it surely so at every point?
    low, high : float
        Ends of where both have a figure.
    crossings : tuple of Crossing
        From the lowest on.
    unsure : tuple of float
        Points at which the two cannot be told apart.
    lopsided : bool
        Do a few worlds lie so far from the others that what is said here may err more often than it says? Looked at
        to either side of each crossing; at every point where there is none.
    """

    option: str
    against: str
    ahead: Ahead
    sure: bool
    low: float
    high: float
    crossings: tuple[Crossing, ...] = ()
    unsure: tuple[float, ...] = ()
    lopsided: bool = False


@dataclass(frozen=True, slots=True)
class Gap:
    """Points at which an option has no figure, and why (at the first of them; further on it is the same limit)."""

    option: str
    state: State
    why: str
    at: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Along:
    """One input along its range.

    Parameters
    ----------
    axis : Axis
        What moves.
    points : tuple of float
        Where every option was played.
    worlds : int
        How many, the same at every point.
    courses : tuple of Course
        Options in the order of the scenario.
    best : tuple of Best
        At each point.
    changes : tuple of Change
        From the lowest on.
    break_evens : tuple of BreakEven
        Of the pairs that were asked for.
    gaps : tuple of Gap
        Where options have no figure.
    """

    axis: Axis
    points: tuple[float, ...]
    worlds: int
    courses: tuple[Course, ...]
    best: tuple[Best, ...]
    changes: tuple[Change, ...]
    break_evens: tuple[BreakEven, ...]
    gaps: tuple[Gap, ...]

    def break_even(self, option: str, against: str) -> BreakEven | None:
        """The one of a pair, if it was asked for."""
        those = (one for one in self.break_evens if (one.option, one.against) == (option, against))
        return next(those, None)

    def course(self, option: str) -> Course:
        """One option along the input."""
        return next(one for one in self.courses if one.option == option)


def along(
    held: Held, axis: Axis, points: Sequence[float], options: Sequence[str], against: Iterable[str]
) -> Along:
    """Play options at every point, compare them, and find where they change places.

    Parameters
    ----------
    held : Held
        Scenario and worlds.
    axis : Axis
        What moves.
    points : sequence of float
        Where to look.
    options : sequence of str
        Names, the base among them.
    against : iterable of str
        Options (or ``NOTHING``) that each option's break-even is found against.
    """
    grid = [(tuple(options), axis.inputs(x)) for x in points]
    held.play(grid)
    money = {name: np.stack([held.money(name, axis.inputs(x)) for x in points]) for name in options}
    courses = tuple(_course(held, axis, points, name, money) for name in options)
    standing = {name: _allowed(held, axis, points, name, money[name]) for name in options}
    best = tuple(
        best_of(x, {name: standing[name][p] for name in options}, money[AS_TODAY][p], held.confidence)
        for p, x in enumerate(points)
    )
    pairs = [(name, other) for other in dict.fromkeys(against) for name in options if name != other]
    return Along(
        axis,
        tuple(points),
        held.number,
        courses,
        best,
        tuple(_changes(held, axis, points, standing, best)),
        tuple(break_even(held, axis, points, name, other) for name, other in pairs),
        tuple(_gaps(held, axis, points, options)),
    )


def break_even(held: Held, axis: Axis, points: Sequence[float], option: str, against: str) -> BreakEven:
    """Find where two options bring the same; only these two are played between the points."""
    held.play([((option, against), axis.inputs(x)) for x in points])
    found = [held.difference(option, against, axis.inputs(x)) for x in points]
    there = [(x, one) for x, one in zip(points, found, strict=True) if not np.isnan(one).any()]
    if not there:
        return BreakEven(option, against, "nowhere", False, nan, nan)
    low, high = there[0][0], there[-1][0]
    each = [interval(one, held.confidence) for _, one in there]
    unsure = tuple(
        x for (x, _), one in zip(there, each, strict=True) if not (one.low > 0.0 or one.high < 0.0)
    )
    skewed = [x for x, one in there if lopsided(one)]
    roots = _crossings(held, axis, points, option, against)
    if roots:
        known = [x for x, _ in there]
        beside = any(x in _beside(root.at, known) for root in roots for x in skewed)
        return BreakEven(option, against, "crosses", True, low, high, roots, unsure, beside)
    if all(one.low == one.high == 0.0 for one in each):
        return BreakEven(option, against, "same", True, low, high)
    more = sum(one.mean for one in each) > 0.0
    sure = all((one.low > 0.0) if more else (one.high < 0.0) for one in each)
    return BreakEven(option, against, "more" if more else "less", sure, low, high, (), unsure, bool(skewed))


def _beside(at: float, points: Sequence[float]) -> tuple[float, ...]:
    """The nearest points to either side of a number."""
    return (*[x for x in points if x <= at][-1:], *[x for x in points if x >= at][:1])


def best_of(x: float, money: dict[str, FloatArray], base: FloatArray, confidence: float) -> Best:
    """The option with the highest mean, of those that have a figure; the first of those that never differ."""
    known = {name: those for name, those in money.items() if not np.isnan(those).any()}
    if not known:
        return Best(x, None, False, Interval(nan, nan, nan, 0))
    means = {name: float(those.mean()) for name, those in known.items()}
    top = max(means.values())
    name = next(one for one, mean in means.items() if mean >= top - 1e-9 * max(1.0, abs(top)))
    others = [known[name] - those for one, those in known.items() if one != name]
    real = [one for one in others if np.abs(one).max() > 1e-9 * max(1.0, abs(top))]
    sure = all(interval(one, confidence, len(real)).low > 0.0 for one in real)
    return Best(x, name, sure, interval(known[name] - base, confidence))


def _crossings(
    held: Held, axis: Axis, points: Sequence[float], option: str, against: str
) -> tuple[Crossing, ...]:
    def difference(x: float) -> FloatArray:
        inputs = axis.inputs(x)
        held.play([((option, against), inputs)])
        return held.difference(option, against, inputs)

    return crossings(points, difference, held.confidence, axis.whole)


def _course(
    held: Held, axis: Axis, points: Sequence[float], name: str, money: dict[str, FloatArray]
) -> Course:
    levels = tuple(interval(one, held.confidence) for one in money[name])
    gains = tuple(interval(held.difference(name, AS_TODAY, axis.inputs(x)), held.confidence) for x in points)
    whole = money[name][~np.isnan(money[name]).any(axis=1)]
    size = float(np.abs(whole).max(initial=1.0))
    still = len(whole) > 1 and bool((np.ptp(whole, axis=0) <= 1e-9 * size).all())
    return Course(name, levels, gains, _why(held, axis, name) if still else "")


def _why(held: Held, axis: Axis, name: str) -> Feels:
    """Why an option does not feel the input."""
    for path in held.sets(name):
        for lever in axis.levers:
            if lever.path == path or lever.path.startswith(f"{path}.") or path.startswith(f"{lever.path}."):
                return "sets it"
    return "not touched"


def _allowed(held: Held, axis: Axis, points: Sequence[float], name: str, money: FloatArray) -> FloatArray:
    """Money in each world at each point; nan where the option may not be chosen."""
    played = [held.here(name, axis.inputs(x)).state == "played" for x in points]
    return np.where(np.array(played)[:, None], money, nan)


def _changes(
    held: Held,
    axis: Axis,
    points: Sequence[float],
    money: dict[str, FloatArray],
    best: Sequence[Best],
) -> Iterator[Change]:
    """Where the best gives way. Straight lines from point to point say who may be best between them."""
    for p, (left, right) in enumerate(pairwise(best)):
        if left.option is None or right.option is None or left.option == right.option:
            continue
        both = [name for name, those in money.items() if not np.isnan(those[p : p + 2]).any()]
        if left.option not in both or right.option not in both:
            continue  # one of them is not there at the other point: a gap, which is told
        means = np.array([money[name][p : p + 2].mean(axis=1) for name in both])
        shares = np.linspace(0.0, 1.0, BETWEEN + 1)
        lines = means[:, :1] * (1.0 - shares) + means[:, 1:] * shares
        lines[both.index(left.option), 0] = lines[both.index(right.option), -1] = np.inf
        order = [both[row] for row in dict.fromkeys(lines.argmax(axis=0).tolist())]
        for first, then in pairwise(order):
            roots = _crossings(held, axis, points, first, then)
            yield from (Change(first, then, root) for root in roots if left.x <= root.at <= right.x)


def _gaps(held: Held, axis: Axis, points: Sequence[float], options: Sequence[str]) -> Iterator[Gap]:
    for name in options:
        found: dict[tuple[State, str], Gap] = {}
        for x in points:
            here = held.here(name, axis.inputs(x))
            if here.state != "played":
                key = here.state, here.why.partition(":")[0]
                known = found.get(key, Gap(name, here.state, here.why, ()))
                found[key] = replace(known, at=(*known.at, x))
        yield from found.values()
