from __future__ import annotations

from math import isnan, nan
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from planner.study.intervals import share_below_zero
from planner.study.spread import (
    LEAST_FOR_WORST_TENTH,
    Estimate,
    quantile,
    quantile_ranks,
    spreads,
    wilson,
    worst_tenth,
)

SOME = np.random.Generator(np.random.Philox(key=11)).normal(200.0, 300.0, (3, 4, 250))


def test_the_low_end_of_the_five_percent_quantile_takes_seventy_two_worlds() -> None:
    assert 0.95**72 < 0.025 < 0.95**71
    assert [quantile_ranks(n, 0.05, 0.95)[0] for n in (71, 72)] == [0, 1]
    values = np.arange(72.0)
    assert quantile(values, 0.05, 0.95).at() == Estimate(pytest.approx(3.55), 0.0, 8.0)
    assert isnan(quantile(values[:71], 0.05, 0.95).at().low)


def test_ranks_as_tables_print_them() -> None:
    # sign test: 95 % interval of a median, as in tables of nonparametric statistics (from memory)
    assert [quantile_ranks(n, 0.5, 0.95) for n in (5, 6, 9, 20, 50)] == [
        (0, 6), (1, 6), (2, 8), (6, 15), (18, 33),
    ]  # fmt: skip


@pytest.mark.parametrize("q", [0.05, 0.1, 0.5, 0.9])
@pytest.mark.parametrize("confidence", [0.81, 0.95, 0.99])
@pytest.mark.parametrize("n", [1, 5, 30, 50, 72, 211])
def test_an_interval_of_a_quantile_is_that_of_another_library(n: int, q: float, confidence: float) -> None:
    values = SOME[0, 0, :n]
    expected: Any = stats.quantile_test(values, p=q).confidence_interval(confidence)
    found = quantile(values, q, confidence).at()
    np.testing.assert_array_equal([found.low, found.high], [expected.low, expected.high])


@given(
    st.lists(st.one_of(st.floats(-1e6, 1e6), st.just(nan)), min_size=1, max_size=40),
    st.sampled_from([0.1, 0.5, 0.9]),
)
def test_a_quantile_is_numpys_without_what_is_missing(values: list[float], q: float) -> None:
    found, row = quantile(np.array(values), q, 0.9).at(), np.array(values)
    row = row[~np.isnan(row)]
    if not row.size:
        assert np.isnan([found.value, found.low, found.high]).all()
        return
    assert found.value == pytest.approx(np.quantile(row, q), rel=1e-12, abs=1e-9)
    assert not found.low > found.value
    assert not found.high < found.value


def test_a_symmetric_sample_has_a_symmetric_spread() -> None:
    found = spreads(np.arange(-30.0, 31.0), 0.95).at()
    assert (found.median.value, found.median.low) == (0.0, -found.median.high)
    assert (found.p10.value, found.p10.low, found.p10.high) == pytest.approx(
        (-found.p90.value, -found.p90.high, -found.p90.low)
    )


@pytest.mark.parametrize("confidence", [0.8, 0.95])
@pytest.mark.parametrize(("count", "n"), [(0, 50), (1, 50), (17, 50), (50, 50), (1, 1), (0, 1), (3, 1000)])
def test_a_share_has_the_score_interval(count: int, n: int, confidence: float) -> None:
    expected: Any = stats.binomtest(count, n).proportion_ci(confidence, method="wilson")
    found = wilson(np.array(count / n), np.array(n), confidence).at()
    assert (found.low, found.high) == pytest.approx((expected.low, expected.high), rel=1e-12)


def test_no_loss_in_fifty_worlds_does_not_rule_one_out() -> None:
    # upper end z^2 / (n + z^2)
    found = spreads(np.arange(50.0), 0.95).at().loss
    assert (found.value, found.low) == (0.0, 0.0)
    assert found.high == pytest.approx(3.841459 / 53.841459, rel=1e-6)
    lost = spreads(-1.0 - np.arange(50.0), 0.95).at().loss
    assert (lost.value, lost.high) == (1.0, 1.0)
    assert lost.low == pytest.approx(1.0 - found.high)


def test_without_any_value_nothing_is_said() -> None:
    for values in (np.full((2, 60), nan), np.empty((2, 0))):
        found = spreads(values, 0.95).at(1)
        for one in (found.median, found.p10, found.p90, found.loss):
            assert np.isnan([one.value, one.low, one.high]).all()
        assert (isnan(found.worst_tenth), found.n) == (True, 0)


def test_the_worst_tenth_is_a_mean_of_the_lowest() -> None:
    values = np.arange(200.0)[::-1]
    assert float(worst_tenth(values)) == pytest.approx(np.arange(20).mean())
    # 20.5 of 205 values: the 21st counts by half
    assert float(worst_tenth(np.arange(205.0))) == pytest.approx((np.arange(20).sum() + 10.0) / 20.5)
    assert float(worst_tenth(np.full(333, -7.25))) == pytest.approx(-7.25)


def test_the_worst_tenth_of_few_worlds_is_not_said() -> None:
    values = np.arange(LEAST_FOR_WORST_TENTH + 1.0)
    values[0] = nan
    assert not isnan(float(worst_tenth(values)))
    values[1] = nan
    assert isnan(float(worst_tenth(values)))


def test_the_worst_tenth_of_a_normal_gain_is_what_theory_says() -> None:
    # mean - sd * density(z) / 0.1 at the normal 10 % quantile; 20,000 values
    values = np.random.Generator(np.random.Philox(key=3)).normal(100.0, 50.0, 20_000)
    expected = 100.0 - 50.0 * stats.norm.pdf(stats.norm.ppf(0.1)) / 0.1
    assert float(worst_tenth(values)) == pytest.approx(expected, abs=4 * 50.0 / 2000**0.5)


def test_many_rows_at_once_are_what_each_is_alone() -> None:
    values = SOME.copy()
    values[0, 0, :60] = nan
    values[1, 2] = nan
    together = spreads(values, 0.9)
    assert together.n.tolist() == (~np.isnan(values)).sum(axis=-1).tolist()
    for index in np.ndindex(3, 4):
        assert repr(together.at(*index)) == repr(spreads(values[index], 0.9).at())
    assert together.loss.value[0].tolist() == share_below_zero(values[0]).tolist()


DRAWN_FROM = {
    "normal": stats.norm(50.0, 100.0),
    "lognormal": stats.lognorm(1.2, loc=-2.0),
    "uniform": stats.uniform(-1.0, 2.0),
    "discrete": stats.randint(0, 5),
}
FEWEST = [(0.1, 36), (0.5, 9), (0.9, 36)]
"""Quantiles, and how few values give a 95 % interval with a next rank that would err far more often."""


def misses(kind: str, q: float, n: int, repeats: int, inward: int = 0) -> list[int]:
    """How often the low end lies above the true quantile, and the high end below it."""
    dice = np.random.Generator(np.random.Philox(key=5))
    values = np.sort(DRAWN_FROM[kind].rvs((repeats, n), random_state=dice).astype(float), axis=1)
    true = DRAWN_FROM[kind].ppf(q)
    found = quantile(values, q, 0.95)
    low, high = found.low, found.high
    if inward:
        ranks = quantile_ranks(n, q, 0.95)
        low, high = values[:, ranks[0] - 1 + inward], values[:, ranks[1] - 1 - inward]
    return [int((low > true).sum()), int((high < true).sum())]


def most_misses(repeats: int) -> int:
    """More misses of one end than this happen by chance once in a million times."""
    return int(stats.binom.ppf(1 - 1e-6, repeats, 0.025))


@pytest.mark.parametrize("kind", DRAWN_FROM)
@pytest.mark.parametrize(("q", "n"), FEWEST)
def test_an_interval_of_a_quantile_holds_whatever_the_distribution(kind: str, q: float, n: int) -> None:
    assert max(misses(kind, q, n, 400)) <= most_misses(400)


@pytest.mark.parametrize("kind", ["normal", "lognormal", "uniform"])
@pytest.mark.parametrize(("q", "n"), FEWEST)
def test_ranks_off_by_one_would_be_noticed(kind: str, q: float, n: int) -> None:
    assert max(misses(kind, q, n, 400, inward=1)) > most_misses(400)


@pytest.mark.long
@pytest.mark.parametrize("kind", ["normal", "lognormal", "uniform"])
@pytest.mark.parametrize("q", [0.1, 0.5, 0.9])
@pytest.mark.parametrize("n", [50, 200])
def test_intervals_of_quantiles_err_exactly_as_often_as_theory_says(kind: str, q: float, n: int) -> None:
    repeats, (low, high) = 20_000, quantile_ranks(n, q, 0.95)
    chances = [stats.binom.cdf(low - 1, n, q), stats.binom.sf(high - 1, n, q)]
    assert max(chances) <= 0.025
    for missed, chance in zip(misses(kind, q, n, repeats), chances, strict=True):
        assert missed == pytest.approx(repeats * chance, abs=4.5 * (repeats * chance * (1 - chance)) ** 0.5)


@pytest.mark.long
@pytest.mark.parametrize("q", [0.1, 0.5, 0.9])
def test_intervals_of_quantiles_hold_where_values_repeat(q: float) -> None:
    assert max(misses("discrete", q, 50, 20_000)) <= most_misses(20_000)


@pytest.mark.long
@pytest.mark.parametrize("share", [0.02, 0.1, 0.5])
def test_intervals_of_a_chance_of_loss_hold_about_as_often_as_they_say(share: float) -> None:
    dice = np.random.Generator(np.random.Philox(key=8))
    found = spreads(stats.norm(-stats.norm.ppf(share)).rvs((20_000, 50), random_state=dice), 0.95).loss
    counts = np.arange(51)
    every = wilson(counts / 50, np.full(51, 50), 0.95)
    exact = stats.binom.pmf(counts, 50, share)[(every.low <= share) & (every.high >= share)].sum()
    assert exact > 0.92
    held = ((found.low <= share) & (found.high >= share)).mean()
    assert held == pytest.approx(exact, abs=4.5 * (exact * (1 - exact) / 20_000) ** 0.5)
