from __future__ import annotations

import pickle
from typing import Annotated, Any

import pytest
from pydantic import Field, ValidationError

from planner.scenario.clock import MonthTemperaturesC
from planner.scenario.part import PartError
from planner.scenario.section import KEYS_ALONE, Choice, Named, Section, across, units_of
from planner.scenario.spread import Spread, SpreadMassKg, spread_of
from planner.scenario.units import (
    Count,
    LengthCm,
    MassKg,
    MoneyPerH,
    MoneyPerKg,
    RateKgPerH,
    Share,
    SpeedMS,
    Unit,
)


class Pot(Section):
    diameter_cm: LengthCm = 40.0
    """How wide."""
    ask_per_kg: MoneyPerKg | None = None
    wage_per_h: MoneyPerH = 15.0
    rate_kg_per_h: RateKgPerH = 45.0
    wind_m_s: SpeedMS = 2.0
    air_c: MonthTemperaturesC = (5.0,) * 12
    bucket_kg: SpreadMassKg = Spread.constant(60)
    lead_share: Share = 0.6
    strong_w_per_m2: float = 1.0
    steps_kg: tuple[MassKg, ...] = Field((1.0, 2.0), alias="steps_of_mass")
    lid: bool = False
    counts: dict[str, int] = Field(default_factory=dict)


def make(**fields: Any) -> type[Section]:
    space = {"__module__": __name__, "__annotations__": fields}
    return type(Section)("Made", (Section,), space)


def test_users_write_keys_without_units() -> None:
    assert [field.alias for field in Pot.model_fields.values()] == [
        "diameter", "ask", "wage", "rate", "wind", "air", "bucket", "lead_share", "strong_w_per_m2",
        "steps_of_mass", "lid", "counts",
    ]  # fmt: skip


def test_the_name_of_an_attribute_is_not_a_key() -> None:
    with pytest.raises(ValidationError, match="diameter_cm"):
        Pot.model_validate({"diameter_cm": "40 cm"})


@pytest.mark.parametrize(
    "fields", [{"mass": MassKg}, {"mass_g": MassKg}, {"price_kg": MoneyPerKg}, {"bucket": SpreadMassKg}]
)
def test_a_name_that_does_not_end_in_its_unit_is_refused_when_the_class_is_made(
    fields: dict[str, Any],
) -> None:
    with pytest.raises(TypeError, match="asks for a name that ends in _"):
        make(**fields)


def test_two_attributes_cannot_share_a_key() -> None:
    with pytest.raises(TypeError, match="two attributes are written as 'bucket'"):
        make(bucket_kg=MassKg, bucket=Count)


def test_the_unit_of_a_field_is_found_wherever_it_stands() -> None:
    assert units_of(Pot.model_fields["ask_per_kg"]) == {Unit("money/kg")}
    assert units_of(Pot.model_fields["steps_kg"]) == {Unit("kg")}
    assert units_of(Pot.model_fields["lid"]) == set()


@pytest.mark.parametrize(
    "wrong",
    [{"lid": "no"}, {"lid": 1}, {"counts": {"a": "1"}}, {"counts": {"a": True}}, {"strong_w_per_m2": "1"},
     {"strong_w_per_m2": float("nan")}, {"quux": 1}],
)  # fmt: skip
def test_nothing_is_guessed(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        Pot.model_validate(wrong)


def test_a_section_cannot_be_changed() -> None:
    with pytest.raises(ValidationError, match="frozen"):
        Pot.model_validate({}).lid = True  # type: ignore[misc]


def test_what_is_written_back_reads_as_the_same_section() -> None:
    pot = Pot.model_validate({"diameter": "14 in", "bucket": {"gamma": {"mean": "60 kg", "sd": "8 lb"}}})
    text = pot.model_dump(mode="json", by_alias=True)
    assert text["diameter"] == "35.56 cm"
    assert Pot.model_validate(text) == pot
    assert pickle.loads(pickle.dumps(pot)) == pot


def test_a_default_spread_has_the_bounds_of_its_field() -> None:
    assert Pot.model_validate({}).bucket_kg.low == 0


def test_a_default_spread_outside_its_bounds_is_no_default() -> None:
    class Small(Section):
        bucket_kg: Annotated[Spread, spread_of("kg", high=50)] = Spread.constant(60)

    with pytest.raises(ValidationError, match="60 kg is not possible; it must be at most 50 kg"):
        Small.model_validate({})


class Shelf(Section):
    low_cm: LengthCm = 40.0
    high_cm: LengthCm = 80.0
    boards: Count = 3

    @across("low", "high")
    def _in_order(self) -> None:
        if self.low_cm > self.high_cm:
            raise PartError("low is above high", ["low"], ["high"])

    @across("boards", "high")
    def _boards_fit(self) -> None:
        if self.boards * 5 > self.high_cm:
            raise ValueError("too many boards")


def test_all_keys_that_do_not_agree_are_told_at_once() -> None:
    with pytest.raises(ValidationError, match="low is above high; too many boards"):
        Shelf.model_validate({"low": "9 cm", "high": "8 cm"})
    alone = Shelf.model_validate({"low": "9 cm", "high": "8 cm"}, context={KEYS_ALONE: True})
    assert [(one.check, one.looks_at, one.error.at) for one in alone.disagreements()] == [
        ("_in_order", (("low",), ("high",)), ("low",)),
        ("_boards_fit", (("boards",), ("high",)), ()),
    ]


def test_a_check_looks_at_keys_that_there_are() -> None:
    with pytest.raises(TypeError, match=r"Table\._check: there is no key 'legs' for it to look at"):

        class Table(Section):
            boards: Count = 3

            @across("boards", "legs")
            def _check(self) -> None:
                """Never called."""


class House(Section):
    pots: Named[Pot] = Field(default_factory=dict)
    chosen: Choice = Field(default_factory=lambda: Choice(model="core.still"))


def test_names_of_the_user_s_own_may_have_spaces_but_no_dots() -> None:
    assert list(House.model_validate({"pots": {"the big one": {}}}).pots) == ["the big one"]
    for name in ("a.b", "", " ", "x" * 61, "a\nb"):
        with pytest.raises(ValidationError, match="cannot be a name"):
            House.model_validate({"pots": {name: {}}})


def test_settings_that_were_read_are_written_with_the_choice() -> None:
    house = House.model_validate({})
    chosen = house.chosen.model_copy(update={"settings": Pot.model_validate({"lid": True})})
    text = house.model_copy(update={"chosen": chosen}).model_dump(mode="json", by_alias=True)
    assert text["chosen"]["settings"]["diameter"] == "40 cm"
    assert text["chosen"]["settings"]["lid"] is True
