"""What a comparison found: every option in every world, as one value.

In: outcomes of runs, put in order. Out: ``Study``, with levels, paired differences, tables and findings.
Must not know: how runs are executed, how anything is shown.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from planner.study.failures import FailedRun
from planner.study.findings import Findings
from planner.study.intervals import (
    FloatArray,
    Interval,
    Intervals,
    intervals,
    pairing_saved,
    share_below_zero,
)
from planner.study.monthly import Monthly
from planner.study.outlooks import Map, outlook_map
from planner.study.picture import Picture
from planner.trade.safety import Caution
from planner.workshop.measures import Measure as Measure
from planner.workshop.premises import Refusal

if TYPE_CHECKING:
    from pandas import DataFrame

DECIDING = "profit_after_hours"
"""The measure that a choice is made on: money after the owner's own hour is priced."""


CONSTANT = 1e6
"""Pairing that saves more times than this met a difference that only rounding makes vary."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One option as the scenario describes it. Money in the scenario's currency."""

    name: str
    summary: str
    start_up_cost: float
    resale: float


@dataclass(frozen=True, slots=True)
class Subject:
    """What was studied."""

    title: str
    file: str
    digest: str
    currency: str
    units: str
    seed: int
    replicates: int
    days: int
    """Days that are played under the base."""
    confidence: float
    worth_caring_about: float
    base: str
    versions: Mapping[str, str]
    """Of the program, of what it computes with, and of the models that the scenario names."""
    resolved: Mapping[str, Any]
    """Every value of the base under the expected outlook, as a file would hold it; data files by their content."""

    @property
    def years(self) -> float:
        """What sums over the horizon are divided by; a horizon shorter than a year counts as one."""
        return max(1.0, self.days / 365.0)

    @property
    def weeks(self) -> float:
        """Weeks that a figure stands for: those of a year, or of the days played if these are fewer."""
        return min(365, self.days) / 7.0

    @property
    def period(self) -> str:
        """What a figure "a year" stands for, in words."""
        return "a year" if self.days >= 365 else f"in {self.days} days"


@dataclass(frozen=True)
class Study:
    """Options on the same worlds, against one of them.

    Parameters
    ----------
    subject : Subject
        Scenario, seed, confidence, versions.
    options : tuple of Candidate
        In the order of the scenario, the base first.
    outlooks : tuple of str
        The first is the one under which the choice was made.
    measures : tuple of Measure
        Name, label, unit and better direction of each.
    values : array, shape (options, outlooks, measures, replicates)
        nan in a failed run, and where a ratio has no meaning.
    failures : tuple of FailedRun
        Runs without a result.
    refusals : mapping of (option, outlook) to tuple of Refusal
        Hard limits broken; empty tuples where none is.
    findings : Findings
        The choice.
    cautions : tuple of Caution
        What can hurt in what these options do.
    warnings : tuple of str
        What is odd about the scenario, in plain sentences.
    months : Monthly or None
        What each option's months are like under the first outlook.
    pictures : tuple of Picture
        The base, and the option that is ahead, looked at closely in one and the same world.
    """

    subject: Subject
    options: tuple[Candidate, ...]
    outlooks: tuple[str, ...]
    measures: tuple[Measure, ...]
    values: FloatArray
    failures: tuple[FailedRun, ...]
    refusals: Mapping[tuple[str, str], tuple[Refusal, ...]]
    findings: Findings
    cautions: tuple[Caution, ...] = ()
    warnings: tuple[str, ...] = ()
    months: Monthly | None = None
    pictures: tuple[Picture, ...] = ()

    @cached_property
    def levels(self) -> Intervals:
        """Mean and interval of each measure, each on its own; shape (options, outlooks, measures)."""
        return intervals(self.values, self.subject.confidence)

    @cached_property
    def differences(self) -> Intervals:
        """Paired difference of each measure to the base in the same world; shape (options, outlooks, measures).

        The intervals of one measure hold together for all options (Bonferroni over the options compared).
        """
        return intervals(
            self.values - self.values[self.row(self.subject.base)],
            self.subject.confidence,
            len(self.options) - 1,
        )

    @cached_property
    def pairing_saved(self) -> FloatArray:
        """How many times more runs unpaired worlds would have needed; shape (options, outlooks)."""
        deciding, base = self.column(DECIDING), self.row(self.subject.base)
        return np.array(
            [
                [
                    pairing_saved(self.values[o, w, deciding], self.values[base, w, deciding])
                    for w in range(len(self.outlooks))
                ]
                for o in range(len(self.options))
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

    @cached_property
    def outlook_map(self) -> Map:
        """What options bring under each outlook, and the regret of each."""
        broken = np.array([[bool(self.refusals[name, w]) for w in self.outlooks] for name in self.names])
        return outlook_map(self.levels.mean[:, :, self.column(DECIDING)], broken)

    @cached_property
    def loss_share(self) -> FloatArray:
        """Share of the worlds in which an option loses money after hours; nan without runs; (options, outlooks)."""
        return share_below_zero(self.values[:, :, self.column(DECIDING)])

    @cached_property
    def behind_share(self) -> FloatArray:
        """Share of the worlds in which an option brings less than the base; nan without runs; (options, outlooks)."""
        deciding = self.values[:, :, self.column(DECIDING)]
        return share_below_zero(deciding - deciding[self.row(self.subject.base)])

    @cached_property
    def ahead_share(self) -> FloatArray:
        """Share of the worlds in which an option brings more than the base; nan without runs; (options, outlooks)."""
        deciding = self.values[:, :, self.column(DECIDING)]
        return share_below_zero(deciding[self.row(self.subject.base)] - deciding)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the options."""
        return tuple(option.name for option in self.options)

    def ranked(self, outlook: str | None = None) -> tuple[str, ...]:
        """Options by the measure that decides, the best first; refused ones last."""
        under = self._outlook(outlook)
        means = self.levels.mean[:, under, self.column(DECIDING)]

        def key(name: str) -> tuple[bool, float]:
            mean = float(means[self.row(name)])
            return bool(self.refusals[name, self.outlooks[under]]), -mean if mean == mean else float("inf")

        return tuple(sorted(self.names, key=key))

    def allowed(self) -> tuple[str, ...]:
        """Options that break no hard limit under the first outlook, the best first."""
        return tuple(name for name in self.ranked() if not self.refusals[name, self.outlooks[0]])

    def row(self, option: str) -> int:
        """Where an option stands."""
        return self.names.index(option)

    def column(self, measure: str) -> int:
        """Where a measure stands."""
        return next(i for i, one in enumerate(self.measures) if one.name == measure)

    def level(self, option: str, measure: str, outlook: str | None = None) -> Interval:
        """Mean and interval of one measure of one option; under the first outlook unless another is named."""
        return self.levels.at(self.row(option), self._outlook(outlook), self.column(measure))

    def difference(self, option: str, measure: str, outlook: str | None = None) -> Interval:
        """Paired difference to the base of one measure of one option."""
        return self.differences.at(self.row(option), self._outlook(outlook), self.column(measure))

    def _outlook(self, outlook: str | None) -> int:
        return 0 if outlook is None else self.outlooks.index(outlook)

    def table(self) -> DataFrame:
        """One row an option and outlook: mean, low and high of each measure and of its paired difference."""
        return self._frame("options")

    def runs(self) -> DataFrame:
        """One row a run: option, outlook, replicate, then every measure."""
        return self._frame("runs")

    def _frame(self, which: Literal["options", "runs"]) -> DataFrame:
        from pandas import DataFrame

        from planner.study import tables

        made: tables.Table = {"options": tables.options, "runs": tables.runs}[which](self)
        frame: Any = DataFrame(made.rows, columns=list(made.columns))
        return frame
