"""A month: what is there today, every question played in the same worlds, the answers.

In: a scenario, what is there today, how many worlds. Out: ``Month``. Must not know: files, the terminal.

Which runs there are follows from the arguments alone, so the answers are the same to the bit for any number of workers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, timedelta

import numpy as np

from planner.engine import Engine, Outcome, Where, worlds
from planner.engine.player import Player, Setting
from planner.plugin.registry import Registry
from planner.scenario import Scenario
from planner.scenario.business import Business
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.study.keeping import Asked, KeptIn
from planner.study.limits import refusals
from planner.study.month import reading
from planner.study.month.answers import Month
from planner.study.month.asked_of import asked_of, at_today
from planner.study.month.questions import SCALED, questions
from planner.study.month.today import (
    MOST_BUCKETS,
    SAID,
    Given,
    Today,
    hours_changes,
    last_day,
    lot_of,
    stock_changes,
    wrong,
)
from planner.study.monthly import month_names
from planner.study.playing import Progress, playing
from planner.study.sample import DECIDING
from planner.study.sources import cautions, versions
from planner.workshop.bucket import Bucket, typical_bucket
from planner.workshop.measures import MEASURES
from planner.workshop.months import MONTH_FIGURES, periods

LEAST_WORLDS = 100
"""Worlds, unless the scenario asks for more: a further bucket is a small difference."""


def month(
    scenario: Scenario,
    given: Given,
    *,
    option: str = AS_TODAY,
    outlook: str = EXPECTED,
    replicates: int | None = None,
    seed: int | None = None,
    workers: int = 1,
    progress: Progress | None = None,
    engine: Engine | Where | None = None,
    store: KeptIn = None,
) -> Month:
    """Answer the questions that come back every month.

    Parameters
    ----------
    scenario : Scenario
        Loaded by ``planner.load``.
    given : Given
        The date, and what is there.
    option, outlook : str
        The business that is played on, and under which outlook; what the option costs to start is not counted.
    replicates : int, optional
        Worlds; 100, or what the scenario says if that is more, if left out.
    seed : int, optional
        Start of all chance; what the scenario says if left out.
    workers : int
        Processes at most; no result depends on it.
    progress : callable, optional
        Called with the number of runs done and of all runs.
    engine : Engine or Where, optional
        Executes the runs instead of ``workers`` processes.
    store : Keep or path, optional
        Keeps the runs: stopped at any moment, the study goes on there.

    Raises
    ------
    planner.scenario.InputError
        Something that was given cannot be, or a name is not known.
    planner.world.build.ModelError
        A model cannot be made from its settings.
    """
    root = scenario.study.seed if seed is None else seed
    number = max(LEAST_WORLDS, scenario.study.replicates) if replicates is None else replicates
    today, values, bucket = starting(scenario, given, option, outlook, root)
    business = asked_of(scenario, values, {}).business()
    asked = questions(business, values, today, bucket, scenario.variants.currency)
    played = asked_of(scenario, values, asked.changes)
    names = (AS_TODAY, *asked.changes)
    kept = Asked(
        store, "month", {**asdict(given), "option": option, "outlook": outlook, "replicates": number}
    )
    with playing(played, root, workers, len(names) * number, progress, engine, kept) as (player, runs):
        player.prepare(names, [EXPECTED])
        runs.play(worlds([EXPECTED], range(number), names, EXPECTED))
    outcomes = [[runs.outcome(name, EXPECTED, world) for world in range(number)] for name in names]
    results = reading.Results(
        {name: _values(row) for name, row in zip(names, outcomes, strict=True)},
        {name: _periods(played.business(name), row) for name, row in zip(names, outcomes, strict=True)},
        scenario.study.confidence,
    )
    failed = [one.failure for row in outcomes for one in row if one is not None and one.failure is not None]
    measured = {one.name: results.of(AS_TODAY, one.name) for one in MEASURES}
    start, hour_price = date.fromisoformat(today.start), business.owner.hour_price_per_h
    untouched, untouched_sale = reading.untouched(results, asked)
    return Month(
        title=scenario.title,
        file=scenario.path.name,
        option=option,
        outlook=outlook,
        currency=scenario.currency,
        units=scenario.units,
        seed=root,
        worlds=number,
        confidence=scenario.study.confidence,
        caring=scenario.study.worth_caring_about,
        today=today,
        money=reading.spread_of(results.of(AS_TODAY, DECIDING)),
        buckets=None if bucket is None else reading.buckets(results, asked, bucket, hour_price, today),
        untouched=untouched,
        untouched_sale=untouched_sale,
        price=reading.price(results, asked, _prices(business)),
        drops=reading.drops(results, asked),
        lighting=reading.lighting(results, asked),
        shops=reading.shops(results, asked, hour_price),
        left=reading.left(results, month_names(start, today.days)),
        left_out=tuple(asked.left_out.items()),
        refused=tuple(f"{one.limit}: {one.reason}" for one in refusals(business, measured)),
        cautions=cautions([business]),
        runs=len(names) * number,
        failed=len(failed),
        failure=failed[0].summary if failed else "",
        versions=tuple(versions(Registry(), [business]).items()),
    )


def starting(
    scenario: Scenario, given: Given, option: str, outlook: str, seed: int
) -> tuple[Today, dict[str, object], Bucket | None]:
    """What it starts from, every value of the business of today, a typical bucket."""
    until = last_day(given)
    if given.promised < 0:
        raise wrong("--promised", f"{given.promised} buckets cannot be promised; give 0 or more")
    if given.promised > MOST_BUCKETS:
        raise wrong(
            "--promised", f"{given.promised} buckets are more than the {MOST_BUCKETS} that can be played"
        )
    written = scenario.business(option, outlook)
    days = (until - given.start).days + 1
    bucket = _typical(scenario, option, outlook, seed)
    currency = scenario.variants.currency
    changes = {
        "calendar.start": given.start.isoformat(),
        "calendar.days": days,
        **stock_changes(given.stock, bucket, currency),
        **({} if given.cash is None else {"cash.opening": given.cash}),
        **hours_changes(given.hours, written.owner.other_hours, given.start, until),
    }
    values = at_today(scenario, option, outlook, changes, SAID)
    business = asked_of(scenario, values, {}).business()
    stock, cash = business.stock, business.cash.opening
    promised_kg, cost = 0.0, 0.0
    if given.promised:
        if bucket is None:
            raise wrong("--promised", "the scenario has no shops, so what is in a bucket is not known")
        promised_kg, cost = given.promised * bucket.mass_kg, given.promised * bucket.price
        if cost > cash:
            raise wrong(
                "--promised",
                f"{given.promised} buckets cost {cost:.0f} {currency}, more than the {cash:.0f} {currency} at hand",
            )
        lot = lot_of(bucket, f"{bucket.mass_kg} kg", bucket.price, currency)
        values["stock"]["lots"] += [lot] * given.promised
        values["cash"]["opening"] = f"{cash - cost} {currency}"
    told = [text.partition("=")[0].strip() for text in given.stock]
    today = Today(
        given.start.isoformat(),
        until.isoformat(),
        days,
        given.until is not None,
        stock.hard_kg,
        stock.soft_kg,
        stock.mixed_kg,
        sum(lot.mass_kg for lot in stock.lots),
        cash,
        (*("weights" if one == "buckets" else one for one in told), *(["cash"] if given.cash else [])),
        given.promised,
        promised_kg,
        cost,
        given.hours,
        written.calendar.start.isoformat(),
        _last_written(written).isoformat(),
    )
    return today, values, bucket


def _last_written(business: Business) -> date:
    """The last day that a scenario is written for."""
    calendar = business.calendar
    return calendar.start + timedelta((calendar.days or 365 * calendar.years) - 1)


def _typical(scenario: Scenario, option: str, outlook: str, seed: int) -> Bucket | None:
    """The mean of all buckets that shops fill in the first world."""
    player = Player(Setting(scenario.certain, seed))
    world, _ = player.see(option, outlook, 0, diary=False)
    return typical_bucket(scenario.business(option, outlook), world)


def _prices(business: Business) -> tuple[tuple[str, float], ...]:
    """What private buyers are asked today, by alloy."""
    if business.pricing.model not in SCALED:
        return ()
    private = business.pricing.settings.private
    every = (("hard", private.hard_per_kg), ("soft", private.soft_per_kg), ("mixed", private.mixed_per_kg))
    return tuple((alloy, price) for alloy, price in every if price is not None)


def _values(row: Sequence[Outcome | None]) -> np.ndarray:
    """Measures by world; nan where a run failed."""
    found = np.full((len(MEASURES), len(row)), np.nan)
    for world, one in enumerate(row):
        if one is not None and one.failure is None:
            found[:, world] = one.measures
    return found


def _periods(business: Business, row: Sequence[Outcome | None]) -> np.ndarray:
    """Figures of weeks or months by world; nan where a run failed."""
    calendar = business.calendar
    count = len(list(periods(calendar.start, calendar.days or 0)))
    found = np.full((count, len(MONTH_FIGURES), len(row)), np.nan)
    for world, one in enumerate(row):
        if one is not None and one.failure is None and one.months:
            found[..., world] = np.reshape(one.months, (count, len(MONTH_FIGURES)))
    return found
