from __future__ import annotations

from dataclasses import replace
from math import inf, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.trade.cylinder import (
    LIQUID_DENSITY_KG_M3,
    NET_HEATING_J_PER_KG,
    Cylinder,
    draw_limit_w,
    fuel_kg,
    wetted_area_m2,
)

CYLINDER = Cylinder()


def test_an_empty_cylinder_and_one_at_its_coldest_give_nothing() -> None:
    assert draw_limit_w(CYLINDER, 0.0, 20.0) == 0.0
    assert draw_limit_w(CYLINDER, 1.0, CYLINDER.liquid_min_c) == 0.0
    assert draw_limit_w(CYLINDER, 1.0, -40.0) == 0.0


@given(st.floats(0.01, 0.99), st.floats(-25.0, 35.0))
def test_a_fuller_and_a_warmer_cylinder_give_more(fill_share: float, air_c: float) -> None:
    limit_w = draw_limit_w(CYLINDER, fill_share, air_c)
    assert limit_w > 0.0
    assert draw_limit_w(CYLINDER, fill_share + 0.01, air_c) > limit_w
    assert draw_limit_w(CYLINDER, fill_share, air_c + 0.5) > limit_w


def test_a_summer_evening_feeds_16_kw_and_a_frosty_one_with_a_third_left_does_not() -> None:
    assert draw_limit_w(CYLINDER, 1.0, 20.0) > 16_000.0
    assert draw_limit_w(CYLINDER, 0.33, -5.0) < 10_000.0


def test_a_long_run_cannot_live_on_the_warmth_of_the_liquid() -> None:
    short, long = replace(CYLINDER, run_h=1.0), replace(CYLINDER, run_h=12.0)
    assert draw_limit_w(short, 0.5, 5.0) > 1.5 * draw_limit_w(long, 0.5, 5.0)
    wall_w = 14.0 * wetted_area_m2(CYLINDER, 0.5) * (5.0 + 28.9)
    steady = draw_limit_w(replace(CYLINDER, run_h=inf), 0.5, 5.0)
    assert steady == pytest.approx(wall_w / 425_591.6 * NET_HEATING_J_PER_KG)


def test_liquid_wets_the_bottom_and_the_side_up_to_its_level() -> None:
    floor_m2 = pi / 4 * 0.31**2
    depth_m = 9.07 * 0.5 / LIQUID_DENSITY_KG_M3 / floor_m2
    assert wetted_area_m2(CYLINDER, 0.5) == pytest.approx(floor_m2 + pi * 0.31 * depth_m)
    overfilled = replace(CYLINDER, content_kg=50.0)
    assert wetted_area_m2(overfilled, 1.0) == pytest.approx(floor_m2 + pi * 0.31 * 0.29)


def test_ten_kilowatts_burn_about_a_pound_and_a_half_an_hour() -> None:
    assert fuel_kg(10_000.0, 1.0) == pytest.approx(0.777, abs=0.001)


def test_an_impossible_cylinder_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match=r"Cylinder\.run_h"):
        Cylinder(run_h=0.0)
