"""Where something happens among many points: one box of few limits that holds most of it and little else.

In: points in the unit cube, and at which of them it happens. Out: ``Box``, or nothing where chance draws boxes as good.
Must not know: what happens there.

PRIM (Friedman and Fisher 1999, Statistics and Computing 9, 123; for scenarios Bryant and Lempert 2010), as
ema_workbench has it: it peels thin slices off the cube and offers every box on its way. Which of them is told is
settled here.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from inspect import signature
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from planner.study.intervals import FloatArray

BoolArray = NDArray[np.bool_]

PEELED_SHARE: Final = 0.1
"""Share of the points inside that a slice takes off (0.05 to 0.1 is usual)."""
SMALLEST_SHARE: Final = 0.05
"""Share of all points that a box holds at least."""
MOST_SIDES: Final = 3
"""Inputs that a box limits at most: more nobody keeps in mind (assumed)."""
WORTH: Final = 0.03
"""A limit that makes a box better by less than this is left out (assumed)."""
SHUFFLES: Final = 19
"""A box is told if it is better than those of so many shuffled sets: by chance that comes about once in twenty."""


@dataclass(frozen=True, slots=True)
class Side:
    """The limits of one input; None where its range ends."""

    input: int
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Box:
    """A box.

    Parameters
    ----------
    sides : tuple of Side
        Of the inputs that it limits.
    points, happened : int
        How many points it holds, and at how many of them it happens.
    """

    sides: tuple[Side, ...]
    points: int
    happened: int

    def holds(self, points: FloatArray) -> BoolArray:
        """Which points lie in it; shape (points,)."""
        return _inside(points, self.sides)


def box(points: FloatArray, happens: BoolArray, seed: int) -> Box | None:
    """The best box.

    Parameters
    ----------
    points : array, shape (points, inputs)
    happens : array, shape (points,)
    seed : int
        Of the shuffling.
    """
    found = _best(points, happens)
    if found is None:
        return None
    rng = np.random.default_rng(seed)
    goal = _score(found, int(happens.sum()))
    for _ in range(SHUFFLES):
        chance = _best(points, rng.permutation(happens))
        if chance is not None and _score(chance, int(happens.sum())) >= goal:
            return None
    return found


def _score(found: Box, happened: int) -> float:
    """Harmonic mean of the share inside at which it happens, and of the share of all that is inside."""
    return 2.0 * found.happened / (found.points + happened)


def _best(points: FloatArray, happens: BoolArray) -> Box | None:
    total = int(happens.sum())
    if total in (0, happens.size):
        return None
    offered = [_box(points, happens, sides) for sides in _peeled(points, happens) if len(sides) <= MOST_SIDES]
    best = max(offered, key=lambda one: _score(one, total))
    while len(best.sides) > 1:
        fewer = [
            _box(points, happens, tuple(side for side in best.sides if side is not left_out))
            for left_out in best.sides
        ]
        simpler = max(fewer, key=lambda one: _score(one, total))
        if _score(simpler, total) < _score(best, total) - WORTH:
            break
        best = simpler
    return best if best.sides else None


def _box(points: FloatArray, happens: BoolArray, sides: tuple[Side, ...]) -> Box:
    inside = _inside(points, sides)
    return Box(sides, int(inside.sum()), int((happens & inside).sum()))


def _inside(points: FloatArray, sides: tuple[Side, ...]) -> BoolArray:
    inside = np.ones(len(points), dtype=np.bool_)
    for side in sides:
        column = points[:, side.input]
        inside &= column >= (-np.inf if side.low is None else side.low)
        inside &= column <= (np.inf if side.high is None else side.high)
    return inside


def _peeled(points: FloatArray, happens: BoolArray) -> Iterator[tuple[Side, ...]]:
    """Sides of every box on the way of peeling and pasting; the whole cube first."""
    import pandas as pd

    with _quiet():
        from ema_workbench.analysis import prim

        # releases for Python 3.11 ask for a threshold; later ones have none
        keywords = {"threshold": 0.0} if "threshold" in signature(prim.Prim.__init__).parameters else {}
        frame = pd.DataFrame(points, columns=[str(number) for number in range(points.shape[1])])
        made = prim.Prim(frame, happens, peel_alpha=PEELED_SHARE, mass_min=SMALLEST_SHARE, **keywords)
        trajectory = made.find_box().box_lims
    whole = _ends(trajectory[0])
    for limits in trajectory:
        yield tuple(
            Side(number, None if low <= least else low, None if high >= most else high)
            for number, ((low, high), (least, most)) in enumerate(zip(_ends(limits), whole, strict=True))
            if low > least or high < most
        )


def _ends(limits: Any) -> list[tuple[float, float]]:
    """Both ends of each column, in order."""
    return [
        (float(limits[name].iloc[0]), float(limits[name].iloc[1])) for name in sorted(limits.columns, key=int)
    ]


@contextmanager
def _quiet() -> Iterator[None]:
    """Let the library speak neither of what it was installed without nor of what it calls in pandas."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="ipyparallel not installed", category=UserWarning)
        warnings.filterwarnings("ignore", category=DeprecationWarning, module=r"(ema_workbench|pandas)\.")
        yield
