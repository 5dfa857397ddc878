from __future__ import annotations

import pickle
from pathlib import Path
from typing import Any

import pytest

from planner.scenario import Input, InputError, Scenario, Taken
from tests.scenario.stand_in import load_text

TEXT = """\
demand:
  - name: casters
    model: core.people
    settings: {people: 25}
costs:
  - {name: gloves, amount: 5 EUR}
options:
  burner:
    start_up_cost: 90 EUR
    resale: 45 EUR
    changes: {melting.power: 12 kW}
  burner + pot:
    start_up_cost: 260 EUR
    resale: 120 EUR
    changes: {melting.power: 16 kW, melting.pot: {diameter: 40 cm}}
  wider:
    changes: {melting.pot.diameter: {times: 1.1}}
  no gloves:
    changes: {costs: {remove: gloves}}
  anglers:
    changes: {demand: {append: {name: anglers, model: core.people, settings: {people: 10}}}}
  more anglers:
    changes: {demand: {append: {name: anglers, model: core.people, settings: {people: 20}}}}
outlooks:
  dear gloves:
    changes: {costs.gloves.amount: 9 EUR}
"""


@pytest.fixture
def scenario(tmp_path: Path) -> Scenario:
    return load_text(tmp_path, TEXT)


def business(scenario: Scenario, *taken: str, option: str = "as today") -> Any:
    return scenario.at([Taken(one) for one in taken]).business(option)


def test_an_option_comes_on_top_of_those_that_are_taken(scenario: Scenario) -> None:
    found = business(scenario, "burner", option="anglers")
    assert found.melting.power_w == 12_000
    assert [choice.name for choice in found.demand] == ["casters", "anglers"]
    assert business(scenario, "burner", "anglers") == found


def test_of_what_several_set_the_last_one_says(scenario: Scenario) -> None:
    assert business(scenario, "burner", option="burner + pot").melting.power_w == 16_000
    assert business(scenario, "burner + pot", option="burner").melting.power_w == 12_000


def test_relative_changes_work_on_what_they_find(scenario: Scenario) -> None:
    assert business(scenario, "wider", "wider").melting.pot.diameter_cm == pytest.approx(30 * 1.1**2)
    assert business(scenario, "burner + pot", option="wider").melting.pot.diameter_cm == pytest.approx(44)


def test_what_taken_options_cost_and_bring_back_adds_up_for_every_option(scenario: Scenario) -> None:
    after = scenario.at([Taken("burner"), Taken("burner + pot")])
    assert (after.options["as today"].start_up_cost, after.options["as today"].resale) == (350, 165)
    assert after.options["burner"].start_up_cost == 440
    assert scenario.options["burner"].start_up_cost == 90


def test_values_are_set_before_or_after_an_option_is_taken(scenario: Scenario) -> None:
    wide = Input("melting.pot.diameter", "50 cm")
    assert scenario.at([wide, Taken("wider")]).business().melting.pot.diameter_cm == pytest.approx(55)
    assert scenario.at([Taken("wider"), wide]).business().melting.pot.diameter_cm == 50


def test_options_that_make_no_possible_business_together_are_refused_in_words(scenario: Scenario) -> None:
    with pytest.raises(InputError, match="there is already an entry 'anglers'"):
        business(scenario, "anglers", option="more anglers")
    with pytest.raises(InputError, match=r"there is no option 'burners'; did you mean burner\?"):
        business(scenario, "burners")


def test_an_outlook_misses_nothing_that_a_taken_option_took_away(scenario: Scenario) -> None:
    after = scenario.at([Taken("no gloves")])
    assert after.business("burner", "dear gloves").costs == ()
    assert after.skipped("as today", "dear gloves") == ("costs.gloves.amount",)


def test_another_process_makes_the_same_business_from_the_file_alone(scenario: Scenario) -> None:
    there = pickle.loads(pickle.dumps(scenario))
    assert business(there, "burner + pot", option="wider") == business(
        scenario, "burner + pot", option="wider"
    )


def test_what_an_option_sets_anew_is_named(scenario: Scenario) -> None:
    variants = scenario.variants
    assert variants.set_anew("burner + pot", "burner") == ("melting.power",)
    assert variants.set_anew("burner + pot", "wider") == ("melting.pot",)
    assert variants.set_anew("wider", "burner + pot") == ()  # it works on what it finds
    assert variants.set_anew("more anglers", "anglers") == ()
    assert variants.set_anew("burner", "as today") == ()
