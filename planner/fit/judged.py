"""What a forecast is worth, figure by figure and all together.

In: worlds, what happened, what happened the month before. Out: ``Judged``, ``Together``. Must not know: how worlds
were played, how it is told.

A claim is made where what happened is further off than in all but a few of the worlds any figure is: each world is
held against the others, the furthest of its figures is noted, and what happened must lie beyond nearly all of these.
So looking at many figures at once makes no claim that would not stand for one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil, inf, nan
from typing import Final, Literal

import numpy as np

from planner.fit.scores import (
    FloatArray,
    crps,
    far,
    far_of_others,
    inside,
    inside_of_others,
    quantiles,
    skill,
)
from planner.fit.weekly import Figure, Stretch
from planner.study.intervals import Interval

USUAL: Final = (0.05, 0.95)
"""Nine worlds in ten lie between."""
LEAST_WORLDS: Final = 40
"""Of fewer worlds nothing is claimed: beyond 95 of 100 of them is one or two worlds (assumed)."""
LEAST_WEEKS: Final = 8
"""Of fewer weeks nothing is claimed (assumed): two months of a business in which some weeks are empty."""
OPEN_SHARE: Final = 0.5
"""A figure foretold within more than this share to either side tells too little to be called right (assumed)."""
NONE: Final = np.empty(0)

Verdict = Literal["above", "below", "agrees"]


@dataclass(frozen=True)
class Course:
    """One figure over the second part; every sequence has one entry a period.

    Parameters
    ----------
    starts : tuple of date
        First day of each week or month.
    happened, low, middle, high : tuple of float
        What happened, and between which it was foretold eight times in ten.
    """

    starts: tuple[date, ...]
    happened: tuple[float, ...]
    low: tuple[float, ...]
    middle: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True)
class Inside:
    """How many periods lay inside the band in which eight of ten should.

    Parameters
    ----------
    number, of : int
        So many, of so many.
    above, below : int
        So many lay beyond it on either side.
    expected_low, expected_mean, expected_high : float
        How many do if the model is right: in nine worlds of ten, each held against the others, and on average.
    """

    number: int
    of: int
    above: int
    below: int
    expected_low: float
    expected_mean: float
    expected_high: float


@dataclass(frozen=True)
class Judged:
    """One figure.

    Parameters
    ----------
    key, label, unit, table, period : str
        As of the figure.
    course, so_far : Course
        Period by period, and added up from the first period on.
    earlier : tuple of float
        What happened in the weeks of the month before, the last one just before the first of the course; empty of
        figures that are counted by month.
    happened : float
        In all.
    foretold : float
        In all, on average over the worlds.
    low, high : float
        In all, in nine worlds of ten.
    total : str
        Is what happened surely ``above`` or ``below`` what was foretold, or not surely either?
    weeks, sums : Inside
        Of the periods, and of what they add up to.
    score, last_score : float
        Mean score of the model and of "same as last month"; less is better.
    skill : Interval
        How much smaller the model's is.
    """

    key: str
    label: str
    unit: str
    table: str
    period: str
    course: Course
    so_far: Course
    earlier: tuple[float, ...]
    happened: float
    foretold: float
    low: float
    high: float
    total: Verdict
    weeks: Inside
    sums: Inside
    score: float
    last_score: float
    skill: Interval

    @property
    def off(self) -> float:
        """How much more was foretold than happened, a period."""
        return (self.foretold - self.happened) / max(1, len(self.course.starts))

    @property
    def is_doubtful(self) -> bool:
        """Is what happened beyond what nine worlds in ten say, though that is not sure to be wrong?"""
        return self.total == "agrees" and not self.low <= self.happened <= self.high

    @property
    def is_open(self) -> bool:
        """Is so much foretold to be possible that what happened could hardly have been wrong?"""
        return self.high - self.low > 2.0 * OPEN_SHARE * self.foretold


@dataclass(frozen=True)
class Together:
    """All figures that are counted by week.

    Parameters
    ----------
    weeks : Inside
        Weeks of all figures.
    sureness : str
        Do surely more weeks lie inside the bands than do if the model is right (``above``), or fewer (``below``)?
    skill : Interval
        Against "same as last month", each figure weighed by how much it usually is.
    claims : bool
        Are there weeks and worlds enough to claim anything?
    """

    weeks: Inside
    sureness: Verdict
    skill: Interval
    claims: bool


def judge(
    figures: Sequence[Figure],
    stretch: Stretch,
    worlds: Mapping[str, FloatArray],
    happened: Mapping[str, FloatArray],
    last: Mapping[str, FloatArray],
    *,
    seed: int,
    confidence: float,
) -> tuple[tuple[Judged, ...], Together]:
    """Judge every figure that has a whole period, and those that are counted by week together.

    Parameters
    ----------
    figures : sequence of Figure
        Which.
    stretch : Stretch
        Of the second part.
    worlds : mapping of str to FloatArray
        By key, shape (worlds, periods).
    happened, last : mapping of str to FloatArray
        By key, shape (periods,): in the second part, and in the month before it.
    seed : int
        Of the sets of weeks that are drawn for intervals.
    confidence : float
        Of claims and intervals.
    """
    there = [one for one in figures if worlds[one.key].size]
    enough = stretch.weeks >= LEAST_WEEKS and bool(there) and worlds[there[0].key].shape[0] >= LEAST_WORLDS
    totals = [worlds[one.key].sum(axis=1) for one in there]
    bound = _bound([far_of_others(one) for one in totals], confidence)
    scores = [_scores(worlds[one.key], happened[one.key], last[one.key]) for one in there]
    found = []
    for one, total, (score, last_score) in zip(there, totals, scores, strict=True):
        distance = far(total, float(happened[one.key].sum()))
        sure = enough and abs(distance) > bound
        by = skill(score, last_score, seed, confidence)
        verdict: Verdict = "agrees" if not sure else "above" if distance > 0.0 else "below"
        found.append(
            _judged(
                one,
                stretch,
                worlds[one.key],
                happened[one.key],
                last[one.key],
                verdict,
                by,
                score,
                last_score,
            )
        )
    by_week = [i for i, one in enumerate(there) if one.period == "week"]
    return tuple(found), _together(
        [worlds[there[i].key] for i in by_week],
        [happened[there[i].key] for i in by_week],
        [scores[i] for i in by_week],
        enough,
        seed,
        confidence,
    )


def _bound(distances: Sequence[FloatArray], confidence: float) -> float:
    """Beyond this lies the furthest figure of only so few worlds."""
    if not distances or not distances[0].size:
        return inf
    furthest = np.sort(np.abs(np.array(distances)).max(axis=0))
    at = ceil((furthest.size + 1) * confidence) - 1
    return float(furthest[at]) if at < furthest.size else inf


def _scores(worlds: FloatArray, happened: FloatArray, last: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Of the model and of "same as last month", each period; nan where there is no last month."""
    same = (
        np.full(happened.size, nan)
        if not last.size
        else crps(np.repeat(last[:, None], happened.size, 1), happened)
    )
    return crps(worlds, happened), same


def _judged(
    figure: Figure,
    stretch: Stretch,
    worlds: FloatArray,
    happened: FloatArray,
    last: FloatArray,
    verdict: Verdict,
    by: Interval,
    score: FloatArray,
    last_score: FloatArray,
) -> Judged:
    starts, total = stretch.periods(figure), worlds.sum(axis=1)
    low, high = np.quantile(total, USUAL)
    return Judged(
        key=figure.key,
        label=figure.label,
        unit=figure.unit,
        table=figure.table,
        period=figure.period,
        course=_course(starts, worlds, happened),
        so_far=_course(starts, worlds.cumsum(axis=1), happened.cumsum()),
        earlier=tuple(last.tolist()),
        happened=float(happened.sum()),
        foretold=float(total.mean()),
        low=float(low),
        high=float(high),
        total=verdict,
        weeks=_inside([worlds], [happened]),
        sums=_inside([worlds.cumsum(axis=1)], [happened.cumsum()]),
        score=float(score.mean()),
        last_score=float(last_score.mean()),
        skill=by,
    )


def _course(starts: tuple[date, ...], worlds: FloatArray, happened: FloatArray) -> Course:
    low, middle, high = (tuple(row.tolist()) for row in quantiles(worlds))
    return Course(starts, tuple(happened.tolist()), low, middle, high)


def _inside(worlds: Sequence[FloatArray], happened: Sequence[FloatArray]) -> Inside:
    """Periods of one or several figures, counted."""
    pairs = list(zip(worlds, happened, strict=True))
    bands = [quantiles(one) for one, _ in pairs]
    by_world = _inside_by_world(worlds)
    low, high = np.quantile(by_world, USUAL) if by_world.size else (nan, nan)
    return Inside(
        number=sum(int(inside(one, real).sum()) for one, real in pairs),
        of=sum(real.size for real in happened),
        above=sum(int((real > band[2]).sum()) for band, real in zip(bands, happened, strict=True)),
        below=sum(int((real < band[0]).sum()) for band, real in zip(bands, happened, strict=True)),
        expected_low=float(low),
        expected_mean=float(by_world.mean()) if by_world.size else nan,
        expected_high=float(high),
    )


def _inside_by_world(worlds: Sequence[FloatArray]) -> FloatArray:
    """How many periods of each world lie inside the bands of the others."""
    if not worlds:
        return np.empty(0)
    found: FloatArray = np.sum(
        [inside_of_others(one).sum(axis=1) for one in worlds], axis=0, dtype=np.float64
    )
    return found


def _together(
    worlds: Sequence[FloatArray],
    happened: Sequence[FloatArray],
    scores: Sequence[tuple[FloatArray, FloatArray]],
    enough: bool,
    seed: int,
    confidence: float,
) -> Together:
    weeks, by_world = _inside(worlds, happened), _inside_by_world(worlds)
    few = ((1.0 - confidence) / 2.0) * (by_world.size + 1)
    sureness: Verdict = "agrees"
    if enough and (by_world <= weeks.number).sum() + 1 <= few:
        sureness = "below"
    elif enough and (by_world >= weeks.number).sum() + 1 <= few:
        sureness = "above"
    usual = [float(one.mean()) for one in worlds]
    weighed = [(score / by, last / by) for by, (score, last) in zip(usual, scores, strict=True) if by > 0.0]
    model, last = np.array(weighed).reshape(len(weighed), 2, -1).sum(axis=0) if weighed else (NONE, NONE)
    return Together(weeks, sureness, skill(model, last, seed, confidence), enough)
