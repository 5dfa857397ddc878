"""Which options are played under which outlooks, and what was played of them put in order.

In: a scenario, a seed, names of outlooks; outcomes. Out: ``Lineup``; arrays, failures, refusals.
Must not know: how many worlds there should be, what is concluded.

An option that its own settings refuse is not played: what is refused is not done, so its figures are nobody's. The base
is played all the same, since all others are compared with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import nan

import numpy as np

from planner.engine import Batch, Outcome, worlds
from planner.scenario import Given, Scenario
from planner.scenario.business import Business
from planner.scenario.header import AS_TODAY
from planner.study.failures import FailedRun, failed_run
from planner.study.findings import Rule
from planner.study.intervals import FloatArray
from planner.study.limits import refusals
from planner.study.playing import Runs
from planner.study.sample import Sample
from planner.workshop.measures import MEASURES
from planner.workshop.premises import Refusal, premises


@dataclass(frozen=True, eq=False)
class Lineup:
    """Options beside outlooks.

    Parameters
    ----------
    scenario : Scenario
        All of its options take part.
    seed : int
        Start of all chance.
    outlooks : tuple of str
        The first is the one under which a choice is made.
    inputs : tuple of Given
        Values of the scenario that are others here.
    """

    scenario: Scenario
    seed: int
    outlooks: tuple[str, ...]
    inputs: tuple[Given, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Every option, the base first."""
        return tuple(self.scenario.options)

    @property
    def rule(self) -> Rule:
        """What a choice is made by."""
        study = self.scenario.study
        return Rule(AS_TODAY, study.confidence, study.worth_caring_about)

    @cached_property
    def businesses(self) -> Mapping[tuple[str, str], Business]:
        """Every option under every outlook."""
        scenario = self.scenario.at(self.inputs)
        return {
            (name, outlook): scenario.business(name, outlook)
            for name in self.names
            for outlook in self.outlooks
        }

    @cached_property
    def _barred(self) -> frozenset[tuple[str, str]]:
        return frozenset(
            key for key, one in self.businesses.items() if key[0] != AS_TODAY and premises(one).refusals
        )

    def played(self, outlook: str) -> tuple[str, ...]:
        """Options that are played under an outlook."""
        return tuple(name for name in self.names if (name, outlook) not in self._barred)

    def batches(self, replicates: Iterable[int]) -> tuple[Batch, ...]:
        """These worlds with every option under every outlook; the months of the first outlook are wanted too.

        World by world, so that what the outlooks share of it is drawn once.
        """
        return tuple(
            batch
            for number in replicates
            for outlook in self.outlooks
            for batch in worlds(
                [outlook], [number], self.played(outlook), self.outlooks[0], inputs=self.inputs
            )
        )

    def sample(
        self, runs: Runs, options: Sequence[str], outlooks: Sequence[str], replicates: range
    ) -> Sample:
        """What was played of these, in order; nan where a run failed or was not played."""
        values = np.full((len(options), len(outlooks), len(MEASURES), len(replicates)), nan)
        for o, option in enumerate(options):
            for w, outlook in enumerate(outlooks):
                for r, replicate in enumerate(replicates):
                    one = runs.outcome(option, outlook, replicate, self.inputs)
                    if one is not None and one.failure is None:
                        values[o, w, :, r] = one.measures
        study = self.scenario.study
        return Sample(
            tuple(options), tuple(outlooks), MEASURES, values, AS_TODAY, study.confidence, replicates.start
        )

    def refusals(self, option: str, outlook: str, values: FloatArray) -> tuple[Refusal, ...]:
        """Hard limits that an option breaks, by its settings or by its measures; values of shape (measures, worlds)."""
        measured = {one.name: values[m] for m, one in enumerate(MEASURES)}
        return refusals(self.businesses[option, outlook], measured)

    def failures(self, outcomes: Iterable[Outcome]) -> tuple[FailedRun, ...]:
        """Runs without a result, in order."""
        rows = {name: o for o, name in enumerate(self.names)}
        under = {name: w for w, name in enumerate(self.outlooks)}
        found = [
            failed_run(self.scenario.path, self.seed, one, one.failure)
            for one in outcomes
            if one.failure is not None
        ]
        return tuple(sorted(found, key=lambda row: (rows[row.option], under[row.outlook], row.replicate)))
