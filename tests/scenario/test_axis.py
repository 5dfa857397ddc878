"""Ranges as the command line writes them: what they move, and what is said of those that are wrong."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from planner.scenario import Input, InputError
from planner.scenario.axis import Axis, RangeError, axis_of, joined, quantities
from planner.study import load

GARDEN = Path(__file__).parent.parent / "study" / "garden.yaml"


@pytest.fixture(scope="module")
def written() -> Any:
    return load(GARDEN).variants.written("as today", "expected")


def read(text: str, written: Any) -> Axis:
    return axis_of(text, written, "EUR", GARDEN)


def test_a_range_goes_from_end_to_end_in_its_unit(written: Any) -> None:
    axis = read("owner.hour_price=2 EUR/h..20 EUR/h", written)
    assert axis.points(4) == (2.0, 8.0, 14.0, 20.0)
    assert axis.inputs(8.0) == (Input("owner.hour_price", "8 EUR/h"),)
    assert (axis.unit, axis.today) == ("EUR/h", 5.0)


@pytest.mark.parametrize("text", ["fetching.most_price = 2..20 EUR", "fetching.most_price=2 EUR .. 20 EUR"])
def test_the_unit_may_stand_once_and_blanks_do_not_matter(written: Any, text: str) -> None:
    assert read(text, written).inputs(2.5) == (Input("fetching.most_price", "2.5 EUR"),)


def test_a_star_stands_for_every_key_at_its_place_and_all_move_together(written: Any) -> None:
    axis = read("pricing.settings.private.**=0.5..1.5", written)
    assert axis.inputs(0.5) == tuple(
        Input(f"pricing.settings.private.{alloy}", 0.5, "times") for alloy in ("hard", "soft", "mixed")
    )
    assert axis.today == 1.0
    assert axis.inputs(1.0) == ()  # what changes nothing is left out


def test_a_star_stands_for_the_entries_of_a_list_too(written: Any) -> None:
    axis = read("supply.*.settings.lead_falls_a_year_share=0..0.5", written)
    assert axis.inputs(0.25) == (Input("supply.town.settings.lead_falls_a_year_share", 0.25),)


def test_what_a_star_meets_that_is_no_number_stays_as_it_is(written: Any) -> None:
    paths = [lever.path for lever in read("melting.burner.**=0.5..1.5", written).levers]
    assert "melting.burner.power" in paths
    assert all(path.startswith("melting.burner.") for path in paths)


def test_adding_starts_from_what_is_there(written: Any) -> None:
    axis = read("melting.coldest+=-5 degC..5 degC", written)
    assert axis.inputs(-5.0) == (Input("melting.coldest", "-5 degC", "plus"),)
    assert axis.inputs(0.0) == ()


def test_whole_numbers_stay_whole_and_come_once(written: Any) -> None:
    axis = read("melting.moulds.count=2..6", written)
    assert axis.points(9) == (2.0, 3.0, 4.0, 5.0, 6.0)
    assert axis.inputs(3.0) == (Input("melting.moulds.count", 3),)


def test_what_is_added_to_a_whole_number_is_whole(written: Any) -> None:
    axis = read("melting.moulds.count+=0..4", written)
    assert axis.points(9) == (0.0, 1.0, 2.0, 3.0, 4.0)
    assert axis.inputs(2.0) == (Input("melting.moulds.count", 2, "plus"),)
    assert read("melting.moulds.count*=0.5..2", written).points(4) == (0.5, 1.0, 1.5, 2.0)


def test_numbers_are_written_without_powers_of_ten(written: Any) -> None:
    axis = read("supply.town.settings.lead_falls_a_year_share=0..0.1", written)
    assert axis.inputs(1e-05) == (Input("supply.town.settings.lead_falls_a_year_share", 1e-05),)
    money = read("fetching.most_price=0 EUR..1 EUR", written)
    assert money.inputs(1e-06) == (Input("fetching.most_price", "0.000001 EUR"),)


def test_two_inputs_stand_together(written: Any) -> None:
    axes = (read("owner.hour_price=2 EUR/h..20 EUR/h", written), read("melting.moulds.count=2..6", written))
    assert joined(axes, (2.0, 6.0)) == (
        Input("owner.hour_price", "2 EUR/h"),
        Input("melting.moulds.count", 6),
    )


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("owner.hour_price", "is not understood; write a path, = and a range"),
        ("owner.hour_price=5 EUR/h", "is not understood"),
        ("owner.hour_price=a..b", "is not understood"),
        (
            "owner.hour_price=9 EUR/h..3 EUR/h",
            "falls; write the lower end first: 'owner.hour_price=3 EUR/h..9 EUR/h'",
        ),
        ("owner.hour_price=3 EUR/h..3.0 EUR/h", "ends where it begins; write two different ends"),
        ("melting.burner.power=1 kW..1e3 kW", "are not understood; write them in digits"),
        ("melting.moulds.count=2..6.5", "melting.moulds.count is a whole number; write whole ends"),
        ("melting.moulds.count+=0.5..2", "melting.moulds.count is a whole number; write whole ends"),
        ("owner.hour_price=3 EUR/h..9 EUR", "are in EUR/h and EUR; write both in one unit"),
    ],
)
def test_a_range_that_is_not_written_as_one(written: Any, text: str, says: str) -> None:
    with pytest.raises(RangeError, match=says.replace("..", r"\.\.")):
        read(text, written)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("owner.hour_prise=2 EUR/h..9 EUR/h", "no 'owner.hour_prise' in the scenario; nearest to it: owner.hour_price"),
        ("hour_price=2 EUR/h..9 EUR/h", "nearest to it: owner.hour_price"),
        ("melting.pot.diametre=2 cm..9 cm", "nearest to it: melting.pot.diameter"),
        ("melting.place=1..2", "melting.place: it is 'roof', which has no range; only a number has one"),
        ("melting.light=0..1", "melting.light: it is yes, which has no range; only a number has one"),
        ("melting.pot=1 cm..2 cm", "it is no single number; write the path of one in it, such as melting.pot.diameter"),
        ("helper*=1..2", "it is not set, so there is nothing to move"),
    ],
)  # fmt: skip
def test_a_path_that_leads_to_no_number(written: Any, text: str, says: str) -> None:
    with pytest.raises(InputError) as error:
        read(text, written)
    assert says in str(error.value)


def test_all_prices_of_a_model_are_found_by_their_kind(written: Any) -> None:
    found = list(quantities(written["rates"]["settings"], "money/kg", "EUR", "rates.settings"))
    assert found == [
        f"rates.settings.{good}" for good in ("weights", "lead", "clips", "zinc", "steel", "dross")
    ]
