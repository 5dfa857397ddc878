from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.scenario import InputError
from planner.scenario.amounts import plus, times
from planner.scenario.changes import find, paths_of
from planner.scenario.spread import SpreadOf, read_spread
from tests.scenario.stand_in import Small, load_text

PEOPLE = """\
demand:
  - name: casters
    model: core.people
    settings: {people: 25, pays: {normal: {mean: 4 EUR/kg, sd: 1 EUR/kg}}}
  - name: lake anglers
    model: core.people
    settings: {people: 10}
costs:
  - {name: gloves, amount: 5 EUR}
  - {name: soap, amount: 2 EUR}
  - {name: filters, amount: 3 EUR}
"""


def changed(folder: Path, *changes: str, base: str = PEOPLE) -> Any:
    lines = "".join(f"      {line}\n" for line in changes)
    scenario = load_text(folder, f"{base}options:\n  other:\n    changes:\n{lines}")
    business: Any = scenario.business("other")
    assert isinstance(business, Small)
    return business


def test_a_value_is_set_by_its_path(tmp_path: Path) -> None:
    business = changed(tmp_path, "melting.pot.diameter: 16 in", "melting.on: false")
    assert business.melting.pot.diameter_cm == pytest.approx(40.64)
    assert business.melting.on is False
    assert business.melting.power_w == 9000


def test_what_the_file_leaves_out_keeps_its_default_beside_a_change(tmp_path: Path) -> None:
    # the default pot of this business is 30 cm wide, while a pot of its own is 25 cm
    assert changed(tmp_path, "melting.pot.fill_share: 0.5").melting.pot.diameter_cm == 30


def test_a_default_can_be_multiplied(tmp_path: Path) -> None:
    business = changed(tmp_path, "melting.pot.diameter: {times: 1.5}", "bucket: {plus: 5 kg}")
    assert business.melting.pot.diameter_cm == 45
    assert business.bucket_kg.mean == 65


def test_an_entry_of_a_list_is_found_by_its_name(tmp_path: Path) -> None:
    business = changed(tmp_path, "demand.lake anglers.settings.people: 30", "costs.soap.amount: {times: 2}")
    assert [choice.settings.people for choice in business.demand] == [25, 30]
    assert [cost.amount for cost in business.costs] == [5, 4, 3]


def test_a_spread_is_multiplied_as_a_whole_and_moved_without_its_width(tmp_path: Path) -> None:
    path = "demand.casters.settings.pays"
    assert changed(tmp_path, f"{path}: {{times: 0.5}}").demand[0].settings.pays_per_kg.numbers == (2, 0.5)
    assert changed(tmp_path, f"{path}: {{plus: 1 EUR/kg}}").demand[0].settings.pays_per_kg.numbers == (5, 1)


def test_whole_numbers_stay_whole(tmp_path: Path) -> None:
    assert changed(tmp_path, "demand.casters.settings.people: {times: 0.7}").demand[0].settings.people == 18


def test_a_table_is_multiplied_month_by_month(tmp_path: Path) -> None:
    base = "season: {jan-jun: 1, jul-dec: 2}\n"
    assert changed(tmp_path, "season: {times: 3}", base=base).season == (3,) * 6 + (6,) * 6


def test_entries_are_added_and_removed(tmp_path: Path) -> None:
    business = changed(
        tmp_path,
        "costs: {append: [{name: mask, amount: 9 EUR}, {name: lime, amount: 1 EUR}]}",
        "demand: {remove: casters}",
        "melting.days: {remove: sat}",
    )
    assert [cost.name for cost in business.costs] == ["gloves", "soap", "filters", "mask", "lime"]
    assert [choice.name for choice in business.demand] == ["lake anglers"]
    assert business.melting.days == ("sun",)


def test_a_change_behind_a_removed_entry_still_stands_at_its_line(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        load_text(
            tmp_path,
            "costs: [{name: a, amount: 1 EUR}, {name: b, amount: 2 EUR}]\n"
            "options:\n  other:\n    changes:\n      costs.b.amount: -1 EUR\n      costs: {remove: a}\n",
        )
    assert [(problem.line, problem.path) for problem in caught.value.problems] == [
        (8, "options.other: costs.b.amount")
    ]


def test_a_new_name_is_added_by_its_path(tmp_path: Path) -> None:
    assert changed(tmp_path, "moulds.long ones: {diameter: 8 cm}").moulds["long ones"].diameter_cm == 8


def test_a_part_that_was_not_there_is_made(tmp_path: Path) -> None:
    assert changed(tmp_path, "melting.spare.diameter: 20 cm").melting.spare.diameter_cm == 20


def test_another_model_does_not_inherit_the_settings_of_the_old_one(tmp_path: Path) -> None:
    base = "weather: {model: core.still, settings: {wind: 5}}\n"
    same = changed(tmp_path, "weather.model: core.still", base=base)
    other = changed(tmp_path, "weather.model: core.windy", base=base)
    with_its_own = changed(tmp_path, "weather.settings.wind: 1", "weather.model: core.windy", base=base)
    assert same.weather.settings.wind == 5
    assert (other.weather.model, other.weather.settings.wind) == ("core.windy", 0)
    assert with_its_own.weather.settings.wind == 1


def test_the_order_of_changes_does_not_matter(tmp_path: Path) -> None:
    lines = ["costs: {remove: soap}", "costs.filters.amount: {plus: 1 EUR}", "melting.rounds: 5"]
    assert changed(tmp_path, *lines) == changed(tmp_path, *reversed(lines))


def test_paths_go_through_names_numbers_and_gaps() -> None:
    tree = {"a": [{"name": "x y", "b": 1}, {"b": 2}], "c": None}
    assert find(tree, "a.x y.b") == (("a", 0, "b"), 1)
    assert find(tree, "a.2.b") == (("a", 1, "b"), 2)
    assert find(tree, "c.d.e")[0] == ("c", "d", "e")
    assert list(paths_of(tree)) == ["a", "a.x y", "a.x y.name", "a.x y.b", "a.2", "a.2.b", "c"]


SCALES = st.floats(min_value=0.01, max_value=100)


@given(value=SCALES, factor=SCALES)
def test_multiplying_a_text_multiplies_its_number(value: float, factor: float) -> None:
    form = SpreadOf("kg")
    spread = read_spread({"uniform": {"low": f"{value:.6f} kg", "high": f"{value + 1:.6f} kg"}}, form)
    text = times(spread.written("kg"), factor, "EUR")
    assert read_spread(text, form).numbers == pytest.approx(spread.times(factor).numbers)


@pytest.mark.parametrize(
    ("value", "amount", "result"),
    [
        (3, 2, 5),
        (0.5, -0.25, 0.25),
        ("5 degC", "9 degF", "10 degC"),
        ("2 per month", "12 per year", "3 per month"),
        ("10 days", "1 week", "17 days"),
        ({"choice": {"values": [1.0], "weights": [3.0]}}, 1, {"choice": {"values": [2.0], "weights": [3.0]}}),
        ({"jan": "1 EUR", "feb": "2 EUR"}, "1 EUR", {"jan": "2 EUR", "feb": "3 EUR"}),
        ([1.0, 2.0], 1, [2.0, 3.0]),
    ],
)  # fmt: skip
def test_adding_keeps_the_way_a_value_is_written(value: Any, amount: Any, result: Any) -> None:
    assert plus(value, amount, "EUR") == result
