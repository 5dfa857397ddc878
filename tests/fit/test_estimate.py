"""What an estimate says of itself: where it lies, how sure it is, what more records would tell."""

from __future__ import annotations

from math import exp, log

import numpy as np
import pytest

from planner.fit.estimate import USUAL_Z, Estimate, together


def estimate(shift: float, sd: float, prior_sd: float = 0.3, records: int = 20) -> Estimate:
    return Estimate(
        "a bucket's mass", "supply.town.settings.typical.mass", "times", 59.0, "kg", shift, sd, prior_sd, records,
        "logarithms of weighed buckets", "pickups",
    )  # fmt: skip


def test_records_and_scenario_are_weighed_by_how_sure_each_is() -> None:
    # by hand: precisions 1/0.3^2 and 1/0.1^2 add up; the mean is theirs, weighed
    mean, covariance = together(np.array([0.3]), np.array([0.2]), np.array([[0.01]]))
    assert covariance[0, 0] == pytest.approx(1.0 / (1.0 / 0.09 + 1.0 / 0.01))
    assert mean[0] == pytest.approx(0.2 * 0.09 / (0.09 + 0.01))


def test_what_records_say_of_two_things_together_stays_together() -> None:
    told = np.array([[0.04, -0.03], [-0.03, 0.04]])
    _, covariance = together(np.array([0.5, 0.5]), np.array([0.1, -0.1]), told)
    assert covariance[0, 1] < 0
    assert np.all(np.diag(covariance) < np.diag(told))


def test_no_records_leave_what_the_scenario_says() -> None:
    mean, covariance = together(np.array([0.3]), np.array([5.0]), np.array([[1e12]]))
    assert mean[0] == pytest.approx(0.0, abs=1e-9)
    assert covariance[0, 0] == pytest.approx(0.09)


def test_an_interval_of_a_factor_is_told_in_the_unit_of_the_value() -> None:
    found = estimate(log(1.1), 0.05)
    low, high = found.interval
    assert found.value == pytest.approx(64.9)
    assert (low, high) == pytest.approx((64.9 * exp(-USUAL_Z * 0.05), 64.9 * exp(USUAL_Z * 0.05)))


def test_what_records_hardly_tell_is_weak_and_asks_for_more() -> None:
    weak, sure = estimate(0.1, 0.25), estimate(0.1, 0.05)
    assert weak.is_weak
    assert not sure.is_weak
    assert weak.more is not None
    assert sure.more is not None
    # four times the precision halves the standard deviation: what is missing is three times what there is
    assert sure.more == pytest.approx(3 * 20 * 0.05**-2 / (0.05**-2 - 0.3**-2), abs=1)
    assert estimate(0.0, 0.3, records=0).more is None
