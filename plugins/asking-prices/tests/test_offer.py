"""The price that gains most from one buyer, for a kilogram that is worth so much kept."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats import gamma, lognorm, norm

from planner.scenario.spread import Spread
from planner_asking_prices.offer import accepting_share, offer_of

WORTHS = [0.0, 0.4, 1.3, 2.5, 4.0]
SPREADS = [
    Spread("normal", (5.0, 0.8), low=0.0),
    Spread("lognormal", (5.0, 2.0), low=0.0),
    Spread("gamma", (5.0, 1.5), low=0.0),
    Spread("triangular", (3.0, 4.0, 7.0), low=0.0),
    Spread("uniform", (3.0, 7.0), low=0.0),
    Spread("exponential", (2.0,), low=0.0),
    Spread("choice", (3.0, 5.0, 6.5), (0.5, 0.3, 0.2), low=0.0),
]
each = pytest.mark.parametrize("spread", SPREADS, ids=lambda one: one.kind)


@pytest.mark.parametrize("worth", WORTHS)
def test_with_exponential_limits_the_price_is_the_worth_and_their_mean(worth: float) -> None:
    """S(p) = exp(-alpha p): S(p) (p - c) is largest at p = c + 1/alpha, with the gain exp(-alpha c - 1) / alpha."""
    offer = offer_of(((Spread("exponential", (2.0,), low=0.0), 1.0),))
    assert offer.price(worth) == pytest.approx(worth + 2.0, abs=0.01)
    assert offer.gain(np.array(worth)) == pytest.approx(2.0 * math.exp(-worth / 2.0 - 1.0), rel=1e-4)


@pytest.mark.parametrize("worth", WORTHS)
def test_with_even_limits_the_price_is_half_way_to_the_highest_but_no_less_than_all_would_pay(
    worth: float,
) -> None:
    offer = offer_of(((Spread("uniform", (3.0, 7.0), low=0.0), 1.0),))
    assert offer.price(worth) == pytest.approx(max(3.0, (worth + 7.0) / 2.0), abs=0.005)


@pytest.mark.parametrize(
    ("spread", "law"),
    [
        (SPREADS[0], norm(5.0, 0.8)),
        (SPREADS[1], lognorm(math.sqrt(math.log(1.16)), scale=5.0 / math.sqrt(1.16))),
        (SPREADS[2], gamma((5.0 / 1.5) ** 2, scale=1.5**2 / 5.0)),
    ],
    ids=lambda one: getattr(one, "kind", ""),
)
@pytest.mark.parametrize("worth", WORTHS)
def test_the_price_above_the_worth_is_that_of_the_first_order_condition(
    spread: Spread, law: object, worth: float
) -> None:
    """The derivative of S(p) (p - c) is zero: p - c = S(p) / f(p)."""
    exact = brentq(lambda p: (p - worth) * law.pdf(p) - law.sf(p), worth + 1e-6, law.isf(1e-8))  # type: ignore[attr-defined]
    assert offer_of(((spread, 1.0),)).price(worth) == pytest.approx(exact, abs=0.015)


@each
@pytest.mark.parametrize("worth", WORTHS)
def test_no_other_price_gains_more(spread: Spread, worth: float) -> None:
    pool = ((spread, 1.0),)
    offer = offer_of(pool)
    gained = accepting_share(pool, offer.price(worth)) * (offer.price(worth) - worth)
    others = [accepting_share(pool, price) * (price - worth) for price in np.linspace(0.01, 15.0, 1500)]
    assert max(others) <= gained + 1e-5
    assert offer.gain(np.array(worth)) == pytest.approx(gained, abs=3e-4)


@each
def test_a_kilogram_worth_more_is_asked_more_for_and_gains_less(spread: Spread) -> None:
    offer = offer_of(((spread, 1.0),))
    worths = np.linspace(0.0, 20.0, 400)
    prices = [offer.price(worth) for worth in worths]
    assert all(one <= then for one, then in pairwise(prices))
    assert (np.diff(offer.gain(worths)) <= 1e-12).all()


def test_what_many_share_as_their_limit_is_asked_to_the_cent() -> None:
    """Half would pay 3, three in ten 5, two in ten 6.50: 3 x 1 > 5 x .5 > 6.5 x .2 while metal is worth nothing."""
    offer = offer_of(((SPREADS[-1], 1.0),))
    assert offer.prices == [3.0, 5.0, 6.5]
    assert [offer.price(worth) for worth in (0.0, 0.9, 1.1, 3.9, 4.1, 9.0)] == [3.0, 3.0, 5.0, 5.0, 6.5, 9.0]


def test_two_classes_are_asked_one_price_by_their_orders() -> None:
    """Many who would pay 3 or few who would pay 10: it hangs on how many."""
    cheap, dear = Spread.constant(3.0), Spread.constant(10.0)
    assert offer_of(((cheap, 9.0), (dear, 1.0))).price(0.0) == 3.0
    assert offer_of(((cheap, 1.0), (dear, 9.0))).price(0.0) == 10.0
    assert accepting_share(((cheap, 9.0), (dear, 1.0)), 3.0) == 1.0
    assert accepting_share(((cheap, 9.0), (dear, 1.0)), 3.01) == pytest.approx(0.1)


def test_buyers_who_pay_nothing_are_refused() -> None:
    with pytest.raises(ValueError, match="would pay nothing"):
        offer_of(((Spread.constant(0.0), 1.0),))
