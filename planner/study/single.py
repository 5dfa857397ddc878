"""One option played on its own: its figures, and what happened when and why.

In: a scenario, the option, which worlds. Out: ``Played``. Must not know: files, the terminal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from planner.engine import Engine, Outcome, Where, engine_for, worlds
from planner.engine.player import Player, Setting
from planner.scenario import Given, Scenario
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.study.failures import FailedRun, failed_run
from planner.study.foresight import foresee
from planner.study.idle import idle
from planner.study.intervals import FloatArray, Interval, Intervals, intervals
from planner.study.limits import refusals
from planner.study.playing import Progress
from planner.study.sample import DECIDING
from planner.study.sources import cautions, subject, warnings_of
from planner.study.spread import Spread, spreads
from planner.study.study import Subject
from planner.study.trace import Trace, trace
from planner.trade.safety import Caution
from planner.workshop.measures import MEASURES, Measure
from planner.workshop.premises import Refusal
from planner.world.draw import Draw
from planner.world.unsure import drawn_z


@dataclass(frozen=True)
class Played:
    """One option in some worlds.

    Parameters
    ----------
    inputs : tuple of str
        Values of the scenario that are others, as they are written on the command line.
    worlds : tuple of int
        Numbers of the worlds.
    values : array, shape (measures, worlds)
        nan in a failed run, and where a ratio has no meaning.
    trace : Trace or None
        What happened in the first of the worlds, if it was asked for and did not fail.

    Others as in :class:`planner.study.study.Study`.
    """

    subject: Subject
    option: str
    outlook: str
    inputs: tuple[str, ...]
    worlds: tuple[int, ...]
    measures: tuple[Measure, ...]
    values: FloatArray
    failures: tuple[FailedRun, ...]
    refusals: tuple[Refusal, ...]
    cautions: tuple[Caution, ...]
    warnings: tuple[str, ...]
    trace: Trace | None

    @cached_property
    def levels(self) -> Intervals:
        """Mean and interval of each measure; shape (measures,)."""
        return intervals(self.values, self.subject.confidence)

    @property
    def spread(self) -> Spread:
        """How money after hours spreads over the worlds."""
        row = [one.name for one in self.measures].index(DECIDING)
        return spreads(self.values[row], self.subject.confidence).at()

    def level(self, measure: str) -> Interval:
        """Mean and interval of one measure."""
        return self.levels.at([one.name for one in self.measures].index(measure))


def run(
    scenario: Scenario,
    option: str = AS_TODAY,
    outlook: str = EXPECTED,
    *,
    replicates: int = 1,
    replicate: int | None = None,
    inputs: Sequence[Given] = (),
    seed: int | None = None,
    workers: int = 1,
    traced: bool = False,
    progress: Progress | None = None,
    engine: Engine | Where | None = None,
) -> Played:
    """Play one option.

    Parameters
    ----------
    scenario : Scenario
        Loaded by ``planner.load``.
    option, outlook : str
        What to play.
    replicates : int
        Worlds, from number 0 on.
    replicate : int, optional
        Play only the world of this number.
    inputs : sequence of Given
        Values of the scenario that are others, before the option is applied.
    seed : int, optional
        Start of all chance; what the scenario says if left out.
    workers : int
        Processes at most; no result depends on it.
    traced : bool
        Tell what happened in the first of these worlds.
    progress : callable, optional
        Called with the number of runs done and of all runs.
    engine : Engine or Where, optional
        Executes the runs instead of ``workers`` processes.

    Raises
    ------
    planner.scenario.InputError
        An unknown option or outlook.
    planner.world.build.ModelError
        A model cannot be made from its settings.
    """
    root = scenario.study.seed if seed is None else seed
    foresee(scenario, replicates if replicate is None else 1, workers, progress)
    numbers = tuple(range(replicates)) if replicate is None else (replicate,)
    given = tuple(inputs)
    setting = Setting(scenario, root)
    player = Player(setting)
    player.prepare([option], [outlook], given)
    here = player.scenario(given)
    business = here.business(option, outlook)
    outcomes: list[Outcome] = []
    if engine is None or isinstance(engine, Where):
        engine = engine_for(setting, player, workers, where=engine)
    with engine as running:
        for found in running.run(worlds([outlook], numbers, [option], inputs=given)):
            outcomes += found
            if progress is not None:
                progress(len(outcomes), len(numbers))
    values, failures = _ordered(scenario, root, numbers, outcomes)
    told = None
    if traced and not any(one.replicate == numbers[0] for one in failures):
        told = trace(
            player.run(option, outlook, numbers[0], inputs=given),
            business.calendar.start,
            scenario.currency,
            tuple(
                zip(
                    scenario.estimates.drawn,
                    drawn_z(scenario.estimates, Draw(root, numbers[0])),
                    strict=True,
                )
            ),
        )
    measured = {one.name: values[m] for m, one in enumerate(MEASURES)}
    return Played(
        subject(here, root, len(numbers), [business]),
        option,
        outlook,
        tuple(map(str, given)),
        numbers,
        MEASURES,
        values,
        failures,
        refusals(business, measured),
        cautions([business]),
        (*warnings_of(scenario), *idle(business, measured, option)),
        told,
    )


def _ordered(
    scenario: Scenario, seed: int, numbers: Sequence[int], outcomes: Sequence[Outcome]
) -> tuple[FloatArray, tuple[FailedRun, ...]]:
    """Values by world, and the runs that failed."""
    at = {number: i for i, number in enumerate(numbers)}
    values = np.full((len(MEASURES), len(numbers)), np.nan)
    failures = []
    for one in sorted(outcomes, key=lambda outcome: outcome.replicate):
        if one.failure is None:
            values[:, at[one.replicate]] = one.measures
            continue
        failures.append(failed_run(scenario.path, seed, one, one.failure))
    return values, tuple(failures)
