from __future__ import annotations

from math import inf, isnan, nan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import skew

from planner.study.intervals import (
    interval,
    intervals,
    pairing_saved,
    runs_needed,
    skewness,
    t_quantile,
)


def test_five_options_in_twenty_worlds_use_the_quantile_of_four_comparisons() -> None:
    assert float(t_quantile(20, 0.95, 4)) == pytest.approx(2.758586, abs=5e-7)


@pytest.mark.parametrize(
    ("n", "confidence", "expected"),
    [(5, 0.95, 2.7764), (10, 0.95, 2.2622), (20, 0.95, 2.0930),
     (100, 0.95, 1.9842), (10, 0.99, 3.2498), (5, 0.9, 2.1318)],
)  # fmt: skip
def test_students_quantiles_as_tables_print_them(n: int, confidence: float, expected: float) -> None:
    assert float(t_quantile(n, confidence)) == pytest.approx(expected, abs=5e-5)


def test_a_paired_example_from_a_textbook_comes_out() -> None:
    # Law & Kelton, paired comparison of two inventory policies, five replicates, 90 % interval 1.65 to 8.31
    # (from memory; mean difference 4.98)
    first = np.array([126.97, 124.31, 126.68, 122.66, 127.23])
    second = np.array([118.21, 120.22, 122.45, 122.68, 119.40])
    found = interval(first - second, 0.9)
    assert found.mean == pytest.approx(4.978)
    assert (round(found.low, 2), round(found.high, 2)) == (1.65, 8.31)


def test_missing_values_do_not_count() -> None:
    values = np.array([[1.0, nan, 3.0], [nan, nan, 2.0], [nan, nan, nan]])
    found = intervals(values, 0.95)
    assert found.n.tolist() == [2, 1, 0]
    assert found.mean[0] == 2.0
    assert found.mean[1] == 2.0
    assert isnan(found.low[1])
    assert isnan(found.mean[2])


def test_what_never_varies_is_certain() -> None:
    found = interval(np.full(10, 7.25), 0.95, 13)
    assert (found.mean, found.low, found.high) == (7.25, 7.25, 7.25)


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=30), st.integers(1, 20))
def test_more_comparisons_never_narrow_an_interval(values: list[float], comparisons: int) -> None:
    one, more = interval(np.array(values), 0.95), interval(np.array(values), 0.95, comparisons)
    assert more.low <= one.low <= one.mean <= one.high <= more.high


def test_intervals_hold_as_often_as_they_say() -> None:
    # a check of the formula, not of the simulation: 4,000 samples of 8 normal values around 3
    grid = np.random.Generator(np.random.Philox(key=7)).normal(3.0, 2.0, (4000, 8))
    found = intervals(grid, 0.9)
    inside = ((found.low <= 3.0) & (found.high >= 3.0)).mean()
    assert inside == pytest.approx(0.9, abs=3.3 * (0.9 * 0.1 / 4000) ** 0.5)


def test_pairing_saves_what_two_values_share() -> None:
    base = np.array([1.0, 2.0, 3.0, 4.0])
    assert pairing_saved(base + 5.0, base) == inf
    assert pairing_saved(2.0 * base, base) == pytest.approx(5.0)  # (4 + 1) over (2 - 1)^2
    assert isnan(pairing_saved(np.ones(4), np.ones(4)))


def test_how_many_runs_would_tell_two_apart() -> None:
    differences = np.tile([-100.0, 120.0], 10)
    needed = runs_needed(differences, 0.95, 1, least=1.0)
    assert needed is not None
    half = 110.0 * (20 / 19) ** 0.5 * 2.0930 / 20**0.5
    assert needed == pytest.approx(20 * (half / 10.0) ** 2, rel=0.01)
    assert runs_needed(np.array([1.0]), 0.95, 1, 1.0) is None


def test_skewness_is_that_of_a_general_library() -> None:
    values = np.exp(np.random.default_rng(1).normal(0.0, 0.5, 80))
    assert skewness(values) == pytest.approx(float(skew(values)), rel=1e-12)
    assert np.isnan(skewness(np.ones(5)))
