from __future__ import annotations

import pickle
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from planner.scenario.part import PartError
from planner.scenario.spread import PARAMETERS, Spread, SpreadOf, cut_warning, read_spread, spread_of

FREE = SpreadOf("number")
SHARE = SpreadOf("share", low=0, high=1)
U = np.linspace(0.0005, 0.9995, 400)


def lognormal(mean: float, sd: float) -> Any:
    sigma = np.sqrt(np.log1p((sd / mean) ** 2))
    return stats.lognorm(sigma, scale=mean / np.sqrt(1 + (sd / mean) ** 2))


def beta(mean: float, sd: float) -> Any:
    size = mean * (1 - mean) / sd**2 - 1
    return stats.beta(mean * size, (1 - mean) * size)


CASES: list[tuple[dict[str, Any], SpreadOf, Any]] = [
    ({"uniform": {"low": 2, "high": 5}}, FREE, stats.uniform(2, 3)),
    ({"triangular": {"low": 2, "mode": 3, "high": 7}}, FREE, stats.triang(0.2, 2, 5)),
    ({"triangular": {"low": 2, "mode": 2, "high": 7}}, FREE, stats.triang(0.0, 2, 5)),
    ({"triangular": {"low": 2, "mode": 7, "high": 7}}, FREE, stats.triang(1.0, 2, 5)),
    ({"normal": {"mean": 5, "sd": 2}}, FREE, stats.norm(5, 2)),
    ({"lognormal": {"mean": 5, "sd": 2}}, FREE, lognormal(5, 2)),
    ({"gamma": {"mean": 5, "sd": 2}}, FREE, stats.gamma(6.25, scale=0.8)),
    ({"beta": {"mean": 0.3, "sd": 0.1}}, SHARE, beta(0.3, 0.1)),
    ({"exponential": {"mean": 5}}, FREE, stats.expon(scale=5)),
]


@pytest.mark.parametrize(("text", "form", "known"), CASES)
def test_values_are_the_quantiles_that_scipy_stats_gives(
    text: dict[str, Any], form: SpreadOf, known: Any
) -> None:
    spread = read_spread(text, form)
    np.testing.assert_allclose(spread.from_uniform(U), known.ppf(U), rtol=1e-9, atol=1e-12)
    assert spread.mean == pytest.approx(float(known.mean()))
    for x in known.ppf([0.01, 0.3, 0.9]):
        assert spread.share_below(float(x)) == pytest.approx(float(known.cdf(x)))


@pytest.mark.parametrize(("text", "form", "known"), CASES)
def test_values_that_are_multiplied_are_the_same_values_multiplied(
    text: Any, form: SpreadOf, known: Any
) -> None:
    spread = read_spread(text, form)
    free = Spread(spread.kind, spread.numbers)
    np.testing.assert_allclose(free.times(1.7).from_uniform(U), 1.7 * free.from_uniform(U), rtol=1e-9)
    assert free.times(1.7).share_below(1.7 * free.mean) == pytest.approx(free.share_below(free.mean))
    assert np.all(free.times(0).from_uniform(U) == 0)


def test_every_kind_is_checked_against_scipy_or_by_hand() -> None:
    assert {next(iter(text)) for text, _, _ in CASES} | {"choice"} == set(PARAMETERS)


def test_a_choice_gives_each_value_its_weight() -> None:
    spread = read_spread({"choice": {"values": [20, 10, 40], "weights": [1, 2, 1]}}, FREE)
    values = spread.from_uniform((np.arange(1000) + 0.5) / 1000)
    assert [int(np.sum(values == value)) for value in (10, 20, 40)] == [500, 250, 250]
    assert spread.mean == 20
    assert [spread.share_below(x) for x in (9.9, 10, 25, 40)] == [0.0, 0.5, 0.75, 1.0]
    assert np.all(np.diff(values) >= 0)


def test_the_ends_of_the_uniforms_give_finite_values() -> None:
    for text, form, _ in CASES:
        values = read_spread(text, form).from_uniform(np.array([0.0, 1.0]))
        assert np.all(np.isfinite(values))


def test_a_constant_does_not_vary() -> None:
    spread = read_spread("60 kg", SpreadOf("kg", low=0))
    assert spread.is_constant
    assert np.all(spread.from_uniform(U) == 60)
    assert (spread.mean, spread.share_below(59.9), spread.share_below(60)) == (60, 0.0, 1.0)


@pytest.mark.parametrize("kind", ["normal", "lognormal", "gamma", "beta"])
def test_a_spread_without_width_is_a_constant(kind: str) -> None:
    spread = read_spread({kind: {"mean": 0.4, "sd": 0}}, SHARE)
    assert spread.is_constant
    assert np.all(spread.from_uniform(U) == 0.4)


def test_values_beyond_the_bounds_are_set_to_them_and_the_share_is_told() -> None:
    form = SpreadOf("kg", low=0, high=90)
    spread = read_spread({"normal": {"mean": "60 kg", "sd": "30 kg"}}, form)
    values = spread.from_uniform(U)
    assert (values.min(), values.max()) == (0, 90)
    cut = float(stats.norm.cdf(-2) + stats.norm.sf(1))
    assert spread.cut_share == pytest.approx(cut)
    assert cut_warning(spread, form) == (
        "18 % of this normal spread lies outside what is possible (from 0 kg to 90 kg) and is set to the bound"
    )
    assert (spread.share_below(-1), spread.share_below(0), spread.share_below(90)) == (
        0.0,
        pytest.approx(float(stats.norm.cdf(-2))),
        1.0,
    )


def test_a_trace_beyond_the_bounds_is_not_worth_a_word() -> None:
    form = SpreadOf("kg", low=0)
    assert cut_warning(read_spread({"normal": {"mean": "60 kg", "sd": "15 kg"}}, form), form) is None


def test_counts_are_whole() -> None:
    spread = read_spread({"gamma": {"mean": 4, "sd": 2}}, spread_of("count", low=1))
    values = spread.from_uniform(U)
    assert np.all(values == np.rint(values))
    assert values.min() == 1
    assert spread.share_below(4) == pytest.approx(np.mean(values <= 4), abs=0.005)


def test_the_mean_of_what_is_drawn_lies_inside_the_bounds() -> None:
    spread = read_spread({"beta": {"mean": 0.8, "sd": 0.1}}, SHARE).times(1.5)
    assert spread.mean == 1.0
    assert spread.from_uniform(U).max() == 1.0


def test_temperatures_vary_by_differences() -> None:
    spread = read_spread({"normal": {"mean": "32 degF", "sd": "9 degF"}}, SpreadOf("degC"))
    assert spread.numbers == pytest.approx((0.0, 5.0))


def test_a_spread_is_a_value_like_any_other() -> None:
    spread = read_spread({"gamma": {"mean": "60 kg", "sd": "10 kg"}}, SpreadOf("kg", low=0))
    same = pickle.loads(pickle.dumps(spread))
    assert same == spread
    assert len({spread, same, Spread.constant(1)}) == 2
    assert spread.written("kg") == {"gamma": {"mean": "60 kg", "sd": "10 kg"}}


def test_a_factor_below_zero_is_refused() -> None:
    with pytest.raises(ValueError, match="from 0 up"):
        Spread.constant(5).times(-1)


def test_what_is_wrong_inside_is_pointed_at() -> None:
    with pytest.raises(PartError) as caught:
        read_spread({"uniform": {"low": "5 kg", "high": "2 kg"}}, SpreadOf("kg"))
    assert caught.value.at == ("uniform", "low")


NUMBERS = st.floats(min_value=0.01, max_value=100)


@given(mean=NUMBERS, sd=NUMBERS, kind=st.sampled_from(["normal", "lognormal", "gamma"]))
def test_more_chance_never_gives_less(mean: float, sd: float, kind: str) -> None:
    values = read_spread({kind: {"mean": mean, "sd": sd}}, SpreadOf("number", low=0, high=1000)).from_uniform(
        U
    )
    assert np.all(np.diff(values) >= 0)
    assert np.all((values >= 0) & (values <= 1000))


@given(low=NUMBERS, mid=NUMBERS, high=NUMBERS)
def test_what_was_read_is_written_and_read_again(low: float, mid: float, high: float) -> None:
    low, mid, high = sorted((low, mid, high))
    form = SpreadOf("kg", low=0)
    spread = read_spread(
        {"triangular": {"low": f"{low:.4f} kg", "mode": f"{mid:.4f} kg", "high": f"{high:.4f} kg"}}, form
    )
    assert read_spread(spread.written("kg"), form) == spread
