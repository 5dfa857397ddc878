"""What was played of a comparison, put in order: a study with its findings, months and pictures.

In: a line-up and its runs. Out: ``Study``. Must not know: which runs there should be, files, the terminal.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from math import nan

import numpy as np

from planner.engine.player import Player
from planner.scenario.header import AS_TODAY
from planner.scenario.origins import origins_of
from planner.study.findings import Field, choose, identical_groups
from planner.study.idle import idle
from planner.study.lineup import Lineup
from planner.study.monthly import Monthly, month_names, monthly
from planner.study.picture import picture, typical_replicate
from planner.study.playing import Runs
from planner.study.sample import DECIDING, Sample
from planner.study.sources import cautions, subject, warnings_of
from planner.study.study import Candidate, Study
from planner.workshop.measures import MEASURES
from planner.workshop.months import MONTH_FIGURES


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
        warnings=(*warnings_of(scenario), *_idle(lineup, sample)),
        months=_by_month(lineup, runs, number),
        origins=origins_of(scenario),
    )


def _idle(lineup: Lineup, sample: Sample) -> tuple[str, ...]:
    """What "as today" never does under the first outlook."""
    measured = {one.name: sample.of(AS_TODAY, one.name) for one in MEASURES}
    return idle(lineup.businesses[AS_TODAY, lineup.outlooks[0]], measured, AS_TODAY)


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
            one = runs.outcome(name, outlook, replicate)
            if one is not None and len(one.months) == size:
                values[o, :, :, replicate] = np.reshape(one.months, values.shape[1:3])
                any_there = True
    return monthly(values, months, lineup.scenario.study.confidence) if any_there else None
