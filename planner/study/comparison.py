"""The comparison: every option in exactly the same worlds.

In: a scenario, how many worlds, a seed. Out: ``Study``. Must not know: files, the terminal.

Which runs there are follows from the arguments alone, so the result is the same to the bit for any number of workers.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from math import nan
from typing import Final

import numpy as np

from planner.engine import AsNeeded, Engine, Outcome, worlds
from planner.engine.player import Player, Setting
from planner.scenario import Scenario
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.study.failures import FailedRun, failed_run
from planner.study.findings import Field, Rule, choose, identical_groups
from planner.study.intervals import FloatArray
from planner.study.limits import refusals
from planner.study.monthly import Monthly, month_names, monthly
from planner.study.picture import picture, typical_replicate
from planner.study.sources import cautions, subject, warnings_of
from planner.study.study import DECIDING, Candidate, Study
from planner.workshop.measures import MEASURES
from planner.workshop.months import MONTH_FIGURES

LEAST_RUN_S: Final = 0.0005
"""No run takes less [s]."""

Progress = Callable[[int, int], None]
"""Told after each batch how many runs are done, of how many."""


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
    """Play every option of a scenario in the same worlds and compare each with "as today".

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
    names, under = tuple(scenario.options), tuple(dict.fromkeys(outlooks or (EXPECTED,)))
    number = scenario.study.replicates if replicates is None else replicates
    root = scenario.study.seed if seed is None else seed
    if number < 1:
        raise ValueError(f"a comparison needs at least one world, not {number}")
    setting = Setting(scenario, root)
    player = Player(setting)
    work = worlds(under, range(number), names, by_month=under[0])
    total, outcomes = len(work) * len(names), list[Outcome]()
    with engine or AsNeeded(setting, workers, play=player, at_least_s=LEAST_RUN_S * total) as running:
        player.prepare(names, under)
        if progress is not None:
            progress(0, total)
        for found in running.run(work):
            outcomes += found
            if progress is not None:
                progress(len(outcomes), total)
    return _looked_at(gather(scenario, root, number, under, outcomes), player, scenario)


def gather(
    scenario: Scenario, seed: int, replicates: int, outlooks: Sequence[str], outcomes: Iterable[Outcome]
) -> Study:
    """Put outcomes in order, whatever order they came in, and find what they say."""
    names, outcomes = tuple(scenario.options), tuple(outcomes)
    values, failures = _ordered(scenario, seed, replicates, outlooks, outcomes)
    businesses = {(name, outlook): scenario.business(name, outlook) for name in names for outlook in outlooks}
    columns = {one.name: m for m, one in enumerate(MEASURES)}
    broken = {
        (name, outlook): refusals(
            businesses[name, outlook], {measure: values[o, w, m] for measure, m in columns.items()}
        )
        for o, name in enumerate(names)
        for w, outlook in enumerate(outlooks)
    }
    deciding = Field(
        outlooks[0],
        DECIDING,
        names,
        values[:, 0, columns[DECIDING]],
        [name for name in names if broken[name, outlooks[0]]],
        identical_groups(names, values),
    )
    study = scenario.study
    return Study(
        subject=subject(scenario, seed, replicates, businesses.values()),
        options=tuple(
            Candidate(name, one.summary, one.start_up_cost, one.resale)
            for name, one in scenario.options.items()
        ),
        outlooks=tuple(outlooks),
        measures=MEASURES,
        values=values,
        failures=failures,
        refusals=broken,
        findings=choose(deciding, Rule(AS_TODAY, study.confidence, study.worth_caring_about)),
        cautions=cautions(businesses.values()),
        warnings=warnings_of(scenario),
        months=_by_month(scenario, replicates, outlooks[0], outcomes),
    )


def _looked_at(study: Study, player: Player, scenario: Scenario) -> Study:
    """The study with "as today" and the option that is ahead looked at closely, in the world in which it is typical."""
    found = study.findings
    ahead, base, deciding = found.best or found.leader, study.subject.base, study.column(DECIDING)
    values = study.values[:, 0, deciding]
    if ahead is None or ahead == base:
        number = typical_replicate(values[study.row(base)])
    else:
        number = typical_replicate(values[study.row(ahead)] - values[study.row(base)])
    if number is None:
        return study
    pictures = []
    for name in dict.fromkeys((base, ahead or base)):
        world, run = player.see(name, found.outlook, number)
        start = scenario.business(name, found.outlook).calendar.start
        pictures.append(picture(run, world.weather, start, name, number))
    return replace(study, pictures=tuple(pictures))


def _by_month(
    scenario: Scenario, replicates: int, outlook: str, outcomes: Iterable[Outcome]
) -> Monthly | None:
    """Months of every option; None where outcomes hold none. An option of another length has no months."""
    calendar = scenario.business(AS_TODAY, outlook).calendar
    days = 365 * calendar.years if calendar.days is None else calendar.days
    months = month_names(calendar.start, int(days))
    rows = {name: o for o, name in enumerate(scenario.options)}
    values = np.full((len(rows), len(months), len(MONTH_FIGURES), replicates), nan)
    size, any_there = len(months) * len(MONTH_FIGURES), False
    for one in outcomes:
        if len(one.months) == size and one.outlook == outlook:
            values[rows[one.option], :, :, one.replicate] = np.reshape(one.months, values.shape[1:3])
            any_there = True
    return monthly(values, months, scenario.study.confidence) if any_there else None


def _ordered(
    scenario: Scenario, seed: int, replicates: int, outlooks: Sequence[str], outcomes: Iterable[Outcome]
) -> tuple[FloatArray, tuple[FailedRun, ...]]:
    rows = {name: o for o, name in enumerate(scenario.options)}
    under = {name: w for w, name in enumerate(outlooks)}
    values = np.full((len(rows), len(under), len(MEASURES), replicates), nan)
    failures = []
    for one in outcomes:
        if one.failure is None:
            values[rows[one.option], under[one.outlook], :, one.replicate] = one.measures
            continue
        failures.append(failed_run(scenario.path, seed, one, one.failure))
    failures.sort(key=lambda row: (rows[row.option], under[row.outlook], row.replicate))
    return values, tuple(failures)


def outlooks_to_play(scenario: Scenario, named: Iterable[str] = ()) -> tuple[str, ...]:
    """The expected outlook, under which the choice is made, and those that were named; every one if none was."""
    return tuple(dict.fromkeys((EXPECTED, *(tuple(named) or scenario.outlooks))))


def available_workers() -> int:
    """Processors that this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        return os.cpu_count() or 1
