"""The formulas for waits against printed ones, and queues that are not what they are taken for."""

from __future__ import annotations

import numpy as np
import pytest

from planner.testing import queues
from planner.testing.pot import Pot, one_by_one, waits_h
from planner.testing.rows import by_chance


@pytest.fixture(scope="module")
def pot() -> Pot:
    return Pot()


def test_a_drive_through_pharmacy_as_printed() -> None:
    """Rossetti, Simulation Modeling and Arena (open text), queueing appendix: 10 an hour, 12 served: 25 min."""
    assert 60.0 * queues.pollaczek_khinchine_h(1 / 10, 1 / 12, 2 / 12**2) == pytest.approx(25.0)


def test_the_length_of_a_queue_with_services_all_alike_as_printed() -> None:
    """The same, table of queues: Lq = r^2 / 2 (1 - r)."""
    assert queues.pollaczek_khinchine_h(1.0, 0.8, 0.64) == pytest.approx(0.8**2 / (2 * 0.2))


def test_the_recursion_for_equal_gaps_meets_the_formula_for_services_without_end() -> None:
    step_h = 0.01
    ends = np.concatenate(([0.0], (np.arange(2000) + 0.5) * step_h, [np.inf]))
    found = queues.scheduled_wait_h(-np.diff(np.exp(-ends)), 200, step_h)
    assert found == pytest.approx(queues.sigma_wait_h(2.0, 1.0), rel=1e-3)
    assert queues.sigma_wait_h(2.0, 1.0) == pytest.approx(0.2032 / 0.7968, rel=1e-3)


def test_who_comes_first_changes_what_each_waits_but_not_the_work_that_waits() -> None:
    """Kleinrock's conservation law: the waits, weighted by load, sum to the same in any order (from memory)."""
    first, second = (2.0, 0.5), (4.0, 1.0)
    one, other = queues.cobham_h(first, second)
    swapped_other, swapped_one = queues.cobham_h(second, first)
    assert 0.25 * one + 0.25 * other == pytest.approx(0.25 * swapped_one + 0.25 * swapped_other)
    assert one < swapped_one


def test_melts_take_longer_with_every_round_of_the_mould(pot: Pot) -> None:
    assert (np.diff(pot.melt_h) > 0.0).all()
    assert np.diff(pot.melt_h) == pytest.approx(pot.round_h, rel=1e-3)
    assert pot.melt_h[0] < 0.005 * queues.MEAN_MELT_H
    assert pot.melt_h[-1] > 8.0 * queues.MEAN_MELT_H


def test_exponential_melts_have_nearly_the_moments_of_a_law_without_end(pot: Pot) -> None:
    melts = queues.exponential(pot)
    assert melts.shares.sum() == pytest.approx(1.0)
    assert melts.mean_h == pytest.approx(1.0, rel=3e-3)
    assert melts.mean_square == pytest.approx(2.0, rel=1e-2)


def test_kinds_of_bucket_are_drawn_as_often_as_they_should_come(pot: Pot) -> None:
    melts = queues.two_kinds(pot)
    kinds = melts.drawn((np.arange(1000) + 0.5) / 1000)
    assert np.bincount(kinds, minlength=melts.shares.size) / 1000 == pytest.approx(melts.shares)


def test_an_owner_who_sets_up_for_six_minutes_before_every_melt_is_found_out(pot: Pot) -> None:
    """The melts are those of a pot that needs no setting up; the run is not. A melt begins after the set-up."""
    slower = Pot(melting={"set_up": "6 min"})
    melts = queues.constant(pot)
    expected = queues.pollaczek_khinchine_h(queues.GAP_H, melts.mean_h, melts.mean_square)
    found = queues.wait_h(slower, melts, "set-up", runs=15)
    assert not by_chance("queues", "set-up", "h", expected + 0.1, found, "").ok
    right = queues.pollaczek_khinchine_h(queues.GAP_H, melts.mean_h + 0.1, (melts.mean_h + 0.1) ** 2)
    assert by_chance("queues", "set-up", "h", right + 0.1, found, "").ok


def test_every_wait_tells_of_it_at_once(pot: Pot) -> None:
    assert queues.every_wait(pot).ok
    assert not queues.every_wait(Pot(melting={"set_up": "6 min"})).ok


def test_buckets_that_are_not_melted_in_their_order_are_no_such_queue(pot: Pot) -> None:
    workshop = pot.workshop(20)
    run = workshop.play(pot.world(workshop, np.arange(1, 21) * 2.0, np.full(20, 15)))
    assert waits_h(run, np.arange(1, 21) * 2.0, 20) == pytest.approx(np.zeros(20), abs=1e-9)
    run.melts.reverse()
    with pytest.raises(ValueError, match="one by one"):
        one_by_one(run, 20)
