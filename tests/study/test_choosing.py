"""Choosing is right as often as it says: repeats on known means, and mistakes that such repeats find.

The long version, every case and more repeats, is run by ``make verify``; its table stands in DEVELOPERS.md.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import binomtest, skew

from planner.study.intervals import FloatArray, Intervals, intervals
from planner.study.kim_nelson import KimNelson, Screening
from tests.study.macro import (
    CONFIDENCE,
    EQUAL,
    FALLING,
    MILD,
    REPEATS,
    RISING,
    SLIPPAGE,
    Case,
    Rule,
    cases,
    few,
    play,
    table,
)

FEW = list(few())
SOME = 500
"""Choices of each case in the suite: enough to find the mistakes below."""
FIVE = [Case(5, SLIPPAGE, 0.0, deviations, best) for deviations in (RISING, FALLING) for best in range(5)]


@pytest.mark.parametrize("case", FEW, ids=str)
def test_the_best_is_found_as_often_as_the_confidence_says_and_with_fewer_values(case: Case) -> None:
    found = play(case, SOME)
    assert found.holds(case.least, looked_at=len(FEW)), found
    assert found.values < min(found.rinott, found.unpaired, found.paired)


@pytest.mark.long
def test_the_best_is_found_in_every_position(capsys: pytest.CaptureFixture[str]) -> None:
    found = {case: play(case, REPEATS) for case in cases()}
    with capsys.disabled():
        print(f"\n{table(found)}")
    assert {case: one for case, one in found.items() if not one.holds(case.least, looked_at=len(found))} == {}


class OfOnePair(KimNelson):
    """Mistaken: the variance of the first pair's difference stands for every pair's."""

    def variances(self, worlds: FloatArray, batch: int = 1) -> FloatArray:
        of = super().variances(worlds, batch)
        return np.broadcast_to(of[..., :1, 1:2], of.shape)


class OfTheNext(KimNelson):
    """Mistaken: the variance of an option's difference to the next stands for that to every other."""

    def variances(self, worlds: FloatArray, batch: int = 1) -> FloatArray:
        of = super().variances(worlds, batch)
        i = np.arange(self.options)
        return np.broadcast_to(of[..., i, (i + 1) % self.options][..., None], of.shape)


class Undivided(KimNelson):
    """Mistaken: every pair may err as often as all of them together."""

    @property
    def eta(self) -> float:
        return KimNelson(2, self.first, self.confidence, self.delta).eta


class Narrow(KimNelson):
    """Mistaken: half as wide."""

    @property
    def h2(self) -> float:
        return 2.0 * self.eta * (self.first - 1) / 2.0


@pytest.mark.parametrize("rule", [OfOnePair, OfTheNext, Undivided, Narrow])
def test_a_mistaken_procedure_is_found_out(rule: Rule) -> None:
    assert any(not play(case, SOME, rule).holds(CONFIDENCE, looked_at=len(FEW)) for case in FIVE)


@pytest.mark.parametrize("rule", [OfOnePair, OfTheNext])
@pytest.mark.parametrize("correlation", [0.0, 0.8])
def test_equal_deviations_would_hide_a_variance_of_the_wrong_pair(rule: Rule, correlation: float) -> None:
    assert play(Case(5, SLIPPAGE, correlation, EQUAL, 4), SOME, rule).holds(CONFIDENCE, looked_at=len(FEW))


def test_the_mildly_skewed_values_are_as_skewed_as_the_differences_in_the_example() -> None:
    worlds = Case(2, SLIPPAGE, 0.8, RISING, 1, MILD).draw(20_000, 1, 0)[0]
    assert 1.3 < float(skew((worlds[:, 1] - worlds[:, 0]).ravel())) < 1.6


def test_what_fresh_worlds_say_of_the_winner_holds_and_what_chose_it_flatters_it() -> None:
    rng, options, repeats = np.random.default_rng(11), 5, 1000
    rule = KimNelson(options, 10, 0.95, 1.0)
    values = rng.normal(0.0, np.sqrt(10.0), (900, repeats, options))  # no option is better than another
    race = Screening(rule, np.moveaxis(values[:10], 0, -1))
    for row in values[10:]:
        race.add(row)
        if race.done.all():
            break
    assert race.done.all()
    winner = race.alive.argmax(axis=-1)
    chosen = np.flatnonzero(winner != 0)  # the first is "as today"
    both = race.left_at[chosen, 0]  # values that the winner and "as today" both have
    gains = (values[:, chosen, winner[chosen]] - values[:, chosen, 0]).T
    stopped = intervals(np.where(np.arange(900) < both[:, None], gains, np.nan), 0.95)
    fresh = intervals(rng.normal(0.0, np.sqrt(20.0), (chosen.size, 50)), 0.95)

    def hold(found: Intervals) -> tuple[float, float]:
        truth_inside = (found.low <= 0.0) & (found.high >= 0.0)
        share = binomtest(int(truth_inside.sum()), chosen.size).proportion_ci(0.99)
        return share.low, share.high

    assert hold(fresh)[0] <= 0.95 <= hold(fresh)[1]
    assert hold(stopped)[1] < 0.93
    assert abs(fresh.mean.mean()) < 0.1
    assert stopped.mean.mean() > 0.5  # of the difference that matters, and nothing is there
