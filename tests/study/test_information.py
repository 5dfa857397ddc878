"""What knowing an input is worth, where the answer is known."""

from __future__ import annotations

from math import isnan

import numpy as np
import pytest
from scipy.stats import norm

from planner.study.information import LEAST_WORLDS, curve, explained, worth

SD = 300.0


def loss(mean: float, sd: float) -> float:
    """Unit normal loss integral (Raiffa and Schlaifer 1961), times the standard deviation."""
    at = abs(mean) / sd
    return float(sd * norm.pdf(at) - abs(mean) * norm.cdf(-at))


@pytest.mark.parametrize("mean", [0.0, 150.0, -200.0])
def test_of_two_options_and_a_normal_gain_it_is_the_normal_loss_integral(mean: float) -> None:
    found = []
    for seed in range(20):
        chance = np.random.default_rng(seed)
        z = chance.standard_normal(200)
        gain = mean + SD * z + 200.0 * chance.standard_normal(200)
        one = worth(z, gain[None], seed)
        assert one.money > one.noise
        found.append(one.money)
    assert np.mean(found) == pytest.approx(loss(mean, SD), rel=0.08)
    assert np.std(found) < 0.35 * loss(mean, SD)


def test_of_an_input_that_tells_nothing_no_more_is_told_than_chance_feigns() -> None:
    false = 0
    for seed in range(60):
        chance = np.random.default_rng(1000 + seed)
        gains = 100.0 * chance.standard_normal((3, 60))
        one = worth(chance.standard_normal(60), gains, seed)
        false += one.money > one.noise
    assert false <= 8  # 5 in 100 are meant


def test_nothing_is_to_be_gained_where_one_option_is_best_whatever_the_input() -> None:
    chance = np.random.default_rng(2)
    z = chance.standard_normal(100)
    gain = 5000.0 + 100.0 * z + 50.0 * chance.standard_normal(100)
    assert worth(z, np.array([gain, gain - 800.0]), 1).money == 0.0


def test_an_option_that_was_played_in_fewer_worlds_counts_with_these() -> None:
    chance = np.random.default_rng(3)
    z = chance.standard_normal(300)
    gains = np.array([SD * z, -SD * z]) + 30.0 * chance.standard_normal((2, 300))
    gains[1, 100:] = np.nan
    # the best of x, -x and nothing
    assert worth(z, gains, 1).money == pytest.approx(2.0 * loss(0.0, SD), rel=0.15)


def test_too_few_worlds_tell_nothing() -> None:
    z = np.linspace(-2.0, 2.0, LEAST_WORLDS - 1)
    assert isnan(worth(z, SD * z[None], 1).money)
    assert isnan(explained(z[None], z))
    assert isnan(worth(z, np.empty((0, z.size)), 1).money)


def test_a_curve_bends_no_more_than_foretells_worlds_left_out() -> None:
    chance = np.random.default_rng(4)
    x = chance.standard_normal(200)
    noise = chance.standard_normal((200, 3))
    along = np.array([-1.0, 0.0, 1.0])
    y = np.array([0.0 * x, 10.0 * x, 10.0 * x**2]).T + noise
    found = curve(x, y, along)
    assert found == pytest.approx(np.array([[0, -10, 10], [0, 0, 0], [0, 10, 10]]), abs=0.4)


def test_inputs_explain_their_share_of_what_varies() -> None:
    chance = np.random.default_rng(5)
    z = chance.standard_normal((3, 500))
    y = 3.0 * z[0] + 2.0 * (z[1] ** 2 - 1.0) / np.sqrt(2.0) + 3.0 * chance.standard_normal(500)
    assert explained(z, y) == pytest.approx(13.0 / 22.0, abs=0.06)
    assert explained(z[2:], y) < 0.03
    assert isnan(explained(z, np.full(500, 7.0)))
