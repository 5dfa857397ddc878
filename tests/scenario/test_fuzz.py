"""Files changed at random: a scenario or a list of told mistakes, and runs whose books add up; never another exception.

What was found stays as a case: a file in ``bad/``, or an ``@example``. ``make verify`` looks much longer.
"""

from __future__ import annotations

import copy
import tempfile
from collections.abc import Callable
from contextlib import suppress
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from planner.engine.player import Player, Setting
from planner.scenario import InputError, Problem, Scenario
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.study import load
from planner.study.budget import BudgetError
from planner.study.foresight import foresee
from planner.world.build import ModelError
from tests.scenario.mutations import texts, trees, whole, written
from tests.workshop.books import audit

NEVER_SAID = ("Input should", "pydantic", "Traceback", "NoneType", " object at 0x", "Error(")


def loaded(text: str) -> Scenario | None:
    """The scenario of this text; None where its mistakes are told as they should be."""
    told: tuple[Problem, ...] = ()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.yaml"
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        try:
            return load(path)
        except InputError as error:
            told = error.problems
    assert told
    assert all(one.message for one in told)
    assert [
        str(one) for one in told if "\n" in str(one) or any(words in str(one) for words in NEVER_SAID)
    ] == []
    assert len({(one.file, one.line, one.column, one.message) for one in told}) == len(told)
    return None


def any_tree_is_taken_or_told(tree: dict[str, Any]) -> None:
    scenario = loaded(written(tree))
    if scenario is not None:
        for option, outlook in product(scenario.options, scenario.outlooks):
            with suppress(InputError):  # together they may make no possible business
                scenario.business(option, outlook)


def any_text_is_taken_or_told(text: str) -> None:
    loaded(text)


def any_small_run_adds_up(tree: dict[str, Any]) -> None:
    scenario = loaded(written({**tree, "calendar": {**whole_calendar(tree), "days": 40}}))
    if scenario is None:
        return
    with suppress(BudgetError, ModelError):  # too much of something
        foresee(scenario, 10, 1)
        world, run = Player(Setting(scenario, 1)).see(AS_TODAY, EXPECTED, 0)
        audit(run, scenario.business(), world)


def whole_calendar(tree: dict[str, Any]) -> dict[str, Any]:
    found = tree.get("calendar")
    return found if isinstance(found, dict) else dict(whole("tests/study/garden.yaml")["calendar"])


KINDS: dict[str, tuple[Callable[[Any], None], Any, int]] = {
    "trees": (any_tree_is_taken_or_told, trees(), 25),
    "texts": (any_text_is_taken_or_told, texts(), 40),
    "runs": (any_small_run_adds_up, trees(mildly=True), 20),
}
LONGER = 100


@pytest.mark.parametrize("kind", KINDS)
def test_whatever_is_changed_it_is_taken_or_told(kind: str) -> None:
    look, those, number = KINDS[kind]
    settings(max_examples=number)(given(those)(look))()


def test_masses_and_money_that_floats_cannot_add_to_the_gram_are_refused() -> None:
    tree = dict(whole("tests/study/garden.yaml"))
    for section, values in (
        ("stock", {"mixed": "20000000000000000 kg"}),
        ("cash", {"opening": "1000000000000000 EUR"}),
    ):
        assert loaded(written({**tree, section: {**tree[section], **values}})) is None


def test_a_bucket_that_weighs_nothing_is_refused() -> None:
    tree = copy.deepcopy(whole("tests/study/garden.yaml"))
    for mass in ({"triangular": {"low": "0 kg", "mode": "0 kg", "high": "0 kg"}}, "0 kg"):
        tree["supply"][0]["settings"]["typical"]["mass"] = mass
        assert loaded(written(tree)) is None


@pytest.mark.long
@pytest.mark.parametrize("kind", KINDS)
def test_whatever_is_changed_it_is_taken_or_told_however_long_one_looks(kind: str) -> None:
    look, those, number = KINDS[kind]
    always = settings(
        max_examples=LONGER * number,
        derandomize=False,
        suppress_health_check=list(HealthCheck),
        print_blob=True,
    )
    always(given(those)(look))()
