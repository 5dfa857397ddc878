"""What holds a business back, and what a little more of each thing is worth: "grow this first".

In: a scenario, an option, how many worlds. Out: ``Growth``. Must not know: words, files, the terminal.

The business is played as it is and with each increment alone, in the same worlds, so that every gain is a paired
difference; the intervals of the gains hold together (Bonferroni over the increments).
"""

from __future__ import annotations

import shlex
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import nan
from typing import Final

import numpy as np

from planner.engine import Engine, Where, worlds
from planner.scenario import Input, InputError, Scenario
from planner.scenario.business import Business
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.study.failures import FailedRun, failed_run
from planner.study.findings import MOST_FAILED_SHARE
from planner.study.growth import Growth, Lost, Verdict, Worth
from planner.study.increments import Increment, LeftOut, increments
from planner.study.intervals import FloatArray, Interval, interval, lopsided
from planner.study.keeping import Asked, KeptIn
from planner.study.limits import Refusal, refusals
from planner.study.playing import Progress, Runs, playing
from planner.study.prices import Price, prices
from planner.study.sample import DECIDING
from planner.study.sources import cautions, subject, warnings_of
from planner.study.start_up import payback_months
from planner.study.study import Subject
from planner.workshop.measures import LIMITS, MEASURES, limit_measure
from planner.workshop.premises import premises
from planner.world.build import ModelError

WORLDS: Final = 100
"""Worlds in which each increment is played, unless said otherwise."""

TRIFLE_SHARE: Final = 0.01
"""Of what is worth caring about: gains of no more than this are nothing, however sure (assumed)."""
ORDER: Final[tuple[Verdict, ...]] = ("more", "unsure", "nothing", "less")


def grow(
    scenario: Scenario,
    option: str = AS_TODAY,
    *,
    replicates: int | None = None,
    seed: int | None = None,
    workers: int = 1,
    progress: Progress | None = None,
    engine: Engine | Where | None = None,
    store: KeptIn = None,
) -> Growth:
    """Play a business with a little more of each thing that may hold it back.

    Parameters
    ----------
    scenario : Scenario
        Loaded by ``planner.load``.
    option : str
        Look at the business as it is once this option is taken.
    replicates : int, optional
        Worlds; 100 if left out.
    seed, workers, progress, engine, store
        As for :func:`planner.compare`.

    Raises
    ------
    planner.scenario.InputError
        There is no such option.
    planner.world.build.ModelError
        A model cannot be made from its settings.
    """
    number = WORLDS if replicates is None else replicates
    if number < 1:
        raise ValueError(f"at least one world has to be played, not {number}")
    root = scenario.study.seed if seed is None else seed
    here = scenario.taking(option)
    business = here.business()
    tried, left_out = _tried(here, business)
    asked = Asked(store, "grow", {"option": option, "replicates": number})
    with playing(here, root, workers, (len(tried) + 1) * number, progress, engine, asked) as (player, runs):
        player.prepare([AS_TODAY], [EXPECTED])
        for one in list(tried):
            try:
                player.prepare([AS_TODAY], [EXPECTED], one.inputs)
            except (InputError, ModelError) as error:
                del tried[one]
                left_out.append(LeftOut(one.words, " ".join(str(error).split())))
        points = [(), *(one.inputs for one in tried)]
        # world by world, so that what the points share of a world is drawn once
        runs.play(
            [
                batch
                for world in range(number)
                for at in points
                for batch in worlds([EXPECTED], [world], [AS_TODAY], inputs=at)
            ]
        )
    values = _values(runs, points, number)
    told = prices(scenario, list(tried))
    confidence, of = scenario.study.confidence, subject(scenario, root, number, [business])
    now = refusals(business, _measured(values[0]))
    worths, refused = [], {}
    for at, (one, then) in enumerate(tried.items(), 1):
        still = refusals(then, _measured(values[at]))
        gains = _Gains(values[at] - values[0], confidence, len(tried))
        if why := _why_not([*_newly(still, now)], gains):
            refused[one.key] = LeftOut(one.words, why)
            continue
        worths.append(_worth(one, one.amount(business, then), gains, told.get(one.key), of, not still))
    worths.sort(key=lambda one: (ORDER.index(one.verdict), -one.gain.mean))
    rows = {one.key: at for at, one in enumerate(tried, 1)}
    base = {one.name: interval(values[0, m], confidence) for m, one in enumerate(MEASURES)}
    return Growth(
        of,
        option,
        base[DECIDING],
        base["profit"],
        base["free_hours_h"],
        _lost(base),
        tuple(worths),
        _level(worths, values[:, _column(DECIDING)], rows, confidence),
        (*left_out, *refused.values()),
        now,
        _failures(scenario, root, option, number, runs),
        cautions([business]),
        warnings_of(scenario),
    )


def _tried(here: Scenario, business: Business) -> tuple[dict[Increment, Business], list[LeftOut]]:
    """Increments with the business that each makes, and what cannot be tried: for want of it, or as a hard limit."""
    tried: dict[Increment, Business] = {}
    left_out: list[LeftOut] = []
    broken = premises(business).refusals
    for one in increments(business, here.variants.written(AS_TODAY, EXPECTED), here.currency):
        if isinstance(one, LeftOut):
            left_out.append(one)
            continue
        try:
            then = here.at(one.inputs).business()
        except InputError as error:
            left_out.append(LeftOut(one.words, error.problems[0].message))
            continue
        if newly := _newly(premises(then).refusals, broken):
            left_out.append(LeftOut(one.words, newly[0].reason))
            continue
        if not one.amount(business, then) > 0.0:
            left_out.append(LeftOut(one.words, "there is none of it, so a tenth more is none either"))
            continue
        tried[one] = then
    return tried, left_out


def _why_not(broken: Sequence[Refusal], gains: _Gains) -> str | None:
    """Why nothing is told of an increment that was played: a hard limit, or too many runs without a result."""
    if broken:
        return broken[0].reason
    missing = np.isnan(gains.values[_column(DECIDING)])
    if missing.mean() > MOST_FAILED_SHARE:
        return f"{missing.sum()} of {missing.size} runs with it or without it have no result"
    return None


def _newly(then: Sequence[Refusal], now: Sequence[Refusal]) -> list[Refusal]:
    """Hard limits that were not broken before."""
    known = {one.limit for one in now}
    return [one for one in then if one.limit not in known]


def _values(runs: Runs, points: Sequence[tuple[Input, ...]], number: int) -> FloatArray:
    """Measures of every point, shape (points, measures, worlds); nan where a run failed."""
    values = np.full((len(points), len(MEASURES), number), nan)
    for p, inputs in enumerate(points):
        for world in range(number):
            one = runs.outcome(AS_TODAY, EXPECTED, world, inputs)
            if one is not None and one.failure is None:
                values[p, :, world] = one.measures
    return values


def _measured(values: FloatArray) -> Mapping[str, FloatArray]:
    return {one.name: values[m] for m, one in enumerate(MEASURES)}


def _column(measure: str) -> int:
    return next(m for m, one in enumerate(MEASURES) if one.name == measure)


@dataclass(frozen=True, slots=True)
class _Gains:
    """Paired differences of one point, shape (measures, worlds)."""

    values: FloatArray
    confidence: float
    comparisons: int

    def of(self, measure: str) -> Interval:
        """Of one measure."""
        return interval(self.values[_column(measure)], self.confidence, self.comparisons)


def _worth(
    one: Increment, amount: float, gains: _Gains, price: Price | None, of: Subject, allowed: bool
) -> Worth:
    gain = gains.of(DECIDING)
    cost = None if price is None else price.each * amount
    return Worth(
        one.key,
        one.limit,
        one.name,
        one.words,
        one.unit,
        tuple(map(str, one.inputs)),
        amount,
        gain,
        gains.of("profit"),
        _over(gain, amount),
        gains.of("hours_h"),
        price,
        None if cost is None else _over(gain, cost),
        _verdict(gain, of.worth_caring_about),
        None if cost is None else payback_months(cost, gain.mean, of),
        allowed,
        lopsided(gains.values[_column(DECIDING)]),
    )


def _over(found: Interval, by: float) -> Interval:
    return replace(found, mean=found.mean / by, low=found.low / by, high=found.high / by)


def _verdict(gain: Interval, caring: float) -> Verdict:
    """What an interval says; without one (too few worlds) nothing can be told."""
    trifle = TRIFLE_SHARE * caring
    if -trifle <= gain.low <= gain.high <= trifle:
        return "nothing"
    if gain.low > 0.0:
        return "more"
    if gain.high < 0.0:
        return "less"
    return "nothing" if gain.high < caring else "unsure"


def _lost(base: Mapping[str, Interval]) -> tuple[Lost, ...]:
    found = [Lost(limit, words, base[limit_measure(limit)]) for limit, words in LIMITS]
    return tuple(sorted((one for one in found if one.hours.mean > 0.0), key=lambda one: -one.hours.mean))


def _level(
    worths: Sequence[Worth], money: FloatArray, rows: Mapping[str, int], confidence: float
) -> tuple[str, ...]:
    """What surely brings more but not surely less than the first; money has shape (points, worlds)."""
    surely = [one.key for one in worths if one.verdict == "more" and one.allowed]
    behind = {
        key: interval(money[rows[surely[0]]] - money[rows[key]], confidence, len(surely) - 1)
        for key in surely[1:]
    }
    return tuple(key for key, found in behind.items() if not found.low > 0.0)


def _failures(scenario: Scenario, seed: int, option: str, number: int, runs: Runs) -> tuple[FailedRun, ...]:
    """Runs without a result, each with the command that plays it again among the others."""
    words = ["planner", "grow", scenario.path.name, "--option", option]
    repeat = shlex.join([*words, "--seed", str(seed), "--replicates", str(number)])
    return tuple(
        replace(failed_run(scenario.path, seed, one, one.failure), option=option, repeat=repeat)
        for one in runs.outcomes.values()
        if one.failure is not None
    )
