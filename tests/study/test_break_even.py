"""Where two options bring the same along an input: known roots, and intervals that hold as often as they say."""

from __future__ import annotations

from collections.abc import Callable
from math import exp, log, nan, sqrt

import numpy as np
import pytest
from scipy.stats import binomtest

from planner.study.break_even import Crossing, crossings
from planner.study.intervals import FloatArray, t_quantile

GRID = tuple(np.linspace(0.0, 8.0, 9).tolist())
Curve = Callable[[float], float]


def straight(x: float) -> float:
    """Zero at 3.3."""
    return 20.0 * (x - 3.3)


def bent(x: float) -> float:
    """Zero at log 30, steeper and steeper."""
    return 4.0 * (exp(x / 2.0) - sqrt(30.0))


class Drawn:
    """Differences round a known curve, in worlds that each have a level and a slope of their own."""

    def __init__(
        self, curve: Curve, seed: int, worlds: int = 20, level: float = 30.0, slope: float = 0.0
    ) -> None:
        rng = np.random.default_rng(seed)
        self.curve = curve
        self.levels, self.slopes = rng.normal(0.0, level, worlds), rng.normal(0.0, slope, worlds)
        self.asked: list[float] = []

    def __call__(self, x: float) -> FloatArray:
        self.asked.append(x)
        found: FloatArray = self.curve(x) + self.levels + self.slopes * (x - 4.0)
        return found


def only(found: tuple[Crossing, ...]) -> Crossing:
    (one,) = found
    return one


def test_on_a_straight_line_the_root_is_exact_and_its_interval_the_textbook_one() -> None:
    drawn = Drawn(straight, 1)
    found = only(crossings(GRID, drawn, 0.95))
    mean, half = drawn.levels.mean(), t_quantile(20, 0.95) * drawn.levels.std(ddof=1) / sqrt(20)
    assert found.at == pytest.approx(3.3 - mean / 20.0)
    assert (found.low, found.high) == (
        pytest.approx(found.at - half / 20.0),
        pytest.approx(found.at + half / 20.0),
    )
    assert (found.rises, found.open_low, found.open_high) == (True, False, False)


def test_falling_is_told_from_rising() -> None:
    assert not only(crossings(GRID, Drawn(lambda x: -straight(x), 1), 0.95)).rises


def test_a_bent_curve_is_followed_to_its_root_with_few_further_questions() -> None:
    drawn = Drawn(bent, 2, level=3.0)
    found = only(crossings(GRID, drawn, 0.95))
    root = 2.0 * log(sqrt(30.0) - drawn.levels.mean() / 4.0)
    assert abs(found.at - root) < 0.1 * (found.high - found.low) / 2.0
    further = [x for x in drawn.asked if x not in GRID]
    assert 1 <= len(further) <= 5
    assert all(3.0 < x < 4.0 for x in further)


def test_worlds_without_doubt_leave_none_about_the_root() -> None:
    found = only(crossings(GRID, lambda x: np.full(5, bent(x)), 0.95))
    assert found.at == pytest.approx(log(30.0), abs=1e-4)
    assert found.high - found.low < 1e-3


def test_every_change_of_sign_is_found() -> None:
    found = crossings(GRID, lambda x: np.array([-0.1, 0.0, 0.1]) + np.sin(x), 0.95)
    assert [one.at for one in found] == [pytest.approx(np.pi, abs=0.01), pytest.approx(2 * np.pi, abs=0.01)]
    assert [one.rises for one in found] == [False, True]


def test_without_a_change_of_sign_there_is_none_and_nothing_more_is_asked() -> None:
    drawn = Drawn(lambda x: straight(x) + 500.0, 3)
    assert crossings(GRID, drawn, 0.95) == ()
    assert drawn.asked == list(GRID)


def test_options_that_are_the_same_up_to_a_point_part_there_and_do_not_cross() -> None:
    assert crossings(GRID, lambda x: np.full(5, max(0.0, x - 4.0)), 0.95) == ()


def test_an_interval_that_reaches_beyond_the_range_says_so() -> None:
    found = only(crossings(GRID, Drawn(straight, 1, level=220.0), 0.95))
    assert (found.open_low, found.low) == (True, 0.0)
    assert found.told
    lost = only(crossings(GRID, Drawn(straight, 4, level=500.0), 0.95))
    assert (lost.open_low, lost.open_high, lost.told) == (True, True, False)


def test_one_world_says_where_but_not_how_surely() -> None:
    found = only(crossings(GRID, lambda x: np.array([straight(x)]), 0.95))
    assert found.at == pytest.approx(3.3)
    assert not found.told


def test_a_point_without_a_figure_is_not_bridged() -> None:
    def gap(x: float) -> FloatArray:
        return np.full(5, nan if x == 4.0 else straight(x))

    assert crossings(GRID, gap, 0.95) == ()


def test_a_figure_missing_near_the_root_leaves_the_straight_line_between_the_points() -> None:
    def gap(x: float) -> FloatArray:
        return np.full(5, bent(x) if x in GRID else nan)

    found = only(crossings(GRID, gap, 0.95))
    assert found.at == pytest.approx(3.0 - bent(3.0) / (bent(4.0) - bent(3.0)))


def test_of_whole_numbers_it_lies_between_two_that_follow_on_each_other() -> None:
    asked: list[float] = []

    def steps(x: float) -> FloatArray:
        asked.append(x)
        return np.full(5, 10.0 * (x - 12.6))

    found = only(crossings((2.0, 9.0, 16.0), steps, 0.95, whole=True))
    assert 12.0 < found.at < 13.0
    assert all(x == int(x) for x in asked)


CASES = {
    "straight": (straight, 3.3, 30.0, 0.0),
    "straight, worlds with slopes of their own": (straight, 3.3, 30.0, 12.0),
    "bent": (bent, log(30.0), 12.0, 1.0),
}


def covered(case: str, repeats: int, worlds: int = 20) -> int:
    """How often the interval of a root holds the true one."""
    curve, root, level, slope = CASES[case]
    held = 0
    for seed in range(repeats):
        found = crossings(GRID, Drawn(curve, 1000 + seed, worlds, level, slope), 0.95)
        held += any(one.low <= root <= one.high for one in found)
    return held


def says(held: int, repeats: int, looked_at: int) -> tuple[float, float]:
    """Where the true share lies, all that is looked at together missed once in a thousand."""
    share = binomtest(held, repeats).proportion_ci(1.0 - 0.001 / looked_at)
    return share.low, share.high


@pytest.mark.parametrize("case", CASES)
def test_the_interval_holds_the_true_root_as_often_as_it_says(case: str) -> None:
    low, high = says(covered(case, 400), 400, len(CASES))
    assert low <= 0.95 <= high


def test_an_interval_half_as_wide_would_be_found_out() -> None:
    held = 0
    for seed in range(400):
        one = only(crossings(GRID, Drawn(straight, 1000 + seed), 0.95))
        held += abs(3.3 - one.at) <= (one.high - one.low) / 4.0
    assert says(held, 400, 1)[1] < 0.95


@pytest.mark.long
@pytest.mark.parametrize("worlds", [10, 20, 50])
@pytest.mark.parametrize("case", CASES)
def test_the_interval_holds_in_many_repeats(
    case: str, worlds: int, capsys: pytest.CaptureFixture[str]
) -> None:
    held = covered(case, 4000, worlds)
    with capsys.disabled():
        print(f"\n{case}, {worlds} worlds: {held / 4000:.3f}")
    low, high = says(held, 4000, 3 * len(CASES))
    assert low <= 0.95 <= high


class Lopsided(Drawn):
    """Worlds of which few are very good: lognormal, with the mean of zero and the deviation of the others."""

    def __init__(self, curve: Curve, seed: int, worlds: int, sigma: float) -> None:
        super().__init__(curve, seed, worlds)
        drawn = np.random.default_rng(seed).lognormal(0.0, sigma, worlds)
        middle = exp(sigma**2 / 2.0)
        self.levels = 30.0 * (drawn - middle) / (middle * sqrt(exp(sigma**2) - 1.0))


LEAST = {(0.4, 10): 0.92, (0.4, 20): 0.93, (0.4, 50): 0.94, (1.0, 10): 0.82, (1.0, 20): 0.85, (1.0, 50): 0.89}
"""What is told in DEVELOPERS.md, less what 4,000 repeats leave open: lopsided worlds hold less often than they say."""


@pytest.mark.long
@pytest.mark.parametrize(("sigma", "worlds"), LEAST)
def test_in_lopsided_worlds_the_interval_holds_as_often_as_is_told(
    sigma: float, worlds: int, capsys: pytest.CaptureFixture[str]
) -> None:
    held = 0
    for seed in range(4000):
        found = crossings(GRID, Lopsided(straight, 1000 + seed, worlds, sigma), 0.95)
        held += any(one.low <= 3.3 <= one.high for one in found)
    with capsys.disabled():
        print(f"\nlognormal {sigma}, {worlds} worlds: {held / 4000:.3f}")
    assert held / 4000 >= LEAST[sigma, worlds]
