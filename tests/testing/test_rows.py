from __future__ import annotations

from math import inf, nan, sqrt

import numpy as np
import pytest
from scipy import stats

from planner.testing.rows import FALSE_ALARM, MOST_BY_CHANCE, Mean, by_chance, for_sure, mean_of
from planner.world.draw import Draw


def test_a_figure_by_chance_may_lie_as_far_off_as_all_rows_together_allow() -> None:
    bound = stats.t.ppf(1.0 - FALSE_ALARM / MOST_BY_CHANCE / 2.0, 39)
    got = Mean(10.0, 0.2, 39)
    assert by_chance("a", "b", "h", 10.0 + 0.2 * (bound - 1e-6), got, "c").ok
    wrong = by_chance("a", "b", "h", 10.0 - 0.2 * (bound + 1e-6), got, "c")
    assert not wrong.ok
    assert wrong.z == pytest.approx(bound, rel=1e-4)
    assert wrong.allowed == pytest.approx(0.2 * bound)


@pytest.mark.parametrize("got", [1.0011, 0.9989, nan, inf])
def test_a_figure_without_chance_fails_where_it_is_further_off_than_allowed(got: float) -> None:
    assert not for_sure("a", "b", "h", 1.0, got, 0.001, "c").ok
    assert for_sure("a", "b", "h", 1.0, 1.0009, 0.001, "c").ok


def test_a_figure_that_no_run_gave_fails() -> None:
    assert not by_chance("a", "b", "h", 1.0, Mean(nan, 0.1, 10), "c").ok
    assert not by_chance("a", "b", "h", 1.0, Mean(1.0, nan, 10), "c").ok


def test_without_controls_it_is_the_mean_and_its_usual_standard_error() -> None:
    values = [3.0, 5.0, 4.0, 8.0]
    found = mean_of(values)
    assert found.value == pytest.approx(5.0)
    assert found.standard_error == pytest.approx(np.std(values, ddof=1) / 2.0)
    assert found.free == 3


def test_controls_make_a_mean_surer_and_leave_it_right() -> None:
    draw = Draw(1, 0)
    z_scores, errors = [], []
    for batch in range(400):
        known, noise = draw.normal(f"known {batch}", 40), draw.normal(f"noise {batch}", 40)
        found = mean_of(7.0 + 3.0 * known + noise, [known])
        z_scores.append((found.value - 7.0) / found.standard_error)
        errors.append(found.standard_error)
    assert np.mean(errors) == pytest.approx(
        1.0 / sqrt(40), rel=0.05
    )  # with the known part it would be 3.16 times this
    assert np.mean(z_scores) == pytest.approx(0.0, abs=4.0 / sqrt(400))
    assert np.std(z_scores) == pytest.approx(sqrt(38 / 36), rel=0.15)


def test_the_same_figure_can_be_held_against_another_answer() -> None:
    row = by_chance("a", "b", "h", 10.0, Mean(10.0, 0.1, 39), "c")
    assert row.ok
    assert not row.against(11.0).ok
    assert row.against(11.0).z == pytest.approx(-10.0)
    assert not for_sure("a", "b", "h", 1.0, 1.0, 0.001, "c").against(1.1).ok
