"""Where two options bring the same along an input, with the worlds held fixed.

In: paired differences at some numbers of the input, and a way to get them at any other. Out: ``Crossing`` values, each
with its interval. Must not know: options, scenarios, how a difference comes about.

In the same worlds the mean difference is a smooth function of the input. A change of sign between two points of a grid
encloses a root, which is then found. Its interval holds every number at which the paired difference cannot be told from
zero: the interval of the mean difference (Student's t), seen along the input. Where the difference is a straight line
with the same deviation everywhere, that is ``t S / (sqrt(n) |slope|)`` to either side.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import floor, isnan
from typing import Final

import numpy as np

from planner.study.intervals import FloatArray, intervals

FINE: Final = 0.1
"""A root is known finely enough within this share of its interval's half-width; that is the worlds' own doubt."""

FINEST: Final = 1e-6
"""And within this share of the range where the worlds have no doubt."""

SAME: Final = 1e-9
"""A difference of no more than this share of the money is rounding."""

Differences = Callable[[float], FloatArray]
"""Paired difference in each world at a number of the input; nan where there is none."""


@dataclass(frozen=True, slots=True)
class Crossing:
    """One number of the input at which two options bring the same.

    Parameters
    ----------
    at : float
        The number.
    low, high : float
        Where it lies, as sure as was asked for.
    open_low, open_high : bool
        Does it reach beyond what was looked at? Then ``low`` (``high``) is the end of that.
    rises : bool
        Is the first option better above it, and worse below?
    n : int
        Worlds that say so.
    """

    at: float
    low: float
    high: float
    open_low: bool
    open_high: bool
    rises: bool
    n: int

    @property
    def told(self) -> bool:
        """Do the worlds tell where it is, at least to one side?"""
        return not (self.open_low and self.open_high)


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """Mean difference and its interval at numbers of the input, in their order; shape (points,)."""

    x: FloatArray
    mean: FloatArray
    low: FloatArray
    high: FloatArray

    def at(self, x: float) -> float:
        """Half of the width between the interval's ends [unit of the difference]."""
        return float(np.interp(x, self.x, self.high - self.low)) / 2.0


def band(found: Mapping[float, FloatArray], confidence: float) -> Band:
    """Mean differences with their intervals; numbers with a world missing are left out."""
    whole = sorted(x for x, those in found.items() if those.size and not np.isnan(those).any())
    if not whole:
        nothing = np.empty(0)
        return Band(nothing, nothing, nothing, nothing)
    each = intervals(np.stack([found[x] for x in whole]), confidence)
    flat = np.isnan(each.low)  # one world has no interval
    return Band(
        np.array(whole),
        each.mean,
        np.where(flat, -np.inf, each.low),
        np.where(flat, np.inf, each.high),
    )


def crossings(
    grid: Sequence[float],
    differences: Differences,
    confidence: float,
    whole: bool = False,
) -> tuple[Crossing, ...]:
    """Every change of sign of the mean difference, from point to point of a grid.

    Parameters
    ----------
    grid : sequence of float
        Numbers of the input, in their order.
    differences : callable
        Asked at each of them, and then between two where the sign changes.
    confidence : float
        Of each interval by itself.
    whole : bool
        Are there only whole numbers? Then a crossing lies between two that follow on each other.
    """
    known = {x: differences(x) for x in grid}
    start = band(known, confidence)
    roots = []
    for left, right in _changes(grid, known):
        half = start.at((left + right) / 2.0)
        slope = abs(_mean(known[right]) - _mean(known[left])) / (right - left)
        tolerance = max(FINE * half / slope if half < np.inf else 0.0, FINEST * (grid[-1] - grid[0]))
        rises = _mean(known[right]) > _mean(known[left])
        roots.append((_root(known, differences, left, right, tolerance, whole), rises))
    found = band(known, confidence)
    number = known[grid[0]].size
    return tuple(_with_interval(root, rises, found, number) for root, rises in roots)


def _changes(grid: Sequence[float], known: Mapping[float, FloatArray]) -> list[tuple[float, float]]:
    """Neighbours on the grid between which the mean changes its sign; a mean of zero belongs to what follows it."""
    found = []
    for left, right in pairwise(grid):
        before, after = _mean(known[left]), _mean(known[right])
        if isnan(before) or isnan(after) or before == after:
            continue
        if before < 0.0 <= after or before > 0.0 >= after:
            found.append((left, right))
    return found


def _mean(those: FloatArray) -> float:
    """The mean; nan with a world missing."""
    return float(those.mean()) if those.size else float("nan")


def _root(
    known: dict[float, FloatArray],
    differences: Differences,
    left: float,
    right: float,
    tolerance: float,
    whole: bool,
) -> float:
    """The number at which the mean difference is zero; asks for what it needs, and keeps it in ``known``."""

    def mean(x: float) -> float:
        if x not in known:
            known[x] = differences(x)
        return _mean(known[x])

    if whole:
        while right - left > 1.0:
            middle = float(floor((left + right) / 2.0))
            if isnan(here := mean(middle)):
                break
            if (here < 0.0) == (mean(left) < 0.0):
                left = middle
            else:
                right = middle
        return _between(left, mean(left), right, mean(right))

    from scipy.optimize import brentq

    def sound(x: float) -> float:
        if isnan(found := mean(x)):
            raise _NoValueError
        return found

    try:
        root = float(brentq(sound, left, right, xtol=tolerance))
    except _NoValueError:
        pass
    else:
        left, right = _enclosing(known, root, left, right)
    return _between(left, mean(left), right, mean(right))


class _NoValueError(Exception):
    """There is no difference at some number between two that have one."""


def _enclosing(
    known: Mapping[float, FloatArray], root: float, left: float, right: float
) -> tuple[float, float]:
    """The nearest numbers to either side of a root between which the sign changes."""
    inside = sorted(x for x, those in known.items() if left <= x <= right and not np.isnan(those).any())
    pairs = [
        (one, then)
        for one, then in pairwise(inside)
        if (_mean(known[one]) <= 0.0) != (_mean(known[then]) <= 0.0) or _mean(known[one]) == 0.0
    ]
    return min(pairs, key=lambda pair: max(pair[0] - root, root - pair[1], 0.0), default=(left, right))


def _between(left: float, before: float, right: float, after: float) -> float:
    """Where a straight line through two values is zero."""
    return left if before == after else left + (right - left) * before / (before - after)


def _with_interval(root: float, rises: bool, found: Band, number: int) -> Crossing:
    """A root with all numbers round it at which the difference cannot be told from zero."""
    low, open_low = _leave(root, found, -1)
    high, open_high = _leave(root, found, +1)
    return Crossing(root, low, high, open_low, open_high, rises, number)


def _leave(root: float, found: Band, way: int) -> tuple[float, bool]:
    """Where the interval of the mean leaves zero, going one way from a root; and whether it never does."""
    x, low, high = found.x[::way], found.low[::way], found.high[::way]
    before = root
    ends = tuple(float(np.interp(root, found.x, one)) for one in (found.low, found.high))
    for here, one, other in zip(x.tolist(), low.tolist(), high.tolist(), strict=True):
        if (here - root) * way <= 0.0:
            continue
        for last, now in ((ends[0], one), (-ends[1], -other)):
            if now > 0.0:
                return (_between(before, last, here, now) if last <= 0.0 else before), False
        before, ends = here, (one, other)
    return before, True


def without_rounding(differences: FloatArray, money: FloatArray) -> FloatArray:
    """Differences, exactly zero where nothing but rounding is left of them beside the money they are of."""
    size = float(np.nanmax(np.abs(money), initial=0.0))
    return np.where(np.abs(differences) <= SAME * max(size, 1.0), 0.0, differences)
