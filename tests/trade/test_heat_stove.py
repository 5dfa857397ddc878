from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.trade.cylinder import Cylinder
from planner.trade.heat import Stove, fire_w, loss_w, net_power_w, useful_power_w
from planner.trade.stove import loss_parts_w, net_powers_w, wind_factor

STOVE = Stove(
    pot_diameter_m=0.3,
    pot_height_m=0.2,
    burner_w=10_000.0,
    efficiency_share=0.4,
    gas_c=1000.0,
    reference_c=60.0,
    wind_half_m_s=2.0,
    wind_at_pot_share=0.5,
    contact_share=0.6,
    pool_share=0.2,
    gas_cover_share=0.75,
    lid_share=0.5,
    emissivity_top=0.5,
    emissivity_side=0.8,
)


def test_useful_power_in_still_air_is_efficiency_times_fire_at_the_measured_temperature() -> None:
    assert useful_power_w(STOVE, 60.0, 20.0, 0.0, 1.0, True) == pytest.approx(4_000.0)
    assert useful_power_w(STOVE, 530.0, 20.0, 0.0, 1.0, True) == pytest.approx(2_000.0)
    assert useful_power_w(STOVE, 1000.0, 20.0, 0.0, 1.0, True) == 0.0
    assert useful_power_w(STOVE, 1200.0, 20.0, 0.0, 1.0, True) == 0.0


def test_the_half_wind_at_the_pot_halves_it_and_loose_weights_take_their_part() -> None:
    assert wind_factor(STOVE, 4.0) == pytest.approx(0.5)
    assert useful_power_w(STOVE, 60.0, 20.0, 4.0, 1.0, True) == pytest.approx(2_000.0)
    assert useful_power_w(STOVE, 60.0, 20.0, 4.0, 1.0, False) == pytest.approx(1_200.0)


def test_a_cold_half_empty_cylinder_gives_less_fire() -> None:
    strong = replace(STOVE, burner_w=16_000.0)
    assert fire_w(strong, 20.0, 1.0) == 16_000.0
    assert fire_w(strong, -10.0, 0.5) < 12_000.0
    assert fire_w(strong, -10.0, 0.25) < fire_w(strong, -10.0, 0.5)
    assert fire_w(strong, -35.0, 1.0) == 0.0


def test_losses_of_a_pot_of_30_by_20_cm_at_350_degc_add_up_by_hand() -> None:
    top, side, bottom = loss_parts_w(STOVE, 350.0, 10.0, 0.0)
    disc_m2, side_m2 = 0.0706858, 0.1884956
    sky_w_m2 = 5.670374e-8 * (623.15**4 - 283.15**4)
    assert 8.0 < (top - disc_m2 * 0.5 * sky_w_m2) / disc_m2 / 340.0 < 13.0
    assert 6.0 < (side - side_m2 * 0.8 * sky_w_m2) / side_m2 / 340.0 < 11.0
    assert 3.0 < (bottom - disc_m2 * 0.8 * sky_w_m2) / disc_m2 / 340.0 < 7.0
    assert loss_w(STOVE, 350.0, 10.0, 0.0, True, False) == pytest.approx(top + 0.25 * side)
    assert loss_w(STOVE, 350.0, 10.0, 0.0, True, True) == pytest.approx(0.5 * top + 0.25 * side)
    assert loss_w(STOVE, 350.0, 10.0, 0.0, True, False, pool=False) == pytest.approx(0.6 * top + 0.25 * side)
    assert loss_w(STOVE, 350.0, 10.0, 0.0, False, True) == pytest.approx(0.5 * top + side + bottom)


@given(st.floats(20.0, 500.0), st.floats(-20.0, 19.0), st.floats(0.0, 8.0))
def test_wind_size_and_a_missing_lid_each_lose_more(hot_c: float, air_c: float, wind_m_s: float) -> None:
    for burning in (True, False):
        plain = loss_w(STOVE, hot_c, air_c, wind_m_s, burning, False)
        assert plain > 0.0
        assert loss_w(STOVE, hot_c, air_c, wind_m_s + 1.0, burning, False) > plain
        assert loss_w(replace(STOVE, pot_diameter_m=0.4), hot_c, air_c, wind_m_s, burning, False) > plain
        assert loss_w(replace(STOVE, pot_height_m=0.3), hot_c, air_c, wind_m_s, burning, False) > plain
        assert loss_w(STOVE, hot_c, air_c, wind_m_s, burning, True) < plain
        assert loss_w(STOVE, hot_c + 5.0, air_c, wind_m_s, burning, False) > plain


def test_a_pot_as_warm_as_the_air_loses_nothing_and_a_colder_one_gains() -> None:
    assert loss_w(STOVE, 15.0, 15.0, 3.0, False, False) == pytest.approx(0.0, abs=1e-9)
    assert loss_w(STOVE, 5.0, 15.0, 3.0, False, False) < 0.0


def test_a_burner_that_is_off_gives_only_losses() -> None:
    for lid in (True, False):
        net = net_power_w(STOVE, 350.0, 10.0, 2.0, 1.0, burning=False, pool=True, lid=lid)
        assert net == -loss_w(STOVE, 350.0, 10.0, 2.0, False, lid)


@given(st.floats(-20.0, 40.0), st.floats(0.0, 12.0), st.sampled_from([0.1, 0.5, 1.0]), st.booleans())
def test_powers_at_many_temperatures_are_the_same_as_one_by_one(
    air_c: float, wind_m_s: float, fill_share: float, lid: bool
) -> None:
    warm = np.linspace(-50.0, 550.0, 7)
    useful = useful_power_w(STOVE, warm, air_c, wind_m_s, fill_share, True)
    table = net_powers_w(STOVE, useful, loss_parts_w(STOVE, warm, air_c, wind_m_s), lid)
    for powers, burning, pool in zip(table, (True, True, False), (False, True, True), strict=True):
        one_by_one = [
            net_power_w(STOVE, t, air_c, wind_m_s, fill_share, burning=burning, pool=pool, lid=lid)
            for t in warm.tolist()
        ]
        assert powers.tolist() == pytest.approx(one_by_one, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("pot_diameter_m", 0.0),
        ("burner_w", -1.0),
        ("wind_half_m_s", float("nan")),
        ("efficiency_share", 1.2),
        ("contact_share", 0.0),
        ("gas_c", 40.0),
    ],
)
def test_an_impossible_stove_is_refused_by_name(name: str, value: float) -> None:
    with pytest.raises(ValueError, match=f"Stove.{name}"):
        replace(STOVE, **{name: value})


def test_a_stove_can_be_a_key() -> None:
    assert {STOVE: 1}[replace(STOVE, cylinder=Cylinder())] == 1
