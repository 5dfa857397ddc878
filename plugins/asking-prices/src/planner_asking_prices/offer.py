"""What to ask of one buyer for a kilogram that is worth so much kept.

In: what buyers would pay, as distributions. Out: for each worth of a kilogram the price that gains most by selling it,
and that gain. Must not know: stock, time, the yard.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.scenario.spread import Spread

Floats = NDArray[np.float64]
Pool = tuple[tuple[Spread, float], ...]
"""The most that buyers would pay [currency/kg], with the weight of those who would."""

CANDIDATES: Final = 2000
"""Prices that are looked at, evenly over what anybody would pay, and as many evenly over the buyers (assumed)."""
RARE: Final = 1e-6
"""Buyers rarer than this are left out at either end (assumed)."""
CELLS: Final = 4096
"""Cells of the table of gains (assumed)."""


@dataclass(frozen=True, slots=True, eq=False)
class Offer:
    """Prices worth asking, in order, and where each takes over from the one before.

    Attributes
    ----------
    prices : list of float
        Prices [currency/kg], rising; no other is ever the best.
    breaks : list of float
        The worth of a kilogram [currency/kg] from which the next price is the better one; one fewer.
    cell : float
        Width of a cell of ``gains`` [currency/kg].
    gains : array
        The gain a buyer and kilogram [currency/kg] at each edge of the cells, from a worth of 0 to where nobody buys.
    """

    prices: list[float]
    breaks: list[float]
    cell: float
    gains: Floats

    def price(self, worth_per_kg: float) -> float:
        """The price that gains most; never below what the kilogram is worth."""
        return max(self.prices[bisect_right(self.breaks, worth_per_kg)], worth_per_kg)

    def gain(self, worth_per_kg: Floats) -> Floats:
        """What asking that price brings on average above the worth, a buyer and kilogram; 0 where nobody buys."""
        at = np.clip(worth_per_kg / self.cell, 0.0, CELLS)
        below = np.minimum(at.astype(np.int64), CELLS - 1)
        left = self.gains[below]
        gain: Floats = left + (at - below) * (self.gains[below + 1] - left)
        return gain


def accepting_share(pool: Pool, price_per_kg: float) -> float:
    """Share of buyers who would pay this price or more."""
    below = math.nextafter(price_per_kg, -math.inf)
    weight = math.fsum(weight for _, weight in pool)
    return math.fsum(weight * (1.0 - spread.share_below(below)) for spread, weight in pool) / weight


def offer_of(pool: Pool) -> Offer:
    """Which price gains most.

    For a price p that the share S(p) would pay, selling a kilogram that is worth c kept gains S(p) (p - c). For each p
    that is a line over c; the best prices are those on the upper hull of the lines, for any distribution whatever.
    """
    lines = [
        (share, price)
        for price in _candidates(pool)
        if price > 0.0 and (share := accepting_share(pool, price)) > RARE / 10.0
    ]
    if not lines:
        raise ValueError("these buyers would pay nothing; write what they would pay under `most`")
    hull = _upper_hull(lines)
    breaks = [_meeting(one, then) for one, then in pairwise(hull)]
    top = hull[-1][1]
    worth = np.linspace(0.0, top, CELLS + 1)
    share, price = np.array(hull).T
    best = np.searchsorted(np.array(breaks), worth, side="right")
    gains = np.maximum(share[best] * (price[best] - worth), 0.0)
    return Offer([price for _, price in hull], breaks, top / CELLS, gains)


def _candidates(pool: Pool) -> list[float]:
    """Prices to look at: even steps over the range, even steps over the buyers, and every value that many share."""
    ends = np.array([spread.from_uniform(np.array([RARE, 1.0 - RARE])) for spread, _ in pool])
    even = np.linspace(ends.min(), ends.max(), CANDIDATES)
    shares = (np.arange(CANDIDATES) + 0.5) / CANDIDATES
    found = [even, *(spread.from_uniform(shares) for spread, _ in pool)]
    return [float(price) for price in np.unique(np.concatenate(found))]


def _upper_hull(lines: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Of lines (share, price), prices rising, those that are the highest anywhere."""
    hull: list[tuple[float, float]] = []
    for line in lines:
        while hull and hull[-1][0] <= line[0]:
            hull.pop()  # as many would pay more
        while len(hull) > 1 and _meeting(hull[-2], hull[-1]) >= _meeting(hull[-1], line):
            hull.pop()
        hull.append(line)
    return hull


def _meeting(one: tuple[float, float], then: tuple[float, float]) -> float:
    """The worth of a kilogram at which two prices gain alike."""
    return (one[0] * one[1] - then[0] * then[1]) / (one[0] - then[0])
