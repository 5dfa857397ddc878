"""The comparison: every option in exactly the same worlds.

In: a scenario, how many worlds, a seed. Out: ``Study``. Must not know: files, the terminal.

Which runs there are follows from the arguments alone, so the result is the same to the bit for any number of workers.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import replace
from math import nan

import numpy as np

from planner.engine import Engine
from planner.engine.player import Player
from planner.scenario import Scenario
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.study.findings import Field, choose, identical_groups
from planner.study.lineup import Lineup
from planner.study.monthly import Monthly, month_names, monthly
from planner.study.picture import picture, typical_replicate
from planner.study.playing import Progress as Progress
from planner.study.playing import Runs, playing
from planner.study.sample import DECIDING, Sample
from planner.study.sources import cautions, subject, warnings_of
from planner.study.study import Candidate, Study
from planner.workshop.measures import MEASURES
from planner.workshop.months import MONTH_FIGURES


def compare(
    scenario: Scenario,
    *,
    replicates: int | None = None,
    seed: int | None = None,
    workers: int = 1,
    outlooks: Iterable[str] | None = None,
    progress: Progress | None = None,
    engine: Engine | None = None,
) -> Study:
    """Play every option of a scenario in the same worlds, so many and no more, and compare each with "as today".

    Parameters
    ----------
    scenario : Scenario
        Loaded by ``planner.load``.
    replicates : int, optional
        Worlds; what the scenario says if left out.
    seed : int, optional
        Start of all chance; what the scenario says if left out.
    workers : int
        Processes at most. Short work stays in this one. No result depends on it.
    outlooks : iterable of str, optional
        Outlooks to play; only the expected one if left out. The choice is made under the first.
    progress : callable, optional
        Called with the number of runs done and of all runs.
    engine : Engine, optional
        Executes the runs instead of ``workers`` processes.

    Returns
    -------
    Study
        Tables and findings. Failed runs are in it, counted.

    Raises
    ------
    planner.scenario.InputError
        An unknown outlook, or an option and an outlook that make no possible business together.
    planner.world.build.ModelError
        A model cannot be made from its settings.
    """
    number = scenario.study.replicates if replicates is None else replicates
    if number < 1:
        raise ValueError(f"a comparison needs at least one world, not {number}")
    lineup = Lineup(
        scenario,
        scenario.study.seed if seed is None else seed,
        tuple(dict.fromkeys(outlooks or (EXPECTED,))),
    )
    least = len(lineup.names) * len(lineup.outlooks) * number
    with playing(scenario, lineup.seed, workers, least, progress, engine) as (player, runs):
        player.prepare(lineup.names, lineup.outlooks)
        runs.play(lineup.batches(range(number)))
    return looked_at(gather(lineup, runs, number), player, lineup)


def gather(lineup: Lineup, runs: Runs, number: int) -> Study:
    """Put what was played in the first ``number`` worlds in order, and find what it says."""
    scenario, first = lineup.scenario, lineup.outlooks[0]
    sample = lineup.sample(runs, lineup.names, lineup.outlooks, range(number))
    broken = {
        (name, outlook): lineup.refusals(name, outlook, sample.values[o, w])
        for o, name in enumerate(lineup.names)
        for w, outlook in enumerate(lineup.outlooks)
    }
    return Study(
        subject=subject(scenario, lineup.seed, number, lineup.businesses.values()),
        options=tuple(
            Candidate(name, one.summary, one.start_up_cost, one.resale)
            for name, one in scenario.options.items()
        ),
        outlooks=lineup.outlooks,
        measures=MEASURES,
        values=sample.values,
        failures=lineup.failures(runs.outcomes.values()),
        refusals=broken,
        findings=choose(
            field_of(lineup, sample, [name for name in lineup.names if broken[name, first]]), lineup.rule
        ),
        cautions=cautions(lineup.businesses.values()),
        warnings=warnings_of(scenario),
        months=_by_month(lineup, runs, number),
    )


def field_of(lineup: Lineup, sample: Sample, refused: Iterable[str]) -> Field:
    """Who takes part in a choice under the first outlook: what was played there."""
    names = lineup.played(lineup.outlooks[0])
    rows = [sample.row(name) for name in names]
    return Field(
        lineup.outlooks[0],
        DECIDING,
        names,
        sample.deciding[rows, 0],
        [name for name in refused if name in names],
        identical_groups(names, sample.values[rows]),
    )


def looked_at(study: Study, player: Player, lineup: Lineup) -> Study:
    """The study with "as today" and the option that is ahead looked at closely, in the world in which it is typical."""
    found = study.findings
    ahead, base = found.best or found.leader, study.subject.base
    values = study.sample.of(base)
    if ahead is not None and ahead != base:
        values = study.sample.of(ahead) - values
    number = typical_replicate(values)
    if number is None:
        return study
    pictures = []
    for name in dict.fromkeys((base, ahead or base)):
        world, run = player.see(name, found.outlook, number)
        start = lineup.businesses[name, found.outlook].calendar.start
        pictures.append(picture(run, world.weather, start, name, number))
    return replace(study, pictures=tuple(pictures))


def _by_month(lineup: Lineup, runs: Runs, number: int) -> Monthly | None:
    """Months of every option; None where outcomes hold none. An option of another length has no months."""
    outlook = lineup.outlooks[0]
    calendar = lineup.businesses[AS_TODAY, outlook].calendar
    days = 365 * calendar.years if calendar.days is None else calendar.days
    months = month_names(calendar.start, int(days))
    values = np.full((len(lineup.names), len(months), len(MONTH_FIGURES), number), nan)
    size, any_there = len(months) * len(MONTH_FIGURES), False
    for o, name in enumerate(lineup.names):
        for replicate in range(number):
            one = runs.outcomes.get((name, outlook, replicate))
            if one is not None and len(one.months) == size:
                values[o, :, :, replicate] = np.reshape(one.months, values.shape[1:3])
                any_there = True
    return monthly(values, months, lineup.scenario.study.confidence) if any_there else None


def outlooks_to_play(scenario: Scenario, named: Iterable[str] = ()) -> tuple[str, ...]:
    """The expected outlook, under which the choice is made, and those that were named; every one if none was."""
    return tuple(dict.fromkeys((EXPECTED, *(tuple(named) or scenario.outlooks))))


def available_workers() -> int:
    """Processors that this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        return os.cpu_count() or 1
