"""Options in the same worlds: what each brings, and how it differs from one of them.

In: every measure of every run, put in order. Out: ``Sample``, with means, paired differences, shares.
Must not know: which runs there should be, what is done with them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from planner.study.intervals import (
    FloatArray,
    Interval,
    Intervals,
    intervals,
    pairing_saved,
    share_below_zero,
)
from planner.study.spread import Spreads, spreads
from planner.workshop.measures import Measure as Measure

DECIDING = "profit_after_hours"
"""The measure that a choice is made on: money after the owner's own hour is priced."""

CONSTANT = 1e6
"""Pairing that saves more times than this met a difference that only rounding makes vary."""


@dataclass(frozen=True, eq=False)
class Sample:
    """Options on the same worlds, against one of them.

    Parameters
    ----------
    options : tuple of str
        Names.
    outlooks : tuple of str
        What shows without a name is of the first.
    measures : tuple of Measure
        Name, label, unit and better direction of each.
    values : array, shape (options, outlooks, measures, worlds)
        nan in a run that failed or was not played, and where a ratio has no meaning.
    base : str
        The option that all are compared with.
    confidence : float
        Of intervals; those of paired differences hold together.
    first_world : int
        Number of the first of the worlds; the others follow on it.
    """

    options: tuple[str, ...]
    outlooks: tuple[str, ...]
    measures: tuple[Measure, ...]
    values: FloatArray
    base: str
    confidence: float
    first_world: int = 0

    @property
    def worlds(self) -> int:
        """How many there are."""
        return int(self.values.shape[-1])

    @cached_property
    def levels(self) -> Intervals:
        """Mean and interval of each measure, each on its own; shape (options, outlooks, measures)."""
        return intervals(self.values, self.confidence)

    @cached_property
    def differences(self) -> Intervals:
        """Paired difference of each measure to the base in the same world; shape (options, outlooks, measures).

        The intervals of one measure hold together for all options (Bonferroni over the options compared).
        """
        return intervals(
            self.values - self.values[self.row(self.base)], self.confidence, len(self.options) - 1
        )

    @cached_property
    def pairing_saved(self) -> FloatArray:
        """How many times more runs unpaired worlds would have needed; shape (options, outlooks)."""
        deciding, base = self.deciding, self.row(self.base)
        return np.array(
            [
                [pairing_saved(row[w], deciding[base, w]) for w in range(len(self.outlooks))]
                for row in deciding
            ]
        )

    @property
    def pairing_saved_typically(self) -> float:
        """The middle one of what pairing saved, over the options under the first outlook; nan if none varies.

        Options that differ from the base by one and the same amount in every world say nothing of chance.
        """
        found = self.pairing_saved[:, 0]
        finite = found[found < CONSTANT]
        return float(np.median(finite)) if finite.size else float("nan")

    @property
    def deciding(self) -> FloatArray:
        """The measure that a choice is made on; shape (options, outlooks, worlds)."""
        found: FloatArray = self.values[:, :, self.column(DECIDING)]
        return found

    @cached_property
    def spreads(self) -> Spreads:
        """How the measure that decides spreads over the worlds; shape (options, outlooks)."""
        return spreads(self.deciding, self.confidence)

    @cached_property
    def gain_spreads(self) -> Spreads:
        """How its paired difference to the base spreads; shape (options, outlooks)."""
        return spreads(self.deciding - self.deciding[self.row(self.base)], self.confidence)

    @cached_property
    def ahead_share(self) -> FloatArray:
        """Share of the worlds in which an option brings more than the base; nan without runs; (options, outlooks)."""
        return share_below_zero(self.deciding[self.row(self.base)] - self.deciding)

    def row(self, option: str) -> int:
        """Where an option stands."""
        return self.options.index(option)

    def column(self, measure: str) -> int:
        """Where a measure stands."""
        return next(i for i, one in enumerate(self.measures) if one.name == measure)

    def of(self, option: str, measure: str = DECIDING, outlook: str | None = None) -> FloatArray:
        """One measure of one option in every world."""
        found: FloatArray = self.values[self.row(option), self._outlook(outlook), self.column(measure)]
        return found

    def level(self, option: str, measure: str, outlook: str | None = None) -> Interval:
        """Mean and interval of one measure of one option; under the first outlook unless another is named."""
        return self.levels.at(self.row(option), self._outlook(outlook), self.column(measure))

    def difference(self, option: str, measure: str, outlook: str | None = None) -> Interval:
        """Paired difference to the base of one measure of one option."""
        return self.differences.at(self.row(option), self._outlook(outlook), self.column(measure))

    def _outlook(self, outlook: str | None) -> int:
        return 0 if outlook is None else self.outlooks.index(outlook)
