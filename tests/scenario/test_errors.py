from __future__ import annotations

import pickle

from planner.scenario import InputError, Problem


def test_a_problem_is_printed_with_its_place_path_and_words() -> None:
    assert str(Problem("a.yaml", 3, 5, "melting.power", "is wrong")) == "a.yaml:3:5: melting.power: is wrong"
    assert str(Problem("a.yaml", 0, 0, "", "is empty")) == "a.yaml: is empty"


def test_problems_come_in_the_order_of_their_places_and_once() -> None:
    late, early = Problem("a.yaml", 10, 1, "b", "x"), Problem("a.yaml", 9, 7, "a", "y")
    error = InputError.of([late, early, late])
    assert error.problems == (early, late)
    assert str(error) == "a.yaml:9:7: a: y\na.yaml:10:1: b: x"


def test_the_error_survives_another_process_and_a_failed_run() -> None:
    error = InputError.of([Problem("a.yaml", 1, 1, "", "x")])
    same = pickle.loads(pickle.dumps(error))
    assert (str(same), same.problems) == (str(error), error.problems)
    assert str(type(error)(*error.args)) == str(error)
