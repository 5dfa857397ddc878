from __future__ import annotations

from math import isnan, nan

import numpy as np
import pytest
from scipy.special import ndtr

from planner.study import resampling
from planner.study.outlooks import Map, outlook_map
from planner.study.resampling import Sureness, sureness
from planner.world.draw import Draw

WORLDS = 50
WEIGHTS = np.array([0.5, 0.3, 0.2])
DICE = np.random.Generator(np.random.Philox(key=4))
SOME = DICE.normal(0.0, 100.0, WORLDS) + DICE.normal(0.0, 20.0, (5, 3, WORLDS))
ALLOWED = np.zeros((5, 3), bool)


def shares(found: Sureness) -> list[list[float]]:
    assert found.best_weighted is not None
    return [
        list(one)
        for one in (
            found.best_expected, found.best_worst, found.least_regret, found.best_weighted, found.all_three
        )
    ]  # fmt: skip


def test_a_clear_winner_is_chosen_in_every_set_of_worlds() -> None:
    values = SOME + np.array([0.0, 0.0, 500.0, 0.0, 0.0])[:, None, None]
    for share in shares(sureness(values, ALLOWED, 1, WEIGHTS, 300)):
        assert share == [0, 0, 1, 0, 0]


def test_two_options_that_are_as_good_share_the_sets_of_worlds() -> None:
    ahead, whole = np.tile([-7.0, 7.0], 25), np.rint(SOME[0])
    values = np.stack([whole, whole + ahead])
    for share in shares(sureness(values, ALLOWED[:2], 1, WEIGHTS)):
        # every ninth set has as many of either kind, and the first counts: 0.556 to 0.444
        assert share == pytest.approx([0.556, 0.444], abs=4 * 0.5 / 2000**0.5)


def test_how_sure_is_what_the_paired_differences_say() -> None:
    ahead = np.random.Generator(np.random.Philox(key=6)).normal(1.0, 5.0, WORLDS)
    values = np.stack([SOME[0, :1], SOME[0, :1] + ahead])
    found = sureness(values, ALLOWED[:2, :1], 1)
    expected = ndtr(ahead.mean() / (ahead.std() / WORLDS**0.5))
    assert 0.6 < expected < 0.99
    assert found.best_expected[1] == pytest.approx(expected, abs=0.03)


def test_worlds_stay_paired() -> None:
    values = np.stack([SOME[0], SOME[0] + 0.01])
    for share in shares(sureness(values, ALLOWED[:2], 1, WEIGHTS, 300)):
        assert share == [0, 1]


def test_options_that_never_differ_tie_in_every_set_and_the_first_counts() -> None:
    # in 37 columns, so that no product of matrices could round each alike
    values = np.concatenate([np.repeat(SOME[1:2], 36, axis=0), SOME[2:3] - 1000.0])
    for share in shares(sureness(values, np.zeros((37, 3), bool), 1, WEIGHTS, 300)):
        assert share == [1, *[0] * 36]


@pytest.mark.parametrize("missing", [False, True])
def test_sets_of_worlds_are_what_a_plain_loop_finds(missing: bool) -> None:
    values, refused = SOME.copy(), ALLOWED.copy()
    refused[4, 2] = True
    if missing:
        values[0, 0, :30] = nan
        values[3, 1, 7] = nan
    expected = {way: np.zeros(5) for way in ("best_expected", "best_worst", "least_regret", "best_weighted")}
    for number in range(150):
        worlds = (Draw(9, number).uniform("bootstrap/worlds", WORLDS) * WORLDS).astype(int)
        one = outlook_map(np.nanmean(values[:, :, worlds], axis=2), refused, WEIGHTS)
        for way, counts in expected.items():
            counts[getattr(one, way)] += 1
    found = sureness(values, refused, 9, WEIGHTS, 150)
    for way, counts in expected.items():
        assert getattr(found, way).tolist() == pytest.approx(counts / 150), way
        assert getattr(found, way)[4] == 0
        assert getattr(found, way).max() < 1


def test_all_three_ways_name_one_option_in_no_more_sets_than_each_does() -> None:
    found = sureness(SOME, ALLOWED, 1)
    each = np.stack([found.best_expected, found.best_worst, found.least_regret])
    assert (found.all_three <= each.min(axis=0)).all()
    assert 0 < found.all_three.sum() < 1


def test_an_option_without_a_result_in_a_set_is_not_chosen_there() -> None:
    values = SOME[:1, :1].copy()
    values[0, 0, 1:] = nan
    found = sureness(values, ALLOWED[:1, :1], 1)
    once = 1 - (1 - 1 / WORLDS) ** WORLDS
    assert found.best_expected.sum() == pytest.approx(once, abs=4 * (once * (1 - once) / 2000) ** 0.5)


def test_where_nothing_is_allowed_no_set_of_worlds_names_an_option() -> None:
    found = sureness(SOME, ~ALLOWED, 1, WEIGHTS, 20)
    assert shares(found) == [[0] * 5] * 5
    nothing = outlook_map(SOME.mean(axis=2), ~ALLOWED, WEIGHTS)
    assert isnan(found.of("best_worst", nothing))


def test_the_named_option_is_told_with_its_share() -> None:
    found = sureness(SOME, ALLOWED, 1, resamples=100)
    named = Map(SOME.mean(axis=2), ALLOWED, best_expected=3, best_worst=0, least_regret=1)
    assert found.of("best_expected", named) == found.best_expected[3]
    assert found.of("least_regret", named) == found.least_regret[1]
    assert isnan(found.of("best_weighted", named))


def test_the_seed_alone_decides_which_sets_are_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    one = shares(sureness(SOME, ALLOWED, 1, WEIGHTS, 230))
    assert shares(sureness(SOME, ALLOWED, 2, WEIGHTS, 230)) != one
    monkeypatch.setattr(resampling, "AT_A_TIME", 7)
    assert shares(sureness(SOME, ALLOWED, 1, WEIGHTS, 230)) == one
