"""A scenario in which an option is taken already: what it changes is as today."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.scenario import Input, InputError, Scenario
from planner.study import load


@pytest.fixture(scope="module")
def garden(root: Path) -> Scenario:
    return load(root / "tests" / "study" / "garden.yaml")


def test_what_an_option_changes_is_as_today_once_it_is_taken(garden: Scenario) -> None:
    taken = garden.taking("camp stove")
    assert taken.business() == garden.business("camp stove")
    assert list(taken.options) == ["as today"]
    assert garden.business().melting.burner.power_w == 10_000.0


def test_start_up_cost_and_resale_stay_those_of_the_option(garden: Scenario) -> None:
    assert garden.taking("gift").options["as today"].resale == 900.0


def test_a_value_is_set_after_the_changes_of_the_option_that_was_taken(garden: Scenario) -> None:
    stronger = [Input("melting.burner.power", "1 kW", "plus")]
    assert garden.taking("camp stove").at(stronger).business().melting.burner.power_w == 4_000.0
    assert garden.at(stronger).business("camp stove").melting.burner.power_w == 3_000.0


def test_an_option_that_is_not_there_cannot_be_taken(garden: Scenario) -> None:
    with pytest.raises(InputError, match="did you mean camp stove"):
        garden.taking("camp stov")
