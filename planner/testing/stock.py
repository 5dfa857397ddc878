"""A season's stock of ingots, bought before anybody knows who will ask: the newsvendor, played through the real run.

In: nothing. Out: rows. Must not know: the queue of buyers (a sale takes no time to speak of).

Buyers ask for one kilogram each, as many as Poisson's law gives; what is left when the season ends goes to the yard.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import exp
from typing import Final

import numpy as np

from planner.testing.quiet import Workshop, business_of, buyers_of, world_of
from planner.testing.rows import Row, by_chance, for_sure, mean_of
from planner.workshop.result import Run
from planner.world.draw import Draw
from planner.world.parts import GOODS, FloatArray, Rates

FAMILY: Final = "stock"
SEED: Final = 20260102
SEASONS: Final = 400
SEASON_DAYS, AFTER_DAYS = 30, 4
BUYERS: Final = 6.0
"""Mean number in a season."""
MOST_BUYERS: Final = 40
"""More than this never come (chance below 1e-19)."""
PRICE, COST, YARD = 6.0, 2.0, 1.0
"""Currency a kg: sold, bought, left over; 4 is lost with a buyer who gets none, 1 with a kilogram too much."""
STOCKS_KG: Final = (5, 8, 11)
SOURCE: Final = (
    "newsvendor, Poisson(6), h = 1, p = 4: Snyder, Shen, Fundamentals of Supply Chain Theory, ex. 4.7"
)
PUBLISHED: Final = {5: 6.590296024616343, 8: 3.5701069457709416}
"""Expected cost of too much and too little at these stocks, as carried by the library stockpyl 1.0.2."""


def chances(most: int, mean: float = BUYERS) -> FloatArray:
    """Chance of 0, 1, ... buyers."""
    found = [exp(-mean)]
    for n in range(1, most + 1):
        found.append(found[-1] * mean / n)
    return np.array(found)


def cost_of_chance(stock_kg: int) -> float:
    """Expected cost of too much and too little."""
    asked = np.arange(MOST_BUYERS + 1)
    over, under = np.maximum(stock_kg - asked, 0), np.maximum(asked - stock_kg, 0)
    return float(chances(MOST_BUYERS) @ ((COST - YARD) * over + (PRICE - COST) * under))


def best_kg() -> int:
    """The smallest stock that suffices with the critical fractile's chance."""
    fractile = (PRICE - COST) / (PRICE - YARD)
    return int(np.searchsorted(np.cumsum(chances(MOST_BUYERS)), fractile))


def rows() -> Iterator[Row]:
    """What each stock brings, and which is the best."""
    for stock_kg, cost in PUBLISHED.items():
        case = f"newsvendor's formula: cost of chance with {stock_kg} kg"
        yield for_sure(FAMILY, case, "EUR", cost, cost_of_chance(stock_kg), 1e-9, SOURCE)
    brought = {}
    for stock_kg in STOCKS_KG:
        brought[stock_kg], controls = profits(stock_kg)
        expected = (PRICE - COST) * BUYERS - cost_of_chance(stock_kg)
        case = f"a season's profit with {stock_kg} kg in stock"
        yield by_chance(FAMILY, case, "EUR", expected, mean_of(brought[stock_kg], [controls]), SOURCE)
    best = max(brought, key=lambda stock_kg: float(brought[stock_kg].mean()))
    case = f"the best of {', '.join(map(str, STOCKS_KG))} kg, the same seasons played with each"
    yield for_sure(FAMILY, case, "kg", best_kg(), best, 0.0, f"critical fractile 0.8; {SOURCE}")


def profits(stock_kg: int) -> tuple[FloatArray, FloatArray]:
    """Profit of each season, and how many more buyers asked in it than do on average."""
    workshop = Workshop(
        business_of(
            calendar={"days": SEASON_DAYS + AFTER_DAYS},
            owner={"priority": ["serve", "yard"]},
            vehicle={"payload": "1000 kg"},
            stock={"hard": f"{stock_kg} kg"},
            yard={
                "distance": "0 km",
                "open": "00:00-24:00",
                "visit": "0 min",
                "every": "0.001 days",
                "least": "0 kg",
                "lead_above": "0 kg",
                "downgraded_share": 0.0,
            },
        ),
        per_kg=PRICE,
        start_up_cost=COST * stock_kg,
    )
    days = np.arange(SEASON_DAYS + AFTER_DAYS)
    yard = Rates({good: np.where((days >= SEASON_DAYS) & (good == "lead"), YARD, 0.0) for good in GOODS})
    found, more = [], []
    for season in range(SEASONS):
        gap = -np.log1p(-Draw(SEED, season).uniform("buyers", MOST_BUYERS)) * SEASON_DAYS * 24.0 / BUYERS
        asks_h = np.cumsum(gap)
        asks_h = asks_h[asks_h < SEASON_DAYS * 24.0 - 1.0]
        crowd = buyers_of(workshop.business, asks_h, sale_h=0.01)
        found.append(earned(workshop.play(world_of(workshop.business, crowds=[crowd], yard=yard))))
        more.append(asks_h.size - BUYERS)
    return np.array(found), np.array(more)


def earned(run: Run) -> float:
    """All money that moved: stock bought, ingots sold, the rest to the yard."""
    return sum(entry.amount for entry in run.ledger)
