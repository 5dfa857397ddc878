"""Scores and bands against values by hand and closed forms."""

from __future__ import annotations

from math import erf, exp, inf, isnan, pi, sqrt

import numpy as np
import pytest

from planner.fit.scores import (
    BLOCK_WEEKS,
    LEAST_BLOCKS,
    crps,
    far,
    far_of_others,
    inside,
    inside_of_others,
    skill,
)


def of(*worlds: float) -> np.ndarray:
    """A forecast of one week."""
    return np.array(worlds, dtype=float)[:, None]


@pytest.mark.parametrize(
    ("worlds", "happened", "score"),
    [
        ((3.0,), 5.0, 2.0),
        ((0.0, 2.0), 1.0, 0.5),  # mean distance 1, less half of mean distance 1 between two draws
        ((0.0, 2.0), 4.0, 2.5),
        ((0.0, 0.0, 3.0), 0.0, 1.0 - 0.5 * 12.0 / 9.0),
        ((3.0, 0.0, 0.0), 0.0, 1.0 - 0.5 * 12.0 / 9.0),
    ],
)
def test_the_score_of_a_few_worlds_is_as_by_hand(
    worlds: tuple[float, ...], happened: float, score: float
) -> None:
    assert crps(of(*worlds), np.array([happened])) == pytest.approx([score])


@pytest.mark.parametrize("happened", [-2.0, -0.3, 0.0, 1.0, 2.5])
def test_the_score_of_many_normal_worlds_is_the_closed_form(happened: float) -> None:
    """Gneiting and Raftery 2007, section 4.2, of the normal distribution, with its sign turned: less is better."""
    density, below = exp(-(happened**2) / 2.0) / sqrt(2.0 * pi), 0.5 * (1.0 + erf(happened / sqrt(2.0)))
    closed = happened * (2.0 * below - 1.0) + 2.0 * density - 1.0 / sqrt(pi)
    worlds = np.random.default_rng(3).normal(size=(20_000, 1))
    assert crps(worlds, np.array([happened])) == pytest.approx([closed], abs=0.02)


def test_the_score_is_the_same_as_all_pairs_say() -> None:
    chance = np.random.default_rng(1)
    worlds, happened = chance.gamma(2.0, size=(13, 4)), chance.gamma(2.0, size=4)
    pairs = np.abs(worlds[:, None, :] - worlds[None, :, :]).mean(axis=(0, 1))
    assert crps(worlds, happened) == pytest.approx(np.abs(worlds - happened).mean(axis=0) - pairs / 2.0)


def test_each_world_is_held_against_all_others() -> None:
    worlds = np.random.default_rng(2).poisson(2.0, size=(17, 5)).astype(float)
    one_by_one = [inside(np.delete(worlds, i, axis=0), one) for i, one in enumerate(worlds)]
    assert (inside_of_others(worlds) == np.array(one_by_one)).all()
    far_one_by_one = [far(np.delete(worlds[:, 0], i), one) for i, one in enumerate(worlds[:, 0])]
    assert far_of_others(worlds[:, 0]) == pytest.approx(far_one_by_one)


def test_of_many_worlds_eight_in_ten_weeks_lie_inside_the_others() -> None:
    worlds = np.random.default_rng(5).normal(size=(400, 20))
    assert inside_of_others(worlds).mean() == pytest.approx(0.8, abs=0.01)


def test_how_far_something_lies_is_told_by_the_side_it_lies_on() -> None:
    worlds = np.array([0.0, 9.0, 10.0, 11.0, 12.0])
    assert far(worlds, 10.0) == 0.0
    assert far(worlds, 12.0) == pytest.approx(2.0 / sqrt(2.5))
    assert far(worlds, 0.0) == pytest.approx(-10.0 / sqrt(50.5))
    assert far(np.full(5, 3.0), 4.0) == inf


def test_a_model_is_better_by_as_much_as_its_score_is_less() -> None:
    other = np.random.default_rng(7).gamma(2.0, size=30)
    half = skill(other / 2.0, other, seed=1, confidence=0.95)
    assert (half.mean, half.low, half.high) == pytest.approx((0.5, 0.5, 0.5))
    noise = np.random.default_rng(8).gamma(2.0, size=30)
    alike = skill(noise, other, seed=1, confidence=0.95)
    assert alike.low < 0.0 < alike.high


def test_of_few_weeks_and_of_nothing_no_interval_is_told() -> None:
    ones = np.ones(LEAST_BLOCKS * BLOCK_WEEKS - 1)
    few = skill(ones, 2.0 * ones, seed=1, confidence=0.95)
    assert few.mean == 0.5
    assert isnan(few.low)
    assert isnan(skill(np.zeros(20), np.zeros(20), seed=1, confidence=0.95).mean)


def test_weeks_that_hang_together_make_the_interval_wider() -> None:
    """The same numbers in runs of four are worth less than in a shuffled order."""
    chance = np.random.default_rng(11)
    runs = np.repeat(chance.gamma(1.0, size=13), BLOCK_WEEKS)
    shuffled = chance.permutation(runs)
    ones = np.ones(runs.size)
    wide, narrow = (skill(of_model, ones, seed=1, confidence=0.95) for of_model in (runs, shuffled))
    assert wide.high - wide.low > 1.3 * (narrow.high - narrow.low)


def test_the_interval_of_a_skill_holds_about_as_often_as_it_says_even_of_few_weeks_that_hang_together() -> (
    None
):
    chance, weeks, repeats, held = np.random.default_rng(13), 17, 150, 0
    for seed in range(repeats):
        common = np.convolve(chance.normal(size=weeks + 3), np.ones(4) / 2.0, mode="valid")
        model, other = (np.exp(0.5 * common) * chance.gamma(2.0, size=weeks) for _ in range(2))
        found = skill(model, 2.0 * other, seed=seed, confidence=0.95)
        held += found.low <= 0.5 <= found.high
    assert 0.88 <= held / repeats < 1.0
