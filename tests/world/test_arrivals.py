"""Events drawn until the horizon is full."""

from __future__ import annotations

import numpy as np
import pytest

from planner.world.arrivals import MOST_EVENTS, arrivals
from planner.world.draw import Draw
from planner.world.parts import FloatArray

YEAR_H = 365 * 24.0


def exponential(u: FloatArray) -> FloatArray:
    return -100.0 * np.log1p(-u)


def events(
    mean_gap_h: float = 100.0, end_h: float = YEAR_H, replicate: int = 0
) -> tuple[FloatArray, FloatArray]:
    return arrivals(Draw(4, replicate), "finds", 3, exponential, mean_gap_h, end_h)


def test_events_fill_the_horizon_in_order_and_none_lies_beyond() -> None:
    u, t_h = events()
    assert u.shape == (t_h.size, 3)
    assert (np.diff(t_h) > 0).all()
    assert YEAR_H - 1500.0 < t_h[-1] <= YEAR_H


def test_a_bad_guess_of_the_gap_changes_nothing() -> None:
    right, (u, t_h) = events(), events(mean_gap_h=5000.0)
    assert np.array_equal(right[0], u)
    assert np.array_equal(right[1], t_h)


def test_a_longer_horizon_only_adds_events() -> None:
    (u, t_h), (long_u, long_t_h) = events(), events(end_h=3 * YEAR_H)
    assert np.array_equal(long_u[: u.shape[0]], u)
    assert np.array_equal(long_t_h[: t_h.size], t_h)


def test_exponential_gaps_make_a_poisson_number_of_events() -> None:
    counts = np.array([events(replicate=r)[1].size for r in range(400)])
    mean = YEAR_H / 100.0
    assert abs(counts.mean() - mean) < 4 * np.sqrt(mean / counts.size)
    assert counts.var(ddof=1) / mean == pytest.approx(1.0, abs=4 * np.sqrt(2 / counts.size))


def test_the_first_event_can_be_set() -> None:
    _, t_h = arrivals(Draw(4, 0), "finds", 3, exponential, 100.0, YEAR_H, first_h=0.0)
    assert t_h[0] == 0.0
    assert t_h[1] == exponential(Draw(4, 0).uniform("finds", (2, 3))[:, 0])[1]


def test_an_event_at_the_very_end_still_happens() -> None:
    _, t_h = arrivals(Draw(4, 0), "finds", 1, lambda u: np.full_like(u, 100.0), 100.0, 300.0)
    assert t_h.tolist() == [100.0, 200.0, 300.0]


def test_no_time_no_events() -> None:
    assert events(end_h=0.0)[1].size == 0


@pytest.mark.parametrize("mean_gap_h", [0.0, 0.01, 100.0])
def test_events_without_end_are_refused(mean_gap_h: float) -> None:
    with pytest.raises(ValueError, match=f"more than {MOST_EVENTS:,} events in 365 days"):
        arrivals(Draw(4, 0), "finds", 1, np.zeros_like, mean_gap_h, YEAR_H)


def test_as_many_events_as_are_allowed_are_drawn_and_not_one_more() -> None:
    def every_hour(u: FloatArray) -> FloatArray:
        return np.ones_like(u)

    _, t_h = arrivals(Draw(4, 0), "finds", 1, every_hour, 1.0, float(MOST_EVENTS))
    assert t_h.size == MOST_EVENTS
    with pytest.raises(ValueError, match=f"more than {MOST_EVENTS:,} events"):
        arrivals(Draw(4, 0), "finds", 1, every_hour, 1.0, MOST_EVENTS + 1.0)
