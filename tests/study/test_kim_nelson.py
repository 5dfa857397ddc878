"""The procedure that chooses, against its published constants and by repeats on known means."""

from __future__ import annotations

import numpy as np
import pytest

from planner.study.intervals import FloatArray
from planner.study.kim_nelson import KimNelson, Screening

# Kim and Nelson (2001), c = 1; the values as evaluated from the formula for the project's design and reference tables
CONSTANTS = [
    (2, 10, 0.334050, 6.012905),
    (5, 10, 0.634967, 11.429411),
    (5, 20, 0.237238, 9.015056),
    (10, 10, 0.85908, 15.4635),
    (10, 20, 0.302934, 11.511485),
    (12, 10, 0.921061, 16.579104),
    (100, 10, 1.81562, 32.6811),
]


@pytest.mark.parametrize(("options", "first", "eta", "h2"), CONSTANTS)
def test_the_constants_are_the_published_ones(options: int, first: int, eta: float, h2: float) -> None:
    rule = KimNelson(options, first, 0.95, 1.0)
    assert rule.eta == pytest.approx(eta, abs=6e-6)
    assert rule.h2 == pytest.approx(h2, abs=6e-5)


def test_another_confidence_has_its_own_constants() -> None:
    rule = KimNelson(5, 20, 0.9, 1.0)
    assert (rule.eta, rule.h2) == pytest.approx((0.18536, 7.0438), abs=6e-5)


def test_the_width_is_that_of_the_paper_and_ends_at_zero() -> None:
    rule = KimNelson(2, 10, 0.95, 2.0)
    s2 = np.array([[0.0, 30.0], [30.0, 0.0]])
    by_hand = 2.0 / (2 * 20) * (6.012905 * 30.0 / 4.0 - 20)
    assert rule.width(s2, 20)[0, 1] == pytest.approx(by_hand, rel=1e-6)
    assert rule.width(s2, 20)[0, 0] == 0.0
    assert rule.width(s2, 46)[0, 1] == 0.0


def worlds(n: int, seed: int = 3) -> FloatArray:
    """What all options share: good and bad years."""
    return np.random.default_rng(seed).normal(0.0, 500.0, n)


def test_options_that_surely_lose_leave_at_once_and_are_told_who_beat_them() -> None:
    year = worlds(10)
    noise = np.random.default_rng(4).normal(0.0, 5.0, (3, 10))
    race = Screening(KimNelson(3, 10, 0.95, 50.0), np.array([[0.0], [400.0], [100.0]]) + year + noise)
    assert race.alive.tolist() == [False, True, False]
    assert race.left_at.tolist() == [10, 0, 10]
    assert race.beaten_by.tolist() == [1, -1, 1]
    assert bool(race.done)


def test_what_is_close_stays_until_it_is_told_apart() -> None:
    rng = np.random.default_rng(5)
    race = Screening(KimNelson(2, 10, 0.95, 20.0), np.array([[0.0], [30.0]]) + rng.normal(0, 60.0, (2, 10)))
    assert race.alive.all()
    expected = float(race.needed())
    while not race.done:
        race.add(np.array([0.0, 30.0]) + rng.normal(0, 60.0, 2))
    assert race.alive.tolist() == [False, True]
    assert 10 < race.count <= 1 + race.rule.longest(race.variances).max()
    assert expected / 4 < race.count < expected * 4


def test_a_choice_ends_even_between_options_that_are_equal() -> None:
    rng = np.random.default_rng(6)
    race = Screening(KimNelson(4, 10, 0.95, 10.0), rng.normal(0, 20.0, (4, 10)))
    longest = race.rule.longest(race.variances).max()
    while not race.done:
        race.add(rng.normal(0, 20.0, 4))
    assert race.count <= np.floor(longest) + 1


def test_of_two_that_never_differ_the_first_stays() -> None:
    year = worlds(10)
    race = Screening(KimNelson(3, 10, 0.95, 50.0), np.array([year, year + 900.0, year + 900.0]))
    assert race.alive.tolist() == [False, True, False]
    assert race.beaten_by.tolist() == [1, -1, 1]


def test_values_of_an_option_that_left_count_no_more() -> None:
    rng = np.random.default_rng(7)
    first = np.array([[-900.0], [0.0], [10.0]]) + rng.normal(0, 60.0, (3, 10))
    one, other = (Screening(KimNelson(3, 10, 0.95, 20.0), first) for _ in range(2))
    for _ in range(5):
        values = rng.normal(0, 60.0, 3)
        one.add(values)
        values[0] = np.nan
        other.add(values)
    assert one.alive.tolist() == other.alive.tolist()
    assert one.means[1:].tolist() == other.means[1:].tolist()


def test_choices_made_side_by_side_are_those_made_alone() -> None:
    rng = np.random.default_rng(8)
    rule, true = KimNelson(4, 10, 0.95, 20.0), np.array([0.0, 10.0, 30.0, 25.0])
    values = true[None, :, None] + rng.normal(0, 50.0, (6, 4, 400))
    together = Screening(rule, values[:, :, :10])
    for n in range(10, 400):
        together.add(values[:, :, n])
    for i in range(6):
        alone = Screening(rule, values[i, :, :10])
        for n in range(10, 400):
            alone.add(values[i, :, n])
        assert alone.alive.tolist() == together.alive[i].tolist()
        assert alone.left_at.tolist() == together.left_at[i].tolist()


def test_choices_that_go_on_without_the_others_end_as_they_would_have() -> None:
    rng = np.random.default_rng(9)
    values = np.array([0.0, 10.0, 30.0])[None, :, None] + rng.normal(0, 50.0, (8, 3, 300))
    together = Screening(KimNelson(3, 10, 0.95, 20.0), values[:, :, :10])
    for n in range(10, 30):
        together.add(values[:, :, n])
    going = np.flatnonzero(~together.done)
    assert 0 < going.size < 8
    before = together.alive.tolist()
    some = together.only(going)
    for n in range(30, 300):
        some.add(values[going, :, n])
    assert together.alive.tolist() == before
    assert together.count == 30
    for n in range(30, 300):
        together.add(values[:, :, n])
    assert some.alive.tolist() == together.alive[going].tolist()
    assert some.left_at.tolist() == together.left_at[going].tolist()
    assert some.beaten_by.tolist() == together.beaten_by[going].tolist()
