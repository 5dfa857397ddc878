"""A burst's size, decay and saturation, against theory and against counting the hazard hour by hour."""

from __future__ import annotations

import math

import numpy as np
import pytest

from planner_adverts.effect import reminded, told_h

DAY = 24.0
PEOPLE = 40_000
HAZARD = -np.log1p(-(np.arange(PEOPLE) + 0.5) / PEOPLE)
"""People evenly over the exponential distribution, so that shares are exact to 1 in 40,000."""


def told_by(t_h: float, at_h: list[float], reach: float = 0.3, half_life_h: float = 7 * DAY) -> float:
    """Share of people told by a time."""
    return float(np.mean(told_h(np.array(at_h), reach, half_life_h, HAZARD) <= t_h))


def test_one_advert_tells_its_reach_in_the_end_and_half_of_its_hazard_within_the_half_life() -> None:
    assert told_by(1e6, [100.0]) == pytest.approx(0.3, abs=1e-4)
    assert told_by(99.9, [100.0]) == 0.0
    for half_lives in (0.5, 1.0, 2.0, 5.0):
        done = 1.0 - 0.7 ** (1.0 - 0.5**half_lives)
        assert told_by(100.0 + half_lives * 7 * DAY, [100.0]) == pytest.approx(done, abs=1e-4)


@pytest.mark.parametrize("gap_days", [0.5, 7.0, 60.0])
def test_adverts_saturate_in_those_who_have_not_heard_of_it(gap_days: float) -> None:
    for count in (2, 5, 30):
        at_h = [gap_days * DAY * number for number in range(count)]
        assert told_by(1e6, at_h) == pytest.approx(1.0 - 0.7**count, abs=1e-4)


def test_the_burst_is_the_hazard_summed_hour_by_hour() -> None:
    at_h, half_life_h = [-200.0, -30.0, 50.0, 60.0, 400.0], 5 * DAY
    fine = np.arange(0.0, 1000.0, 0.05)
    rate = sum(
        -math.log(0.7)
        * math.log(2)
        / half_life_h
        * np.where(fine >= at, 0.5 ** ((fine - at) / half_life_h), 0.0)
        for at in at_h
    )
    told = 1.0 - np.exp(-np.cumsum(rate) * 0.05)
    for t_h in (1.0, 49.0, 55.0, 150.0, 399.0, 500.0, 990.0):
        assert told_by(t_h, at_h, half_life_h=half_life_h) == pytest.approx(
            float(np.interp(t_h, fine, told)), abs=5e-4
        )


def test_without_reach_or_adverts_nobody_is_told() -> None:
    assert np.isinf(told_h(np.array([5.0]), 0.0, 100.0, HAZARD)).all()
    assert np.isinf(told_h(np.empty(0), 0.5, 100.0, HAZARD)).all()


def test_more_reach_a_slower_decay_or_another_advert_moves_the_same_people_a_little() -> None:
    at_h = np.array([0.0, 30 * DAY])
    base = told_h(at_h, 0.3, 7 * DAY, HAZARD)
    more = told_h(at_h, 0.31, 7 * DAY, HAZARD)
    assert (more <= base).all()
    assert np.isfinite(more).sum() - np.isfinite(base).sum() < 0.02 * PEOPLE
    another = told_h(np.append(at_h, 60 * DAY), 0.3, 7 * DAY, HAZARD)
    early = base < 60 * DAY
    np.testing.assert_array_equal(another[early], base[early])
    assert (another <= base).all()


def test_people_are_reminded_for_a_while() -> None:
    half_life_h, days = 5 * DAY, 400
    fresh = reminded(np.array([10 * DAY]), half_life_h, days)
    assert (fresh[:10] == 0.0).all()
    assert fresh.sum() * DAY == pytest.approx(half_life_h / math.log(2), rel=1e-9)
    assert fresh[15] / fresh[10] == pytest.approx(0.5)
    assert reminded(np.empty(0), half_life_h, 3).tolist() == [0.0, 0.0, 0.0]
    before = reminded(np.array([-5 * DAY]), half_life_h, days)
    assert before[0] == pytest.approx(0.5 * fresh[10])


def test_adverts_every_day_keep_people_reminded_and_no_more() -> None:
    fresh = reminded(np.arange(50) * DAY, 5 * DAY, 50)
    assert fresh.max() < 1.0
    assert fresh.min() == pytest.approx(fresh.max())
