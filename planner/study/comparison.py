"""The comparison: every option in exactly the same worlds, and the choice between them.

In: a scenario, how much to play, a seed. Out: ``Study``. Must not know: files, the terminal.

Which runs there are follows from the arguments alone, so the result is the same to the bit for any number of workers;
a budget of minutes is the exception.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import replace
from math import inf

from planner.engine import Engine, Where
from planner.scenario import Scenario
from planner.scenario.header import EXPECTED
from planner.study.budget import Budget, Purse
from planner.study.deciding import LEAST, decide
from planner.study.findings import LEAST_REPLICATES
from planner.study.gathering import gather, looked_at
from planner.study.keeping import Asked, KeptIn
from planner.study.lineup import Lineup
from planner.study.playing import Progress, playing
from planner.study.study import Study
from planner.study.unknowns import unknowns_of


def compare(
    scenario: Scenario,
    *,
    replicates: int | None = None,
    budget: int | None = None,
    minutes: float | None = None,
    seed: int | None = None,
    workers: int = 1,
    outlooks: Iterable[str] | None = None,
    progress: Progress | None = None,
    engine: Engine | Where | None = None,
    store: KeptIn = None,
) -> Study:
    """Play every option of a scenario in the same worlds, compare each with "as today", and choose the best.

    Every option meets the worlds that the scenario asks for, under every outlook. Then those that may still be best
    are played on under the first outlook until one is left, and that one is confirmed in fresh worlds; unless
    ``replicates`` says how many worlds there are.

    Parameters
    ----------
    scenario : Scenario
        Loaded by ``planner.load``.
    replicates : int, optional
        Play every option in so many worlds and no more.
    budget : int, optional
        Runs at most; what the scenario says if left out.
    minutes : float, optional
        Minutes at most, about, instead of a budget of runs. What fits into them is chance.
    seed : int, optional
        Start of all chance; what the scenario says if left out.
    workers : int
        Processes at most. Short work stays in this one. No result depends on it.
    outlooks : iterable of str, optional
        Outlooks to play; only the expected one if left out. The choice is made under the first.
    progress : callable, optional
        Called with the number of runs done and of all that are known to be wanted.
    engine : Engine or Where, optional
        Executes the runs instead of ``workers`` processes.
    store : Keep or path, optional
        Keeps the runs: stopped at any moment, the study goes on there.

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
    planner.study.budget.BudgetError
        The budget does not cover the worlds that every option meets.
    """
    number = scenario.study.replicates if replicates is None else replicates
    if number < 1:
        raise ValueError(f"a comparison needs at least one world, not {number}")
    if sum(one is not None for one in (replicates, budget, minutes)) > 1:
        raise ValueError("give one of replicates, budget and minutes")
    if minutes is not None and not 0.0 <= minutes < inf:
        raise ValueError(f"minutes must be a number, 0 or more, not {minutes}")
    lineup = Lineup(
        scenario,
        scenario.study.seed if seed is None else seed,
        tuple(dict.fromkeys(outlooks or (EXPECTED,))),
    )
    given = Budget(scenario.study.budget if budget is None and minutes is None else budget, minutes)
    least = len(lineup.names) * len(lineup.outlooks) * number
    asked = Asked(
        store,
        "compare",
        {"replicates": replicates, "budget": budget, "minutes": minutes, "outlooks": lineup.outlooks},
    )
    with playing(scenario, lineup.seed, workers, least, progress, engine, asked, given.runs) as (
        player,
        runs,
    ):
        player.prepare(lineup.names, lineup.outlooks)
        first = lineup.batches(range(number))
        purse = None
        if replicates is None:
            confirming = LEAST if number >= LEAST_REPLICATES else 0
            advice = ", or play fewer outlooks (--outlook expected)" if len(lineup.outlooks) > 1 else ""
            purse = Purse(given, sum(one.runs for one in first) + confirming, advice=advice)
        runs.play(first)
        study = gather(lineup, runs, number)
        if purse is not None:
            study = decide(study, lineup, runs, purse)
    study = replace(study, unknowns=unknowns_of(study, scenario.estimates))
    return looked_at(study, player, lineup)


def outlooks_to_play(scenario: Scenario, named: Iterable[str] = ()) -> tuple[str, ...]:
    """The expected outlook, under which the choice is made, and those that were named; every one if none was."""
    return tuple(dict.fromkeys((EXPECTED, *(tuple(named) or scenario.outlooks))))


def available_workers() -> int:
    """Processors that this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        return os.cpu_count() or 1
