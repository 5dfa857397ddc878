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
from numpy.typing import NDArray

from planner.scenario.origins import Origins
from planner.study.choice import Choice
from planner.study.failures import FailedRun
from planner.study.findings import Findings
from planner.study.intervals import FloatArray, Interval, Intervals
from planner.study.monthly import Monthly
from planner.study.outlooks import Map, outlook_map, weights_of
from planner.study.picture import Picture
from planner.study.resampling import Sureness, sureness
from planner.study.sample import DECIDING as DECIDING
from planner.study.sample import Measure as Measure
from planner.study.sample import Sample
from planner.study.unknown import Unknowns
from planner.trade.safety import Caution
from planner.workshop.premises import Refusal

if TYPE_CHECKING:
    from pandas import DataFrame


Purpose = Literal["comparison", "choice", "confirmation"]
"""What a run was played for."""


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

    probabilities: Mapping[str, float] | None = None
    """How likely each outlook is, where somebody said so."""

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
        if self.days >= 365:
            return "a year"
        return "in a day" if self.days == 1 else f"in {self.days} days"


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
        In the worlds that all options meet; nan in a run that failed or, since the option is refused, was not played,
        and where a ratio has no meaning.
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
    choice : Choice or None
        How the choice went, where losers were dropped on the way; None for a comparison of a fixed size.
    further : Sample or None
        Worlds that only the options still in the choice were played in, under the first outlook.
    fresh : Sample or None
        Worlds that the choice had not seen: the base, the option chosen or ahead and the next in line, under the first
        outlook.
    origins : Origins or None
        Where each value of the business comes from.
    unknowns : Unknowns or None
        What not knowing inputs does to the choice, where the scenario has estimates.
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
    choice: Choice | None = None
    further: Sample | None = None
    fresh: Sample | None = None
    origins: Origins | None = None
    unknowns: Unknowns | None = None

    @cached_property
    def sample(self) -> Sample:
        """Every option under every outlook in the worlds that all of them met."""
        subject = self.subject
        return Sample(self.names, self.outlooks, self.measures, self.values, subject.base, subject.confidence)

    def seen(self, option: str) -> Sample:
        """Where to read an option's figures: the fresh worlds, if it was played in them, else those that all met."""
        fresh = self.fresh
        return fresh if fresh is not None and option in fresh.options else self.sample

    def lead(self, option: str, other: str, measure: str = DECIDING) -> FloatArray:
        """How much more an option brings than another, in each world of the choice that both were played in."""
        parts = [self.sample] if self.further is None else [self.sample, self.further]
        found = np.concatenate([part.of(option, measure) - part.of(other, measure) for part in parts])
        both: FloatArray = found[~np.isnan(found)]
        return both

    @property
    def samples(self) -> Mapping[Purpose, Sample]:
        """Every run by what it was played for."""
        found: dict[Purpose, Sample | None] = {
            "comparison": self.sample,
            "choice": self.further,
            "confirmation": self.fresh,
        }
        return {purpose: sample for purpose, sample in found.items() if sample is not None}

    @cached_property
    def runs_played(self) -> int:
        """How many there are, failed ones too."""
        those = self.samples.values()
        return len(self.failures) + sum(int((~np.isnan(one.deciding)).sum()) for one in those)

    def worlds_of(self, option: str) -> int:
        """In how many worlds an option was played under the first outlook, failed runs too."""
        those = [one for one in self.samples.values() if option in one.options]
        there = sum(int((~np.isnan(one.of(option))).sum()) for one in those)
        return there + self.findings.failed.get(option, 0)

    @cached_property
    def outlook_map(self) -> Map:
        """What options bring under each outlook, and the regret of each."""
        return outlook_map(self.sample.levels.mean[:, :, self.column(DECIDING)], self._refused, self._weights)

    @cached_property
    def sureness(self) -> Sureness:
        """How steady the choices among the outlooks are."""
        return sureness(self.sample.deciding, self._refused, self.subject.seed, self._weights)

    @property
    def _refused(self) -> NDArray[np.bool_]:
        return np.array([[bool(self.refusals[name, w]) for w in self.outlooks] for name in self.names])

    @property
    def _weights(self) -> FloatArray | None:
        return weights_of(self.subject.probabilities, self.outlooks)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the options."""
        return tuple(option.name for option in self.options)

    def ranked(self, outlook: str | None = None) -> tuple[str, ...]:
        """Options by the measure that decides: the recommended one, then the highest mean first; refused ones last."""
        under = outlook or self.outlooks[0]
        best = self.findings.best if under == self.findings.outlook else None

        def key(name: str) -> tuple[bool, bool, float]:
            mean = self.level(name, DECIDING, under).mean
            return bool(self.refusals[name, under]), name != best, -mean if mean == mean else float("inf")

        return tuple(sorted(self.names, key=key))

    def allowed(self) -> tuple[str, ...]:
        """Options that break no hard limit under the first outlook, the best first."""
        return tuple(name for name in self.ranked() if not self.refusals[name, self.outlooks[0]])

    def row(self, option: str) -> int:
        """Where an option stands."""
        return self.names.index(option)

    def column(self, measure: str) -> int:
        """Where a measure stands."""
        return self.sample.column(measure)

    @property
    def levels(self) -> Intervals:
        """See :attr:`planner.study.sample.Sample.levels`, of the worlds that all options met."""
        return self.sample.levels

    @property
    def differences(self) -> Intervals:
        """See :attr:`planner.study.sample.Sample.differences`, of the worlds that all options met."""
        return self.sample.differences

    def level(self, option: str, measure: str, outlook: str | None = None) -> Interval:
        """Mean and interval of one measure of one option; under the first outlook unless another is named."""
        return self.sample.level(option, measure, outlook)

    def difference(self, option: str, measure: str, outlook: str | None = None) -> Interval:
        """Paired difference to the base of one measure of one option."""
        return self.sample.difference(option, measure, outlook)

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
