"""What is fitted to prices: known parameters come back, and what cannot be told is not told."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
import statsmodels.api as sm
from statsmodels.tsa.adfvalues import mackinnoncrit

from planner_fitted_rates.fit import Fit, critical, fit, grubbs
from planner_fitted_rates.process import Process, Shocks

Series = Callable[..., np.ndarray]
MONTH, WEEK = 1 / 12, 7 / 365
KEPT = 2.0


def whole(log_price: np.ndarray) -> np.ndarray:
    """Every step counts."""
    return np.ones(log_price.size - 1, dtype=bool)


def fitted(log_price: np.ndarray, step: float, half_life_years: float = KEPT) -> Fit:
    return fit(log_price, whole(log_price), step, half_life_years, 0.05)


def covered(found: list[bool], share: float = 0.95, loose: float = 0.0) -> bool:
    """Do intervals hold as often as they say, as far as so many series can tell (4 standard errors)?"""
    return abs(np.mean(found) - share) < 4.0 * math.sqrt(share * (1.0 - share) / len(found)) + loose


def recovered(series: Series, count: int) -> None:
    process = Process(mean_log=0.7, half_life_years=0.5, volatility=0.25)
    found = [fitted(series(process, 240, MONTH, number), MONTH) for number in range(count)]
    keeps = process.keeps(MONTH)
    assert np.mean([one.half_life_told for one in found]) > 0.95
    assert covered([abs(one.process.mean_log - 0.7) < 1.96 * one.mean_log_se for one in found], loose=0.02)
    assert covered(
        [abs(one.process.volatility - 0.25) < 1.96 * one.volatility_se for one in found], loose=0.02
    )
    assert covered([abs(one.keeps - keeps) < 1.96 * one.keeps_se for one in found], loose=0.02)
    assert covered([one.half_life_range[0] < 0.5 < one.half_life_range[1] for one in found], loose=0.02)
    error = np.std([one.keeps for one in found]) / math.sqrt(count)
    assert np.mean([one.keeps for one in found]) == pytest.approx(keeps, abs=4 * error + 0.002)
    assert covered([not one.shock_steps for one in found], loose=0.02)


def test_known_parameters_come_back_from_twenty_years_of_months(series: Series) -> None:
    recovered(series, 80)


@pytest.mark.long
def test_intervals_hold_as_often_as_they_say(series: Series) -> None:
    recovered(series, 2000)


def shocks_recovered(series: Series, count: int) -> None:
    process = Process(0.7, 0.5, 0.2, Shocks(a_year=0.5, mean=-0.3, sd=0.05))
    found = [fitted(series(process, 1040, WEEK, number), WEEK) for number in range(count)]
    a_year = [one.process.shocks.a_year for one in found]
    mean = [one.process.shocks.mean for one in found]
    assert np.mean(a_year) == pytest.approx(0.5, abs=4 * np.std(a_year) / math.sqrt(count) + 0.03)
    assert np.mean(mean) == pytest.approx(-0.3, abs=4 * np.std(mean) / math.sqrt(count) + 0.01)
    assert np.median([one.process.shocks.sd for one in found]) == pytest.approx(0.05, abs=0.015)
    assert np.mean([one.process.volatility for one in found]) == pytest.approx(0.2, abs=0.004)
    assert np.mean([abs(one.process.shocks.a_year - 0.5) < 2.5 * one.shocks_a_year_se for one in found]) > 0.9


def test_known_shocks_come_back_from_twenty_years_of_weeks(series: Series) -> None:
    shocks_recovered(series, 40)


@pytest.mark.long
def test_known_shocks_come_back_in_many_series(series: Series) -> None:
    shocks_recovered(series, 600)


def never_back(series: Series, steps: int, number: int) -> Fit:
    """A random walk: prices that never come back."""
    log_price = np.cumsum(series(Process(0.0, 1e-4, 1.0), steps, MONTH, number, within=1)) * 0.01
    return fit(log_price, whole(log_price), MONTH, KEPT, 0.05)


def test_a_half_life_that_prices_do_not_tell_is_kept_from_the_settings(series: Series) -> None:
    found = [never_back(series, 120, number) for number in range(200)]
    untold = [one for one in found if not one.half_life_told]
    assert covered([not one.half_life_told for one in found], loose=0.01)
    assert {one.process.half_life_years for one in untold} == {KEPT}
    assert np.mean([math.isinf(one.half_life_range[1]) for one in untold]) > 0.8


def test_the_mean_holds_where_the_half_life_that_is_kept_is_right(series: Series) -> None:
    """Four years of days tell no half-life of two years; level and volatility then come from the rest."""
    process = Process(0.7, 2.0, 0.3)
    found = [fitted(series(process, 1000, 1 / 260, number), 1 / 260) for number in range(60)]
    kept = [one for one in found if not one.half_life_told]
    assert len(kept) > 45
    assert np.mean([abs(one.process.mean_log - 0.7) < 1.96 * one.mean_log_se for one in kept]) > 0.85
    assert covered(
        [abs(one.process.volatility - 0.3) < 1.96 * one.volatility_se for one in found], loose=0.02
    )


def test_a_step_across_a_gap_is_left_out(series: Series) -> None:
    log_price = series(Process(0.7, 0.5, 0.25), 260, MONTH)
    with_a_gap = np.delete(log_price, slice(100, 160))
    steps = whole(with_a_gap)
    steps[99] = False
    apart = [fit(part, whole(part), MONTH, KEPT, 0.0) for part in (log_price[:100], log_price[160:])]
    found = fit(with_a_gap, steps, MONTH, KEPT, 0.0)
    assert found.steps == sum(one.steps for one in apart) == 199
    volatility = math.sqrt(np.mean([one.process.volatility**2 for one in apart]))
    assert found.process.volatility == pytest.approx(volatility, rel=0.03)


def test_a_fall_by_a_third_is_a_shock_on_its_day(series: Series) -> None:
    log_price = series(Process(0.7, 0.5, 0.2), 300, WEEK)
    log_price[150:] += math.log(2 / 3) * Process(0.7, 0.5, 0.2).keeps(WEEK) ** np.arange(151)
    found = fit(log_price, whole(log_price), WEEK, KEPT, 0.05)
    assert found.shock_steps == (149,)
    assert found.shock_sizes[0] == pytest.approx(math.log(2 / 3), abs=0.09)
    assert found.process.shocks.sd == 0.0
    assert fit(log_price, whole(log_price), WEEK, KEPT, 0.0).shock_steps == ()


def test_prices_without_noise_are_refused() -> None:
    with pytest.raises(ValueError, match="without any noise"):
        fit(np.full(40, 0.3), np.ones(39, bool), MONTH, KEPT, 0.05)
    with pytest.raises(ValueError, match="without any noise"):
        fit(0.9 ** np.arange(40.0), np.ones(39, bool), MONTH, KEPT, 0.05)


def test_a_reversion_within_a_step_is_told_as_fast_as_steps_can_tell(series: Series) -> None:
    found = fitted(series(Process(0.0, MONTH / 30, 1.0), 200, MONTH, 3), MONTH)
    assert found.half_life_told
    assert found.process.half_life_years < MONTH / 2


# -- against statsmodels ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("n", [25, 100, 1000])
def test_the_test_for_coming_back_has_mackinnons_critical_values(n: int) -> None:
    assert critical(n) == pytest.approx(mackinnoncrit(1, "c", n)[1], rel=1e-12)


def test_grubbs_critical_values_are_those_of_the_published_table() -> None:
    """Two-sided 5 %: 1.887 at 6, 2.709 at 20, 3.128 at 50 values (Grubbs and Beck 1972, table 1; from memory)."""
    for n, value in ((6, 1.887), (20, 2.709), (50, 3.128)):
        assert grubbs(n, 0.05) == pytest.approx(value, abs=0.001)


@pytest.fixture(scope="module")
def metals() -> dict[str, np.ndarray]:
    """World Copper Market 1951-1975, yearly (Gill; shipped with statsmodels, all rights with its author)."""
    data = sm.datasets.copper.load_pandas().data
    return {name: np.log(data[f"{name}PRICE"].to_numpy()) for name in ("COPPER", "ALUM")}


def test_a_real_copper_price_is_fitted_as_statsmodels_does(metals: dict[str, np.ndarray]) -> None:
    log_price = metals["COPPER"]
    found = fit(log_price, whole(log_price), 1.0, KEPT, 0.05)
    by_statsmodels = sm.OLS(log_price[1:], sm.add_constant(log_price[:-1])).fit()
    slope, n = by_statsmodels.params[1], 24
    assert found.keeps == pytest.approx((n * slope + 1) / (n - 3), rel=1e-9)
    assert found.keeps_se == pytest.approx(by_statsmodels.bse[1] * n / (n - 3), rel=1e-9)
    assert found.reverts_t == pytest.approx((slope - 1) / by_statsmodels.bse[1], rel=1e-9)


def test_a_real_copper_price_does_not_tell_its_half_life_but_its_volatility(
    metals: dict[str, np.ndarray],
) -> None:
    log_price = metals["COPPER"]
    found = fit(log_price, whole(log_price), 1.0, KEPT, 0.05)
    assert not found.half_life_told
    assert found.process.half_life_years == KEPT
    assert found.half_life_range == (pytest.approx(0.95, abs=0.01), math.inf)
    assert found.shock_steps == ()
    assert found.process.volatility == pytest.approx(0.149, abs=0.001)
    assert found.volatility_se == pytest.approx(0.149 / math.sqrt(48), abs=0.001)
    assert math.exp(found.process.mean_log) == pytest.approx(np.exp(log_price).mean(), rel=0.1)


def test_a_real_aluminium_price_tells_its_half_life_and_two_shocks(metals: dict[str, np.ndarray]) -> None:
    found = fit(metals["ALUM"], whole(metals["ALUM"]), 1.0, KEPT, 0.05)
    assert found.half_life_told
    assert found.process.half_life_years == pytest.approx(3.05, abs=0.01)
    assert [1951 + step + 1 for step in found.shock_steps] == [1972, 1973]
