"""A whole business over a year: Little's law on everything that waits in it, and books in which nothing is lost.

In: a scenario. Out: rows. Must not know: how its queues are told from rows or counted on the floor.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import fsum
from typing import Final

import numpy as np

from planner.engine.player import Player, Setting, uncollected
from planner.scenario import Scenario
from planner.scenario.business import Business
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.testing.flow import QUEUES, Passed
from planner.testing.rows import Mean, Row, by_chance, for_sure, mean_of
from planner.workshop.floor import Floor
from planner.workshop.play import RunError, Watch, play
from planner.workshop.premises import Premises, StartUp, Tables
from planner.workshop.result import Run
from planner.world.draw import Draw
from planner.world.parts import FloatArray, Pricing, World

SEED: Final = 20260104
WORLDS, LOOKS = 24, 500
FEWEST: Final = 2
"""With fewer runs nothing can be said of chance."""
LITTLE: Final = "Little (1961): L = lambda W; L counted at 500 random hours a run, lambda W from rows"
KEPT: Final = "mass and money are neither made nor lost"
ROUNDING_KG, ROUNDING_MONEY = 1e-6, 1e-6
MONEY: Final = "money"


class Watched:
    """A workshop that looks at every queue while it plays; one run at a time."""

    def __init__(self) -> None:
        self.t_h: FloatArray = np.empty(0)
        self.seen: list[list[float]] = []

    def __call__(
        self,
        business: Business,
        world: World,
        pricing: Pricing,
        start_up: StartUp,
        tables: Tables,
        known: Premises,
        diary: bool,
    ) -> Run:
        """Play one run, looking."""
        self.seen = []
        watch = Watch(self.t_h.tolist(), self._look)
        return play(business, world, pricing, start_up, tables, known, diary, watch)

    def _look(self, t_h: float, floor: Floor) -> None:
        self.seen.append([queue.seen(t_h, floor) for queue in QUEUES])


def rows(scenario: Scenario, option: str = AS_TODAY, worlds: int = WORLDS) -> Iterator[Row]:
    """The scenario's business, as it is today or with an option, under the expected outlook."""
    business = scenario.business(option, EXPECTED)
    watched = Watched()
    player = Player(Setting(scenario.certain, SEED, watched))
    by_sight, by_rows, off, broken = [], [], [], ""
    hours = _hours(business)
    for world_number in range(worlds):
        chance = Draw(SEED, world_number).within("looks").uniform("hours", LOOKS)
        watched.t_h = (np.arange(LOOKS) + chance) / LOOKS * hours
        with uncollected():
            try:
                world, run = player.see(option, EXPECTED, world_number)
            except RunError as error:
                broken = broken or f"; world {world_number}: {error}"
                continue
            passed = [queue.passed(business, world, run) for queue in QUEUES]
        by_sight.append(np.mean(watched.seen, axis=0))
        by_rows.append([one.area(hours) / hours for one in passed])
        off.append(_off(business, run, passed))
    nothing = f"a run is broken off by nothing{broken}"
    ended = for_sure(
        "books", f"runs that came to their end, of {worlds}", "", worlds, len(by_sight), 0.0, nothing
    )
    if len(by_sight) < FEWEST:
        yield ended
        return
    for i, queue in enumerate(QUEUES):
        expected = np.array(by_rows)[:, i]
        difference = mean_of(np.array(by_sight)[:, i] - expected)
        got = Mean(float(expected.mean()) + difference.value, difference.standard_error, difference.free)
        yield by_chance("Little's law", f"L of {queue.name}", queue.unit, float(expected.mean()), got, LITTLE)
    yield ended
    for (case, unit, allowed), farthest in zip(_BOOKS, np.abs(off).max(axis=0).tolist(), strict=True):
        unit = scenario.currency if unit == MONEY else unit
        yield for_sure("books", f"{case}, farthest off in {worlds} runs", unit, 0.0, farthest, allowed, KEPT)


def _hours(business: Business) -> float:
    calendar = business.calendar
    return 24.0 * (365 * calendar.years if calendar.days is None else calendar.days)


_BOOKS: Final = (
    ("kilograms in less kilograms out and left", "kg", ROUNDING_KG),
    ("weights that came, left and lie there", "kg", ROUNDING_KG),
    ("ingots that were cast, left and lie there", "kg", ROUNDING_KG),
    ("skimmings that came, left and lie there", "kg", ROUNDING_KG),
    ("cash at first, all movements, cash at last", MONEY, ROUNDING_MONEY),
    ("takings by sale less takings by ledger", MONEY, ROUNDING_MONEY),
)


def _off(business: Business, run: Run, passed: list[Passed]) -> list[float]:
    """What is missing from each of the books of a run."""
    balance, stock = run.balance, business.stock
    if balance is None:
        raise ValueError("the run left no balance")
    _, weights, skimmings, ingots, _ = passed
    skimmed_kg = balance.clips_kg + balance.zinc_kg + balance.steel_kg + balance.dross_kg
    in_kg = fsum(lot.mass_kg for lot in run.lots) + stock.hard_kg + stock.soft_kg + stock.mixed_kg
    out_kg = fsum(sale.mass_kg for sale in run.sales) + fsum(row.mass_kg for row in run.yard)
    rubbish_kg = fsum(melt.rubbish_kg for melt in run.melts) + fsum(row.rubbish_out_kg for row in run.sorts)
    pot_kg = run.melts[-1].in_pot_kg if run.melts else 0.0
    left_kg = balance.ingots_kg + balance.lots_kg + skimmed_kg + rubbish_kg + pot_kg
    sales = fsum(sale.money + sale.tin_money for sale in run.sales)
    ledger = fsum(entry.amount for entry in run.ledger if entry.kind.startswith("sales: "))
    return [
        in_kg + balance.pewter_kg - out_kg - left_kg,
        weights.still_there - balance.lots_kg,
        ingots.still_there - balance.ingots_kg,
        skimmings.still_there - skimmed_kg,
        run.opening_cash + fsum(entry.amount for entry in run.ledger) - run.months[-1].cash,
        sales - ledger,
    ]
