"""Evaporation against published tables and a hand calculation."""

from __future__ import annotations

import pytest

from planner.trade.drying import evaporation_mm_per_h, slope_kpa_per_k


@pytest.mark.parametrize(
    ("temperature_c", "slope"), [(1.0, 0.047), (10.0, 0.082), (20.0, 0.145), (30.0, 0.243)]
)
def test_the_slope_of_vapour_pressure_is_that_of_the_table(temperature_c: float, slope: float) -> None:
    """FAO Irrigation and Drainage Paper 56 (1998), annex 2, table 2.4, from memory."""
    assert float(slope_kpa_per_k(temperature_c)) == pytest.approx(slope, abs=0.0006)


def test_a_summer_day_of_20_mj_at_20_degc_takes_about_three_and_a_half_millimetres() -> None:
    """Makkink by hand: 0.65 x 0.145 / (0.145 + 0.0665) x 20 / 2.45 = 3.64 mm."""
    day_mm = 24.0 * float(evaporation_mm_per_h(20.0, 20e6 / 86400.0))
    assert day_mm == pytest.approx(3.64, rel=0.01)
