"""Looking back: fitted on the first part of the records, judged on the second.

In: a scenario, records, a day that parts them. Out: ``Backtest``. Must not know: files, the terminal.

What was known on that day is all that the forecast knows: the fit sees the records before it, the business starts as
these records leave it, and its worlds are played over the days of the second part. Both are counted by the same
function, off the same tables.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

import numpy as np

from planner.engine.player import Player, Setting, failure_of, uncollected
from planner.fit.applied import drawn
from planner.fit.fitting import fit
from planner.fit.judged import Judged, Together, judge
from planner.fit.stood import Stood, stood
from planner.fit.weekly import FIGURES, WEEK, Figure, FloatArray, Stretch, began, counts, kept, span
from planner.plugin.registry import Registry
from planner.records.of_run import records_of
from planner.records.records import Records
from planner.scenario import InputError, Problem, Scenario
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.study.foresight import foresee
from planner.study.playing import Progress
from planner.study.sources import cautions, versions
from planner.trade.safety import Caution

FIRST_SHARE: Final = 2.0 / 3.0
"""Of the days, to fit on, if nobody says otherwise."""
WORLDS: Final = 100
"""If nobody says otherwise: shares of them are known to some four in a hundred."""
LEAST_FITTED, LEAST_JUDGED = 8, 4
"""Weeks of either part (assumed): with fewer a month is not to be told from the next."""
MOST_JUDGED: Final = 52
"""Weeks that are judged; what lies beyond is another year."""
LAST_MONTH: Final = 4
"""Weeks of the last month before the second part."""

Fitting = Callable[[Scenario, Records], tuple[Scenario, tuple[str, ...]]]
"""Puts what records tell into a scenario; and the names of what it estimated."""


@dataclass(frozen=True)
class Backtest:
    """What was foretold and what happened.

    Parameters
    ----------
    title, file, currency, units : str
        Of the scenario.
    seed, worlds : int
        Of the forecast.
    confidence : float
        Of every claim: all figures together err at most this much less than always if the model is right.
    first_from, first_until : date
        Days that it was fitted on.
    second_from, second_until : date
        Days that it was judged on: whole weeks.
    weeks : int
        Of the second part.
    estimates : tuple of str
        What was estimated from the first part, by name.
    stood : Stood
        What it started from.
    judged : tuple of Judged
        One a figure.
    together : Together
        All figures that are counted by week.
    not_kept : tuple of str
        Figures of tables that are not kept.
    begun_late : tuple of (str, date)
        Tables that begin only after the first part.
    ended : tuple of str
        Tables without a row in the second part, of which nearly every world has some.
    failed : int
        Worlds in which the run failed; they do not count.
    failure : str
        What went wrong in the first of them.
    """

    title: str
    file: str
    currency: str
    units: str
    seed: int
    worlds: int
    confidence: float
    first_from: date
    first_until: date
    second_from: date
    second_until: date
    weeks: int
    estimates: tuple[str, ...]
    stood: Stood
    judged: tuple[Judged, ...]
    together: Together
    not_kept: tuple[str, ...]
    begun_late: tuple[tuple[str, date], ...]
    ended: tuple[str, ...]
    failed: int
    failure: str
    cautions: tuple[Caution, ...]
    versions: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Parts:
    """Where the records are parted."""

    first: date
    second: Stretch

    @property
    def before(self) -> date:
        """Last day of the first part."""
        return self.second.start - timedelta(days=1)


def fitted(scenario: Scenario, records: Records) -> tuple[Scenario, tuple[str, ...]]:
    """The scenario with what records tell put in."""
    found = fit(scenario, records)
    return drawn(found), tuple(one.name for one in found.estimates)


def backtest(
    scenario: Scenario,
    records: Records,
    *,
    split: date | None = None,
    share: float = FIRST_SHARE,
    replicates: int = WORLDS,
    seed: int | None = None,
    fitting: Fitting = fitted,
    progress: Progress | None = None,
) -> Backtest:
    """Fit on the first part of records and judge on the second.

    Parameters
    ----------
    scenario : Scenario
        Loaded by ``planner.load``.
    records : Records
        What was written down.
    split : date, optional
        First day of the second part.
    share : float
        Otherwise: how much of the days is the first part.
    replicates : int
        Worlds that are played.
    seed : int, optional
        Start of all chance; what the scenario says if left out.
    fitting : callable
        Puts what the first part tells into the scenario.
    progress : callable, optional
        Called with the number of runs done and of all runs.

    Raises
    ------
    planner.scenario.InputError
        The records hold too few weeks, or none of the figures.
    planner.world.build.ModelError
        A model cannot be made from its settings.
    """
    root = scenario.study.seed if seed is None else seed
    parts = part(records, split, share)
    figures = kept(records, parts.second.start)
    before = records.between(parts.first, parts.before)
    told, estimates = fitting(scenario, before)
    start = stood(told, before, parts.first, parts.second.start, WEEK * parts.second.weeks, root)
    foresee(start.scenario, replicates, 1, progress)
    worlds, failures = play(start.scenario, parts.second, figures, replicates, root, progress)
    happened = counts(records, parts.second, figures)
    last = counts(records, last_month(parts.second), figures)
    judged, whole = judge(
        figures, parts.second, worlds, happened, last, seed=root, confidence=scenario.study.confidence
    )
    business, absent = start.scenario.business(), [one for one in FIGURES if one not in figures]
    late = {one.table: day for one in absent if (day := began(records, one.table)) is not None}
    after = records.between(parts.second.start, parts.second.end)
    return Backtest(
        title=scenario.title,
        file=scenario.path.name,
        currency=scenario.currency,
        units=scenario.units,
        seed=root,
        worlds=replicates - len(failures),
        confidence=scenario.study.confidence,
        first_from=parts.first,
        first_until=parts.before,
        second_from=parts.second.start,
        second_until=parts.second.end,
        weeks=parts.second.weeks,
        estimates=estimates,
        stood=start,
        judged=judged,
        together=whole,
        not_kept=tuple(one.label for one in absent if one.table not in late),
        begun_late=tuple(late.items()),
        ended=tuple(
            dict.fromkeys(one.table for one in judged if not len(after[one.table]) and one.low > 0.0)
        ),
        failed=len(failures),
        failure=failures[0] if failures else "",
        cautions=cautions([business]),
        versions=tuple(versions(Registry(), [business]).items()),
    )


def part(records: Records, split: date | None, share: float) -> Parts:
    """Where the records are parted.

    Raises
    ------
    planner.scenario.InputError
        There is nothing in them, or a part of them is too short.
    """
    days = span(records)
    needed = f"{LEAST_FITTED + LEAST_JUDGED} weeks are needed, {LEAST_FITTED} to fit on and {LEAST_JUDGED} to judge on"
    if days is None:
        raise _wrong("--records", f"nothing is written down with a date; {needed}")
    first, last = days
    whole = (last - first).days + 1
    if whole < WEEK * (LEAST_FITTED + LEAST_JUDGED):
        raise _wrong("--records", f"{first} to {last} is {_weeks(whole)}; {needed}")
    if split is None:
        fitted_days = min(max(round(share * whole), WEEK * LEAST_FITTED), whole - WEEK * LEAST_JUDGED)
        split = first + timedelta(days=fitted_days)
    elif (split - first).days < WEEK * LEAST_FITTED:
        raise _wrong(
            "--split",
            f"the records begin on {first}, {_weeks(max(0, (split - first).days))} before {split}; {LEAST_FITTED} "
            f"weeks are needed to fit on, so give {first + timedelta(days=WEEK * LEAST_FITTED)} or later",
        )
    elif (last - split).days + 1 < WEEK * LEAST_JUDGED:
        raise _wrong(
            "--split",
            f"the records end on {last}, {_weeks(max(0, (last - split).days + 1))} after {split}; {LEAST_JUDGED} weeks "
            f"are needed to judge on, so give {last - timedelta(days=WEEK * LEAST_JUDGED - 1)} or earlier",
        )
    weeks = min(((last - split).days + 1) // WEEK, MOST_JUDGED)
    return Parts(first, Stretch(split, weeks))


def _weeks(days: int) -> str:
    whole = days // WEEK
    return f"{days} days" if whole < 2 else f"{whole} weeks"


def _wrong(option: str, words: str) -> InputError:
    """Something on the command line that cannot be."""
    return InputError.of([Problem("", 0, 0, option, words)])


def last_month(second: Stretch) -> Stretch:
    """The last month before the second part: four weeks."""
    return Stretch(second.start - timedelta(days=WEEK * LAST_MONTH), LAST_MONTH)


def play(
    scenario: Scenario,
    stretch: Stretch,
    figures: Sequence[Figure],
    replicates: int,
    seed: int,
    progress: Progress | None = None,
) -> tuple[Mapping[str, FloatArray], list[str]]:
    """What happens in each world, counted as the owner's tables would tell it.

    Returns
    -------
    mapping of str to FloatArray
        By key of the figure, shape (worlds, periods); worlds whose run failed are left out.
    list of str
        What went wrong in those.
    """
    player = Player(Setting(scenario, seed))
    player.prepare([AS_TODAY], [EXPECTED])
    found: list[Mapping[str, FloatArray]] = []
    failures: list[str] = []
    for number in range(replicates):
        if progress is not None:
            progress(number, replicates)
        try:
            with uncollected():
                world, run = player.see(AS_TODAY, EXPECTED, number, diary=False)
                told = records_of(run, scenario.business(), world)
        except Exception as error:  # as in an engine: one run that fails costs no other
            failures.append(f"world {number}: {failure_of(error).summary}")
            continue
        found.append(counts(told, stretch, figures))
    if progress is not None:
        progress(replicates, replicates)
    shape = {one.key: (len(found), len(stretch.periods(one))) for one in figures}
    return {
        key: np.array([one[key] for one in found], dtype=np.float64).reshape(size)
        for key, size in shape.items()
    }, failures
