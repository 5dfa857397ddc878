"""When a wet lot is dry."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from planner.trade.drying import evaporation_mm_per_h
from planner.workshop.drying import dry_h
from planner.world.parts import Weather
from tests.small import business, world

DAYS = 120


def dried_h(t_h: float = 10.5, weather: dict[str, Any] | None = None, **melting: Any) -> float:
    """How long a lot that comes in at this hour takes, in 15 degC and 300 W/m^2 but for what is given."""
    hours = DAYS * 24
    columns = {"temperature_c": 15.0, "wind_m_s": 2.0, "rain_mm": 0.0, "sun_w_m2": 300.0} | (weather or {})
    of = business(melting={"dry": "4 days", "dry_off": "8 mm"} | melting)
    in_world = world(of, weather=Weather.rounded(**{k: np.full(hours, v) for k, v in columns.items()}))
    return dry_h(in_world, of.melting, t_h) - t_h


def test_in_the_shade_it_takes_as_long_as_set() -> None:
    assert dried_h(weather={"sun_w_m2": 0.0}) == pytest.approx(96.0)
    assert dried_h(dry="0 days") == 0.0


def test_in_the_sun_shade_and_sun_take_the_water_together() -> None:
    sun_mm = float(evaporation_mm_per_h(15.0, 300.0))
    assert dried_h() == pytest.approx(8.0 / (8.0 / 96.0 + sun_mm))
    assert 24.0 < dried_h() < 48.0


@pytest.mark.parametrize(
    "harder",
    [{"sun_w_m2": 100.0}, {"temperature_c": 5.0}, {"temperature_c": -5.0}, {"rain_mm": 1.0}],
    ids=["less sun", "colder", "frost", "rain"],
)
def test_less_sun_cold_frost_and_rain_make_it_longer(harder: dict[str, Any]) -> None:
    assert dried_h() < dried_h(weather=harder) <= 96.0 + 1e-9


def test_a_lot_of_the_last_days_dries_after_the_end() -> None:
    last_h = DAYS * 24.0 - 5.0
    assert dried_h(last_h) == pytest.approx(96.0)
