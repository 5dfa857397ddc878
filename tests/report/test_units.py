from __future__ import annotations

from math import inf, nan

import pytest

from planner.report.units import Reader, number, signed

METRIC, US = Reader("EUR", "metric"), Reader("USD", "us")


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [(1234.5, 0, "1,234"), (-0.001, 1, "0.0"), (nan, 0, "n/a"), (inf, 1, "n/a"), (-12.34, 1, "-12.3")],
)
def test_numbers_carry_no_more_digits_than_matter(value: float, decimals: int, text: str) -> None:
    assert number(value, decimals) == text


def test_differences_carry_their_sign() -> None:
    assert [signed(value) for value in (12.0, -12.0, 0.2, nan)] == ["+12", "-12", "0", "n/a"]


def test_us_readers_read_pounds_miles_fahrenheit() -> None:
    assert US.mass(59.0, 0) == "130"
    assert US.per_mass(1.0) == "0.45"
    assert US.air(0.0) == "32 degF"
    assert US.wind(10.0) == "22 mph"
    assert US.measured(100.0, "kg a year") == ("220.5", "lb a year")
    assert US.measured(160.9344, "km a year") == ("100", "miles a year")
    assert US.measured(12.5, "currency a year") == ("12", "USD a year")


def test_metric_readers_read_what_is_computed() -> None:
    assert METRIC.measured(12.346, "currency/h") == ("12.35", "EUR/h")
    assert METRIC.measured(0.1234, "share") == ("0.123", "share")
    assert METRIC.measured(12.0, "kg a year") == ("12.0", "kg a year")
    assert METRIC.air(-5.0) == "-5 degC"
