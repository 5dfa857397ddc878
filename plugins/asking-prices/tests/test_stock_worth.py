"""What stock is worth until a date, against closed forms and other ways to work it out.

The closed form for orders of one unit and exponential limits (Gallego and van Ryzin, 1994), verified here. Buyers come
at the rate a a day and pay p or more with probability exp(-alpha p). With D = J(n, t) - J(n - 1, t) the equation is

    dJ/dt (n, t) = max over p of a exp(-alpha p) (p - D),    J(n, 0) = 0,    J(0, t) = 0.

The derivative by p is zero at p* = D + 1/alpha, and the maximum there is a exp(-alpha D) / (alpha e). Try
J(n, t) = ln B(n, t) / alpha with B(n, t) = the sum over i from 0 to n of (a t / e)^i / i!. Then

    exp(-alpha D) = B(n - 1, t) / B(n, t)    and    dB/dt (n, t) = (a / e) B(n - 1, t), so
    dJ/dt (n, t) = (a / (alpha e)) B(n - 1, t) / B(n, t) = a exp(-alpha D) / (alpha e):

the equation holds; B(n, 0) = 1 and B(0, t) = 1 give both conditions.

What is left is worth s a unit at the end, J(n, 0) = s n: put J = s n + W and p = s + r. Then D = s + W(n) - W(n - 1),
and the equation becomes dW/dt = max over r of a exp(-alpha s) exp(-alpha r) (r - W(n) + W(n - 1)) with W(n, 0) = 0: the
same with a exp(-alpha s) in place of a, and every price higher by s. For any other S the same step gives S(s + r) for
S(r).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar
from scipy.stats import norm, poisson

from planner.scenario.spread import Spread
from planner_asking_prices.offer import Offer, offer_of
from planner_asking_prices.stock_worth import LEVELS, TIMES, StockWorth, Way, squares, stock_worth

A, ALPHA, UNITS, DAYS = 0.4, 0.5, 25, 90.0
ONE_UNIT = ((1, 1.0),)


def exponential() -> Offer:
    return offer_of(((Spread("exponential", (1.0 / ALPHA,), low=0.0), 1.0),))


def closed_form(n: int, t: float, s: float) -> float:
    x = A * math.exp(-ALPHA * s) * t / math.e
    return s * n + math.log(math.fsum(x**i / math.factorial(i) for i in range(n + 1))) / ALPHA


@pytest.fixture(scope="session")
def unit_orders() -> StockWorth:
    return stock_worth((Way(A, ONE_UNIT, exponential(), 0.0),), 1.0, UNITS, DAYS)


def test_the_worth_of_stock_is_that_of_the_closed_form(unit_orders: StockWorth) -> None:
    times, yards = squares(DAYS, TIMES), squares(unit_orders.highest_per_kg, LEVELS)
    for level in (0, 3, 6):
        for at in (0, 1, 20, 64, TIMES):
            exact = [closed_form(n, times[at], yards[level]) for n in range(UNITS + 1)]
            assert unit_orders.table[level, at] == pytest.approx(exact, rel=2e-4, abs=2e-4)


@pytest.mark.parametrize("yard", [0.0, 0.5, 1.3, 2.9])
def test_the_price_is_that_of_the_closed_form_between_the_tables_rows_too(
    unit_orders: StockWorth, yard: float
) -> None:
    offer = exponential()
    for n in (1, 2, 5, 12, 25):
        for t in (0.0, 0.7, 11.0, 47.0, 90.0):
            exact = closed_form(n, t, yard) - closed_form(n - 1, t, yard) + 1.0 / ALPHA
            asked = offer.price(unit_orders.of_a_kg(n, 1.0, t, yard))
            assert asked == pytest.approx(exact, abs=0.02), (n, t)


def test_more_than_can_be_sold_is_priced_as_if_there_were_no_end_of_it() -> None:
    """With unlimited stock the worth of a unit is what the yard pays: p = s + 1/alpha."""
    worth = stock_worth((Way(A, ONE_UNIT, exponential(), 0.0),), 1.0, 100, 60.0)
    assert worth.of_a_kg(100.0, 1.0, 60.0, 1.3) == pytest.approx(1.3, abs=1e-6)
    assert exponential().price(worth.of_a_kg(100.0, 1.0, 60.0, 1.3)) == pytest.approx(3.3, abs=0.01)


@pytest.mark.parametrize("yard", [0.7, 1.3])
def test_what_the_yard_pays_shifts_prices_for_any_limits(yard: float) -> None:
    """W = J - s n solves the same equation with S(s + r): for normal limits, a mean that is lower by s."""
    now = offer_of(((Spread("normal", (5.0, 0.8)), 1.0),))
    shifted = offer_of(((Spread("normal", (5.0 - yard, 0.8)), 1.0),))
    with_yard = stock_worth((Way(0.3, ONE_UNIT, now, 0.0),), 1.0, 20, DAYS)
    without = stock_worth((Way(0.3, ONE_UNIT, shifted, 0.0),), 1.0, 20, DAYS)
    for n in (1, 6, 20):
        for t in (0.0, 10.0, 80.0):
            asked = now.price(with_yard.of_a_kg(n, 1.0, t, yard))
            assert asked == pytest.approx(yard + shifted.price(without.of_a_kg(n, 1.0, t, 0.0)), abs=0.02)


def test_a_cost_of_selling_shifts_prices_likewise() -> None:
    """A buyer who pays p leaves p - k: the same as limits lower by k, and k on top of the price."""
    now = offer_of(((Spread("normal", (5.0, 0.8)), 1.0),))
    shifted = offer_of(((Spread("normal", (4.2, 0.8)), 1.0),))
    costly = stock_worth((Way(0.3, ONE_UNIT, now, 0.8),), 1.0, 20, DAYS)
    cheap = stock_worth((Way(0.3, ONE_UNIT, shifted, 0.0),), 1.0, 20, DAYS)
    for n in (1, 6, 20):
        asked = now.price(costly.of_a_kg(n, 1.0, 40.0, 1.3) + 0.8)
        assert asked == pytest.approx(0.8 + shifted.price(cheap.of_a_kg(n, 1.0, 40.0, 1.3)), abs=0.02)


def test_orders_of_several_kilograms_in_two_ways_of_selling_are_worth_what_another_solver_says() -> None:
    laws = (norm(5.0, 0.8), norm(4.2, 0.5))
    offers = [offer_of(((Spread("normal", (law.mean(), law.std())), 1.0),)) for law in laws]
    sizes = (((2, 0.5), (5, 0.5)), ((3, 1.0),))
    rates, costs, steps, step_kg, days, yard = (0.3, 0.1), (0.0, 0.5), 12, 2.0, 30.0, 0.0
    ways = tuple(
        Way(rate, of, offer, cost) for rate, of, offer, cost in zip(rates, sizes, offers, costs, strict=True)
    )

    def most(law: object, money: float, kept: float) -> float:
        """The most that an order of ``money`` kilograms gains, searched for without any table."""
        found = minimize_scalar(
            lambda p: -law.sf(p) * (money * p - kept), bounds=(0.0, 9.0), method="bounded", options={"xatol": 1e-7}  # type: ignore[attr-defined]
        )  # fmt: skip
        return float(-found.fun)

    def a_day(t: float, worth: np.ndarray) -> list[float]:
        gained = [0.0]
        for n in range(1, steps + 1):
            total = 0.0
            for law, rate, of, cost in zip(laws, rates, sizes, costs, strict=True):
                for size, share in of:
                    m = min(size, n)
                    kept = worth[n] - worth[n - m] + cost * m * step_kg
                    total += rate * share * most(law, m * step_kg, kept)
            gained.append(total)
        return gained

    exact = solve_ivp(a_day, (0.0, days), np.full(steps + 1, yard), rtol=1e-6, atol=1e-6).y[:, -1]
    table = stock_worth(ways, step_kg, steps, days).table
    assert table[0, -1] == pytest.approx(exact, rel=2e-4)


def test_asking_the_prices_of_the_table_brings_what_it_says(unit_orders: StockWorth) -> None:
    """A sale each day by these prices, a thousand markets: what they bring on average is the worth of the stock."""
    chance, offer, yard, parts, markets = np.random.default_rng(5), exponential(), 1.3, 900, 1000
    stock, money = np.full(markets, 8), np.zeros(markets)
    for part in range(parts):
        left = DAYS * (1.0 - part / parts)
        price = np.array([offer.price(unit_orders.of_a_kg(n, 1.0, left, yard)) for n in range(9)])[stock]
        comes = chance.random(markets) < 1.0 - math.exp(-A * DAYS / parts)
        pays = comes & (chance.exponential(1.0 / ALPHA, markets) >= price) & (stock > 0)
        money += np.where(pays, price, 0.0)
        stock -= pays
    money += yard * stock
    error = money.std() / math.sqrt(markets)
    assert abs(money.mean() - closed_form(8, DAYS, yard)) < 4.0 * error
    assert error < 0.02 * money.mean()


def test_no_fixed_price_is_worth_more_than_the_table(unit_orders: StockWorth) -> None:
    """At a fixed price sales are Poisson: what it brings is known exactly, and is less."""
    exact = closed_form(8, DAYS, 1.3)
    best = 0.0
    for price in np.linspace(1.4, 9.0, 200):
        sales = poisson(A * DAYS * math.exp(-ALPHA * price))
        sold = math.fsum(min(k, 8) * sales.pmf(k) for k in range(60))
        best = max(best, 1.3 * 8 + (price - 1.3) * sold)
    assert 0.9 * exact < best < 0.995 * exact
