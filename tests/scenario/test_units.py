from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from planner.scenario.factors import FACTORS
from planner.scenario.kinds import BARE, KINDS
from planner.scenario.section import Section
from planner.scenario.units import (
    AngleDeg,
    Count,
    MassKg,
    MoneyPerKg,
    Share,
    _converted,
    example_of,
    found_number,
    parse,
    quantity,
    split_written,
    written,
)

POUND_KG = 0.45359237  # exact by definition (international yard and pound agreement, 1959)
MILE_KM = 1.609344  # exact, from the same agreement


@pytest.mark.parametrize(
    ("text", "symbol", "value"),
    [
        ("60 kg", "kg", 60.0),
        ("60kg", "kg", 60.0),
        (".5 kg", "kg", 0.5),
        ("130 lb", "kg", 130 * POUND_KG),
        ("2 t", "kg", 2000.0),
        ("35 miles", "km", 35 * MILE_KM),
        ("14 in", "cm", 35.56),
        ("2 m²", "m^2", 2.0),
        ("9 kW", "W", 9000.0),
        ("30000 BTU/h", "W", 30000 * 0.29307107),
        ("-5 degC", "degC", -5.0),
        ("14 degF", "degC", -10.0),
        ("14 °F", "degC", -10.0),
        ("90 min", "h", 1.5),
        ("2 weeks", "day", 14.0),
        ("10 days", "day", 10.0),
        ("0.85 EUR/kg", "money/kg", 0.85),
        ("2 EUR/lb", "money/kg", 2 / POUND_KG),
        ("2 EUR per lb", "money/kg", 2 / POUND_KG),
        ("0.70 EUR/mile", "money/km", 0.70 / MILE_KM),
        ("2 per month", "1/month", 2.0),
        ("24 per year", "1/month", 2.0),
        ("10 W/m²/K", "W/m^2/K", 10.0),
        ("10 W/(m^2*K)", "W/m^2/K", 10.0),
        ("11.34 g/cm^3", "kg/m^3", 11340.0),
        ("46.3 MJ/kg", "J/kg", 46.3e6),
        ("10 mph", "km/h", 10 * MILE_KM),
        ("20 liters", "L", 20.0),
    ],
)
def test_a_quantity_is_converted_once(text: str, symbol: str, value: float) -> None:
    assert quantity(text, symbol, "EUR") == pytest.approx(value, rel=1e-6)


def test_a_difference_of_temperatures_has_no_zero_point() -> None:
    assert quantity("9 degF", "degC", difference=True) == pytest.approx(5.0)
    assert quantity("5 degC", "degC", difference=True) == pytest.approx(5.0)


def test_no_other_currency_is_taken_for_the_scenario_s_own() -> None:
    assert quantity("2 USD/kg", "money/kg", "USD") == 2.0
    with pytest.raises(ValueError, match="is in USD, but this scenario counts in EUR"):
        quantity("2 USD/kg", "money/kg", "EUR")


@pytest.mark.parametrize(
    "text", ["2 m/s", "5 kg/h", "3 per week", "1 rad/month", "5 percent", "1 c", "2 kg m"]
)
def test_another_dimension_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"needed|not known|written"):
        quantity(text, "1/month" if "rad" in text else "kg", "EUR")


@pytest.mark.parametrize(
    "unit", ["kg^999", "kg**9**9", "__class__", "kg;lb", "kg\n", "(kg", "kg/", "x" * 99, "1/kg"]
)
def test_odd_units_are_refused_without_harm(unit: str) -> None:
    with pytest.raises(ValueError, match=r"60 kg|kg, g, t, lb, oz"):
        quantity(f"5 {unit}x" if unit == "kg\n" else f"5 {unit}", "kg")


@pytest.mark.parametrize("symbol", [symbol for symbol in KINDS if symbol not in BARE])
def test_the_example_in_every_message_is_itself_right(symbol: str) -> None:
    value = quantity(example_of(symbol, "USD"), symbol, "USD")
    assert quantity(written(value, symbol, "USD"), symbol, "USD") == value


@pytest.mark.parametrize("symbol", [symbol for symbol in KINDS if symbol not in BARE])
def test_every_unit_that_a_message_offers_is_taken(symbol: str) -> None:
    for other in KINDS[symbol].others:
        quantity(f"2 {other}", symbol, "EUR")


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e12, max_value=1e12))
def test_what_is_written_back_is_read_as_the_same_number(value: float) -> None:
    for symbol in ("kg", "degC", "money/kg", "1/month", "day"):
        text = written(value, symbol, "CHF")
        assert parse(text, symbol, "CHF") == value
        assert split_written(text, "CHF") == (value, symbol)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_is_written_without_powers_of_ten(value: float) -> None:
    assert "e" not in found_number(value)
    assert float(found_number(value)) == value


@pytest.mark.parametrize(
    ("value", "text"), [(60.0, "60 kg"), (0.5, "0.5 kg"), (1e-7, "0.0000001 kg"), (-3.25, "-3.25 kg")]
)
def test_numbers_are_written_as_people_write_them(value: float, text: str) -> None:
    assert written(value, "kg") == text


def test_days_and_rates_are_written_in_words() -> None:
    assert [written(value, "day") for value in (1.0, 14.0)] == ["1 day", "14 days"]
    assert written(2.0, "1/month") == "2 per month"
    assert written(0.25, "share") == 0.25


class Lot(Section):
    mass_kg: MassKg
    price_per_kg: MoneyPerKg = 2.0
    lead_share: Share = 0.5
    buckets: Count = 1
    turn_deg: AngleDeg = 0.0


def test_a_field_is_read_by_its_unit_and_written_back_in_it() -> None:
    lot = Lot.model_validate({"mass": "130 lb", "price": "1 USD/lb"}, context={"currency": "USD"})
    assert lot.mass_kg == pytest.approx(130 * POUND_KG)
    text = lot.model_dump(mode="json", by_alias=True, context={"currency": "USD"})
    assert text["price"] == f"{lot.price_per_kg!r} USD/kg"
    assert Lot.model_validate(text, context={"currency": "USD"}) == lot


@pytest.mark.parametrize(
    "wrong",
    [
        {"mass": 60},
        {"lead_share": "0.5"},
        {"lead_share": 1.01},
        {"buckets": -1},
        {"buckets": True},
        {"turn": 5},
    ],
)
def test_a_field_takes_nothing_but_its_own_kind(wrong: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        Lot.model_validate({"mass": "60 kg", **wrong})


def test_pint_agrees_on_a_month_and_a_year() -> None:
    units = pint.UnitRegistry()
    assert units.Quantity(1, "year").to("month").magnitude == pytest.approx(12)


@pytest.mark.parametrize("symbol", FACTORS)
@given(number=st.floats(allow_nan=False, allow_infinity=False, width=32))
def test_a_usual_unit_is_worth_what_pint_says_to_the_last_bit(symbol: str, number: float) -> None:
    for name, factor in FACTORS[symbol].items():
        assert number * factor == _converted(number, name, name, "", symbol, None, False)


def test_a_usual_file_is_read_without_the_library_of_units(example: Path) -> None:
    code = f"import sys, planner; planner.load({str(example)!r}); assert 'pint' not in sys.modules"
    subprocess.run([sys.executable, "-c", code], check=True)
