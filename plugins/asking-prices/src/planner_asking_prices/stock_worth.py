"""What metal in stock is worth if it is sold at the best prices until a date, and to the yard after it.

In: who asks, how often, for how much, and what to offer them. Out: a table of the worth of a stock by what the yard
pays, time left and mass. Must not know: settings, dates, the view of a run.

The model is that of Gallego and van Ryzin (1994), Management Science 40, 999-1020, with orders of several kilograms and
several ways of selling. With J(n, t) the worth of n steps of stock with t days left, lambda orders a day in a way of
selling, orders of k steps with probability q_k, S(p) the share that would pay p a step,

    dJ/dt (n, t) = sum over ways and k of lambda q_k max over p of S(p) (m p - J(n, t) + J(n - m, t)),  m = min(k, n),
    J(n, 0) = n times what the yard pays:  an order for more than there is takes what there is.

Time is stepped with the classical Runge-Kutta method of the fourth order.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, sqrt
from typing import Final

import numpy as np

from planner_asking_prices.offer import Floats, Offer

TIMES: Final = 128
"""Times left that are kept; they are closer together towards the end, where prices move most (assumed)."""
LEVELS: Final = 24
"""Prices of the yard that are kept, closer together at the lower end (assumed)."""
ORDERS_A_STEP: Final = 1.0
"""Orders in a step of time at most: well inside of where the method is stable (2.8)."""


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """One way of selling: orders a day, (steps, share) of their sizes, what to offer, what selling costs a kilogram."""

    orders_a_day: float
    sizes: tuple[tuple[int, float], ...]
    offer: Offer
    cost_per_kg: float


@dataclass(frozen=True, slots=True, eq=False)
class StockWorth:
    """The worth of a stock [currency].

    Attributes
    ----------
    step_kg : float
        Stock is counted in steps of so much.
    longest_days : float
        The longest time left; beyond it the worth is that of the longest.
    highest_per_kg : float
        The highest price of the yard.
    table : array, shape (yard's prices, times left, steps of stock)
        Prices of the yard and times are at squares of even steps.
    """

    step_kg: float
    longest_days: float
    highest_per_kg: float
    table: Floats

    def of_a_kg(self, stock_kg: float, mass_kg: float, days_left: float, yard_per_kg: float) -> float:
        """What a kilogram of an order is worth if it is kept [currency/kg].

        A stock beyond the table counts as its end, none at all as the last step.
        """
        most: int = self.table.shape[2] - 1
        stock = max(1, min(most, floor(stock_kg / self.step_kg + 1e-9)))
        taken = max(1, min(stock, round(mass_kg / self.step_kg)))
        level, up = _place(yard_per_kg, self.highest_per_kg, LEVELS)
        time, on = _place(days_left, self.longest_days, TIMES)
        item = self.table.item
        worth = 0.0
        for row, weight in ((level, 1.0 - up), (level + 1, up)):
            early = item(row, time, stock) - item(row, time, stock - taken)
            late = item(row, time + 1, stock) - item(row, time + 1, stock - taken)
            worth += weight * (early + on * (late - early))
        return max(worth / (taken * self.step_kg), yard_per_kg)


def _place(value: float, highest: float, steps: int) -> tuple[int, float]:
    """Between which two squares of even steps a value lies: the lower one, and how far it is towards the next."""
    scaled = min(max(value / highest, 0.0), 1.0) * steps * steps
    low = min(floor(sqrt(scaled)), steps - 1)
    return low, min((scaled - low * low) / (2 * low + 1), 1.0)


def squares(highest: float, steps: int) -> Floats:
    """Squares of even steps from 0 to the highest, shape (steps + 1,)."""
    spaced: Floats = highest * (np.arange(steps + 1) / steps) ** 2
    return spaced


def stock_worth(ways: tuple[Way, ...], step_kg: float, steps: int, longest_days: float) -> StockWorth:
    """Work the table out, backwards from the date.

    Parameters
    ----------
    ways : tuple of Way
        At least one.
    step_kg : float
        Stock is counted in steps of so much.
    steps : int
        The largest stock, in steps.
    longest_days : float
        The longest time left.
    """
    highest = max(way.offer.prices[-1] for way in ways)
    mass_kg = step_kg * np.arange(steps + 1)
    worth = squares(highest, LEVELS)[:, None] * mass_kg
    table = np.empty((LEVELS + 1, TIMES + 1, steps + 1))
    table[:, 0] = worth
    gain = _Gain(ways, step_kg, steps)
    times = squares(longest_days, TIMES)
    orders_a_day = sum(way.orders_a_day for way in ways)
    for at in range(TIMES):
        days = times[at + 1] - times[at]
        parts = max(1, ceil(days * orders_a_day / ORDERS_A_STEP))
        for _ in range(parts):
            worth = _stepped(gain, worth, days / parts)
        table[:, at + 1] = worth
    table.setflags(write=False)
    return StockWorth(step_kg, longest_days, highest, table)


def _stepped(gain: _Gain, worth: Floats, days: float) -> Floats:
    """One step of the classical Runge-Kutta method."""
    one = gain.a_day(worth)
    two = gain.a_day(worth + days / 2.0 * one)
    three = gain.a_day(worth + days / 2.0 * two)
    four = gain.a_day(worth + days * three)
    return worth + days / 6.0 * (one + 2.0 * two + 2.0 * three + four)


class _Gain:
    """What a day with each stock brings above keeping it."""

    def __init__(self, ways: tuple[Way, ...], step_kg: float, steps: int) -> None:
        stock = np.arange(1, steps + 1)
        self._parts = []
        for way in ways:
            for size, share in way.sizes:
                taken = np.minimum(size, stock)
                mass_kg = taken * step_kg
                self._parts.append((way, stock - taken, mass_kg, way.orders_a_day * share * mass_kg))

    def a_day(self, worth: Floats) -> Floats:
        """Money a day, shape (yard's prices, steps of stock)."""
        gained = np.zeros_like(worth)
        for way, left, mass_kg, kg_a_day in self._parts:
            kept_per_kg = (worth[:, 1:] - worth[:, left]) / mass_kg
            gained[:, 1:] += kg_a_day * way.offer.gain(kept_per_kg + way.cost_per_kg)
        return gained
