from __future__ import annotations

import numpy as np

from planner.study import Study
from planner.study.outlooks import outlook_map

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
    assert sample.loss_share[played].tolist() == (deciding < 0).mean(axis=-1).tolist()
    assert sample.behind_share[played].tolist() == (deciding < base).mean(axis=-1).tolist()
    assert sample.ahead_share[played].tolist() == (deciding > base).mean(axis=-1).tolist()
