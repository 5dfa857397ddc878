"""Options at points: sets of values within the ranges of a scenario, all in the same worlds.

In: points of the unit cube, one column a range. Out: what each option brings there, or why nothing is known.
Must not know: what the points are for.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import nan
from typing import Final

import numpy as np

from planner.engine import worlds
from planner.scenario import Input, InputError
from planner.scenario.axis import Axis
from planner.scenario.header import EXPECTED
from planner.study.failures import FailedRun, failed_run
from planner.study.flips import BoolArray
from planner.study.intervals import FloatArray
from planner.study.limits import refusals_of_runs
from planner.study.lineup import Lineup
from planner.study.playing import Runs
from planner.study.sample import DECIDING
from planner.workshop.measures import MEASURES
from planner.workshop.premises import premises

Point = tuple[Input, ...]
"""Values that are others there; empty where all are as the scenario says."""

TODAY: Point = ()

AT_TODAY: Final = 12
"""Worlds where everything is as the scenario says: what is told of that point alone, and which options are looked at
beside, needs more of them than a point among hundreds (assumed)."""

_DECIDING = [one.name for one in MEASURES].index(DECIDING)


@dataclass(frozen=True)
class Points:
    """What options bring at points.

    Parameters
    ----------
    lineup : Lineup
        The scenario and its seed.
    runs : Runs
        Played as they are asked for.
    replicates : int
        Worlds at each point, from number 0 on; more at `TODAY`.
    """

    lineup: Lineup
    runs: Runs
    replicates: int

    @cached_property
    def axes(self) -> tuple[Axis, ...]:
        """The ranges."""
        return tuple(self.lineup.scenario.ranges.values())

    def at(self, cube: FloatArray, which: Sequence[int] | None = None) -> tuple[Point, ...]:
        """Values at points of the unit cube; its columns are all ranges, or the ones of these numbers."""
        moved = [self.axes[i] for i in (range(len(self.axes)) if which is None else which)]
        return tuple(
            tuple(
                one
                for axis, u in zip(moved, row.tolist(), strict=True)
                for one in axis.inputs(axis.low + u * (axis.high - axis.low))
            )
            for row in cube
        )

    def worlds(self, point: Point) -> range:
        """Worlds in which options are played at a point: at least `AT_TODAY` where all is as the scenario says."""
        return range(self.replicates if point else max(self.replicates, AT_TODAY))

    def play(self, at: Iterable[Point], options: Sequence[str]) -> None:
        """Play these options at each of these points."""
        self.runs.play(
            [
                one
                for point in dict.fromkeys(at)
                for one in worlds([EXPECTED], self.worlds(point), options, inputs=point)
            ]
        )

    def values(self, option: str, point: Point) -> FloatArray:
        """Every measure of an option in every world; nan where a run failed; shape (measures, worlds)."""
        numbers = self.worlds(point)
        found = np.full((len(MEASURES), len(numbers)), nan)
        for world in numbers:
            one = self.runs.outcome(option, EXPECTED, world, point)
            if one is not None and one.failure is None:
                found[:, world] = one.measures
        return found

    def money(self, option: str, point: Point) -> FloatArray:
        """Money after the owner's hours in every world; nan where a run failed."""
        found: FloatArray = self.values(option, point)[_DECIDING]
        return found

    def means(self, options: Sequence[str], at: Sequence[Point]) -> FloatArray:
        """Mean money of each option at each point; nan where a run failed; shape (points, options)."""
        return np.array([[self.money(name, point).mean() for name in options] for point in at])

    def failure(self, options: Iterable[str], at: Iterable[Point]) -> tuple[Point, FailedRun] | None:
        """The first run without a result, and where it is."""
        for point in at:
            for name in options:
                for world in self.worlds(point):
                    one = self.runs.outcome(name, EXPECTED, world, point)
                    if one is not None and one.failure is not None:
                        return point, failed_run(
                            self.lineup.scenario.path, self.lineup.seed, one, one.failure
                        )
        return None

    def allowed(self, options: Sequence[str], at: Sequence[Point], *, settings: bool = True) -> BoolArray:
        """Which options break no hard limit at a point; shape (points, options).

        Settings are looked at again at each point only if at some end of a range they break another limit than today.
        """
        again = settings and any(
            self._broken(name, axis.inputs(end)) != self._broken(name, TODAY)
            for axis in self.axes
            for end in (axis.low, axis.high)
            for name in options
        )
        names = [one.name for one in MEASURES]
        found = np.empty((len(at), len(options)), dtype=np.bool_)
        for p, point in enumerate(at):
            for o, name in enumerate(options):
                measured = dict(zip(names, self.values(name, point), strict=True))
                by_settings = self._broken(name, point if again else TODAY)
                found[p, o] = not (by_settings or refusals_of_runs(measured))
        return found

    def _broken(self, option: str, point: Point) -> frozenset[str]:
        """Limits that its settings break; none where they make no business, which its runs say."""
        try:
            business = self.lineup.scenario.at(point).business(option)
        except InputError:
            return frozenset()
        return frozenset(one.limit for one in premises(business).refusals)
