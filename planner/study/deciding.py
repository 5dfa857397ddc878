"""The choice: every option in the same first worlds, then only those that may still be best, then fresh worlds.

In: every option in the first worlds, a purse, what plays more. Out: ``Study`` with a ``Choice``. Must not know: files,
the terminal.

1. Every option under every outlook in the worlds that the scenario asks for: the study that comes in.
2. Under the expected outlook the procedure of Kim and Nelson (``kim_nelson.py``) on means of ``BATCH`` worlds: options
   that lose are no longer played.
3. The option that is left, the next in line and "as today" in worlds that the choice had not seen: what is reported is
   read from these, since intervals from the data that stopped a sequential procedure are biased.

Which runs there are hangs on seed and budget only, never on workers; a budget of minutes is the exception.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import replace
from math import ceil
from typing import Final

import numpy as np

from planner.engine import worlds
from planner.study.budget import Purse
from planner.study.choice import (
    Choice,
    Ended,
    Failures,
    Standing,
    conclude,
    count_failures,
    in_line,
    most_skewed,
    next_in_line,
)
from planner.study.failures import FailedRun
from planner.study.findings import Rule, choose, entrants
from planner.study.gathering import field_of
from planner.study.intervals import FloatArray, t_quantile
from planner.study.kim_nelson import KimNelson, Screening, batch_means
from planner.study.lineup import Lineup
from planner.study.playing import Runs
from planner.study.sample import Sample
from planner.study.study import Study
from planner.workshop.premises import Refusal

BATCH: Final = 5
"""Worlds whose mean is one value of the procedure: profit is skewed, and means of five are nearly normal enough."""

LEAST_FRESH, MOST_FRESH = 50, 200
"""Fresh worlds at least and at most."""

CONFIRMED: Final = 3
"""Options that are played afresh at most."""


LEAST: Final = CONFIRMED * LEAST_FRESH
"""Runs that are kept for confirming a choice."""


def decide(study: Study, lineup: Lineup, runs: Runs, purse: Purse) -> Study:
    """Choose the best option, playing no more than that takes.

    Parameters
    ----------
    study : Study
        Every option in the first worlds.
    lineup : Lineup
        Who takes part.
    runs : Runs
        What was played, and what plays more.
    purse : Purse
        What may be spent.

    Returns
    -------
    Study
        With its choice; as it was where the first worlds leave nothing to choose.
    """
    if study.findings.verdict not in ("best", "cannot tell"):
        return study
    return _Decision(lineup, runs, purse).of(study)


class _Decision:
    """One choice, from the first worlds to fresh ones."""

    def __init__(self, lineup: Lineup, runs: Runs, purse: Purse) -> None:
        self.lineup, self.runs, self.purse = lineup, runs, purse
        self.outlook = lineup.outlooks[0]

    def of(self, study: Study) -> Study:
        """The study with its choice; as a comparison of the first worlds where there is nothing to choose from.

        More worlds may show that an option still in, the next in line or the base breaks a hard limit; then the choice
        is made again without it.
        """
        number = study.subject.replicates
        refused = [name for name in study.names if study.refusals[name, self.outlook]]
        while True:
            those = field_of(self.lineup, study.sample, refused)
            names = entrants(those)
            if len(names) < 2:
                found = choose(those, self.lineup.rule)
                return replace(study, findings=found, failures=self._rows(), choice=None, fresh=None)
            choice = self._race(names, number)
            study = replace(study, choice=choice, further=self._further(study, None), fresh=None)
            leader = in_line(choice.survivors, study.lead)[0]
            other = next_in_line(leader, names, study.lead)
            choice = replace(choice, skewness=most_skewed(leader, names, study.lead))
            study = replace(study, choice=choice)
            told = {*choice.survivors, other or leader, study.subject.base} - {*refused}
            broken = self._broken(told)
            if not broken and not self._failures(names).blocked_by:
                fresh = self._afresh(study, leader, other or study.subject.base)
                study = replace(study, further=self._further(study, fresh), fresh=fresh)
                broken = self._broken(told)
            if not broken:
                break
            refused += [name for name, _ in broken]
            study = replace(study, refusals={**study.refusals, **broken})
        found = conclude(those, self.lineup.rule, choice, study.lead, self._failures(names), study.fresh)
        return replace(study, findings=found, failures=self._rows())

    def _race(self, names: Sequence[str], number: int) -> Choice:
        """Play options that may still be best, and drop those that lose."""
        rule, first = self.lineup.rule, number // BATCH
        procedure = KimNelson(len(names), first, rule.confidence, rule.worth_caring_about)
        race = Screening(procedure, self._worlds(names, range(BATCH * first)), BATCH)
        ended: Ended = "one left"
        while not race.done:
            alive = [name for name, still in zip(names, race.alive, strict=True) if still]
            wanted = self.runs.missing(worlds([self.outlook], _worlds_of(race.count), alive))
            if sum(one.runs for one in wanted) + LEAST > self.purse.left(self.runs.done):
                ended = "budget spent"
                break
            self.runs.play(wanted)
            values = batch_means(self._worlds(names, _worlds_of(race.count)), BATCH)[:, 0]
            if self._failures(names).blocked_by or np.isnan(values[race.alive]).any():
                ended = "failed runs"
                break
            race.add(values)
        return self._told(names, race, ended, number)

    def _told(self, names: Sequence[str], race: Screening, ended: Ended, number: int) -> Choice:
        standings = tuple(
            Standing(
                name,
                max(number, BATCH * (int(race.left_at[i]) or race.count)),
                None if race.alive[i] else names[int(race.beaten_by[i])],
            )
            for i, name in enumerate(names)
        )
        needed = further = None
        if not race.done:
            needed = BATCH * int(race.needed())
            further = int(race.alive.sum()) * (needed - BATCH * race.count)
        return Choice(
            standings,
            ended,
            BATCH,
            self.purse.budget,
            self.purse.most,
            worlds_needed=needed,
            runs_needed=further,
        )

    def _worlds(self, names: Sequence[str], replicates: range) -> FloatArray:
        """What is decided by, of each option in each world; nan where a run failed or was not played."""
        return self._sample(names, replicates).deciding[:, 0]

    def _afresh(self, study: Study, leader: str, other: str) -> Sample | None:
        """Base, leader and the next in line in worlds that this choice has not seen; None where the budget is spent.

        Worlds in which a choice before this one was confirmed are fresh to this one, and need not be played again.
        """
        options = tuple(dict.fromkeys((study.subject.base, leader, other)))
        leads = [study.lead(leader, name) for name in options if name != leader]
        start = study.choice.worlds if study.choice else 0
        numbers = range(start, start + fresh_worlds(leads, self.lineup.rule))
        left = self.purse.left(self.runs.done)
        if self.purse.budget.minutes is not None or self.runs.next_world <= start:
            left = max(left, LEAST_FRESH * len(options))
        each = [worlds([self.outlook], [number], options) for number in numbers]
        taken = np.cumsum([sum(one.runs for one in self.runs.missing(batches)) for batches in each])
        count = int((taken <= left).sum())
        if count < LEAST_FRESH:
            return None
        self.runs.play([batch for batches in each[:count] for batch in batches])
        return self._sample(options, numbers[:count])

    def _further(self, study: Study, fresh: Sample | None) -> Sample:
        """What was played beside the first worlds, but for what confirms the choice."""
        found = self._sample(study.names, range(study.subject.replicates, self.runs.next_world))
        if fresh is not None:
            rows = [found.options.index(name) for name in fresh.options]
            start = fresh.first_world - found.first_world
            found.values[rows, :, :, start : start + fresh.worlds] = np.nan
        worlds_met = np.flatnonzero(~np.isnan(found.deciding).all(axis=(0, 1)))
        return replace(found, values=found.values[..., : int(worlds_met.max(initial=-1)) + 1])

    def _sample(self, names: Sequence[str], replicates: range) -> Sample:
        return self.lineup.sample(self.runs, names, (self.outlook,), replicates)

    def _broken(self, those: Collection[str]) -> dict[tuple[str, str], tuple[Refusal, ...]]:
        """Which of these options break hard limits, by all that they were played in, and which."""
        found = {}
        for option in filter(those.__contains__, self.lineup.names):
            values = self._sample((option,), range(self.runs.next_world)).values[0, 0]
            if broken := self.lineup.refusals(option, self.outlook, values):
                found[option, self.outlook] = broken
        return found

    def _failures(self, allowed: Sequence[str]) -> Failures:
        played, failed = Counter[str](), Counter[str]()
        for one in self.runs.outcomes.values():
            if one.outlook == self.outlook:
                played[one.option] += 1
                failed[one.option] += one.failure is not None
        return count_failures({name: n for name, n in failed.items() if n}, played, allowed)

    def _rows(self) -> tuple[FailedRun, ...]:
        return self.lineup.failures(self.runs.outcomes.values())


def fresh_worlds(leads: Sequence[FloatArray], rule: Rule) -> int:
    """Fresh worlds in which the mean of each lead is likely known within what is cared about, from end to end."""
    t = t_quantile(LEAST_FRESH, rule.confidence, len(leads))
    half = rule.worth_caring_about / 2.0
    needed = max(ceil((float(t) * float(lead.std(ddof=1)) / half) ** 2) for lead in leads)
    return min(MOST_FRESH, max(LEAST_FRESH, 10 * ceil(needed / 10)))


def _worlds_of(batch: int) -> range:
    """Worlds whose mean is one value of the procedure."""
    return range(BATCH * batch, BATCH * (batch + 1))
