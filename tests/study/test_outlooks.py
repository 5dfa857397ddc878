from __future__ import annotations

from math import nan

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from planner.study import Study
from planner.study.outlooks import NO_OPTION, chosen, outlook_map, weights_of

NONE = np.zeros((3, 3), bool)
# worked example of the minimax regret criterion (Savage 1951, J. Am. Stat. Assoc. 46, 55); values from memory
PAYS = np.array([[50.0, 20.0, -10.0], [40.0, 35.0, 5.0], [25.0, 22.0, 15.0]])


def test_regret_is_what_the_best_option_under_an_outlook_brings_more() -> None:
    found = outlook_map(PAYS, NONE)
    assert found.regret.tolist() == [[0, 15, 25], [10, 0, 10], [25, 13, 0]]
    assert (found.best_expected, found.best_worst, found.least_regret) == (0, 2, 1)
    assert not found.agree


def test_a_refused_option_is_no_measure_and_is_chosen_nowhere() -> None:
    broken = NONE.copy()
    broken[0, 0] = True
    found = outlook_map(PAYS, broken)
    assert np.isnan(found.regret[0, 0])
    assert found.regret[1, 0] == 0.0
    assert (found.best_expected, found.best_worst, found.least_regret) == (1, 2, 1)


def test_where_nothing_is_allowed_nothing_is_chosen() -> None:
    found = outlook_map(PAYS, ~NONE)
    assert np.isnan(found.regret).all()
    assert (found.best_expected, found.best_worst, found.least_regret) == (None, None, None)


def test_an_option_that_is_best_everywhere_is_agreed_on() -> None:
    found = outlook_map(np.array([[3.0, 2.0], [1.0, 1.0]]), np.zeros((2, 2), bool))
    assert found.agree
    assert found.regret[0].tolist() == [0.0, 0.0]


def test_a_study_maps_its_means(study: Study) -> None:
    means = [
        [study.level(name, "profit_after_hours", w).mean for w in study.outlooks] for name in study.names
    ]
    assert np.array_equal(study.outlook_map.value, means, equal_nan=True)


def test_shares_of_worlds_are_counted(study: Study) -> None:
    sample, played = study.sample, [study.row(name) for name in study.names if study.worlds_of(name)]
    deciding = sample.deciding[played]
    base = sample.deciding[study.row(study.subject.base)]
    assert sample.spreads.loss.value[played, :].tolist() == (deciding < 0).mean(axis=-1).tolist()
    assert sample.gain_spreads.loss.value[played].tolist() == (deciding < base).mean(axis=-1).tolist()
    assert sample.ahead_share[played].tolist() == (deciding > base).mean(axis=-1).tolist()


def test_the_best_on_average_hangs_on_how_likely_the_outlooks_are() -> None:
    # 50, 20, -10 and 40, 35, 5 and 25, 22, 15 by 0.8, 0.1, 0.1: 41, 36, 23.7; by 0.4, 0.3, 0.3: 23, 28, 21.1
    for weights, best in ([0.8, 0.1, 0.1], 0), ([0.4, 0.3, 0.3], 1), ([0.0, 0.0, 1.0], 2):
        assert outlook_map(PAYS, NONE, np.array(weights)).best_weighted == best
    assert outlook_map(PAYS, NONE).best_weighted is None


def test_a_refused_option_is_not_the_best_on_average_either() -> None:
    broken = NONE.copy()
    broken[0, 2] = True
    assert outlook_map(PAYS, broken, np.array([1.0, 0.0, 0.0])).best_weighted == 1
    assert outlook_map(PAYS, ~NONE, np.array([1.0, 0.0, 0.0])).best_weighted is None


def test_of_options_that_are_as_good_the_first_is_named() -> None:
    twice = np.concatenate([PAYS, PAYS])
    found = outlook_map(twice, np.zeros((6, 3), bool), np.array([0.8, 0.1, 0.1]))
    assert (found.best_expected, found.best_worst, found.least_regret, found.best_weighted) == (0, 2, 1, 0)


@given(st.data())
def test_many_tables_at_once_are_what_each_is_alone(data: st.DataObject) -> None:
    number = st.one_of(st.integers(-3, 3).map(float), st.just(nan))
    size = data.draw(st.integers(1, 4))
    tables = data.draw(arrays(np.float64, (3, size, 2), elements=number))
    refused = data.draw(arrays(np.bool_, (size, 2)))
    weights = np.array([0.75, 0.25])
    for one, *rows in zip(tables, *chosen(tables, refused, weights), strict=True):
        alone = outlook_map(one, refused, weights)
        expected = (alone.best_expected, alone.best_worst, alone.least_regret, alone.best_weighted)
        assert tuple(None if row == NO_OPTION else row for row in rows) == expected
        usable = np.flatnonzero(~(refused | np.isnan(one)).any(axis=1))
        assert (alone.best_worst is None) == (usable.size == 0)
        if alone.best_worst is not None:
            assert alone.best_worst == usable[np.argmax(one[usable].min(axis=1))]


def test_outlooks_are_weighted_only_if_all_of_them_were_played() -> None:
    likely = {"expected": 0.7, "slump": 0.2, "storms": 0.1}
    found = weights_of(likely, ["expected", "storms", "slump"])
    assert found is not None
    assert found.tolist() == [0.7, 0.1, 0.2]
    assert weights_of(likely, ["expected", "slump"]) is None
    assert weights_of(None, ["expected"]) is None
