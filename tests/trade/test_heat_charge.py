from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.trade.heat import Charge, Heat, enthalpy_j, heat_at, joined, mixed, without
from planner.trade.pot import charge_of
from tests.trade.charges import numbers

POT = Charge(2_400.0, 2_400.0, 0.0, 300.0)
LEAD_10 = Charge(1_280.0, 1_470.0, 230_700.0, 300.0)
STEEL_5 = Charge(2_400.0, 2_400.0, 0.0, 300.0)
STEEL_1 = Charge(480.0, 480.0, 0.0, 300.0)
WEIGHTS = joined(LEAD_10, STEEL_5)
IN_POT = joined(POT, WEIGHTS)

capacities = st.floats(50.0, 20_000.0)
some_charges = st.builds(Charge, capacities, capacities, st.floats(0.0, 9e5), st.just(300.0))


@st.composite
def warm_charges(draw: st.DrawFn) -> tuple[Charge, Heat]:
    charge = draw(some_charges)
    part = draw(st.floats(0.0, 1.0))
    below = Heat(300.0 - 340.0 * part, 0.0, False)
    melting = Heat(300.0, part * charge.latent_j, True)
    above = Heat(300.0 + 250.0 * part, charge.latent_j, True)
    return charge, draw(st.sampled_from([below, melting, above]))


@given(warm_charges(), st.floats(-50.0, 300.0))
def test_heat_content_and_temperature_are_inverse(pair: tuple[Charge, Heat], reference_c: float) -> None:
    charge, heat = pair
    back = heat_at(charge, enthalpy_j(charge, heat, reference_c), heat.pool, reference_c)
    assert back.temperature_c == pytest.approx(heat.temperature_c, abs=1e-6)
    assert back.latent_in_j == pytest.approx(heat.latent_in_j, abs=1e-3)
    assert back.pool is heat.pool


@given(warm_charges(), some_charges, st.floats(-30.0, 60.0))
def test_a_load_dropped_in_neither_makes_nor_loses_heat(
    pair: tuple[Charge, Heat], cold: Charge, cold_c: float
) -> None:
    charge, heat = pair
    before_j = enthalpy_j(charge, heat) + cold.capacity_solid_j_per_k * cold_c
    both, after = mixed(charge, heat, cold, cold_c)
    assert numbers(both) == numbers(joined(charge, cold))
    assert enthalpy_j(both, after) == pytest.approx(before_j, rel=1e-9, abs=1e-3)
    assert min(heat.temperature_c, cold_c) - 1e-6 <= after.temperature_c
    assert after.temperature_c <= max(heat.temperature_c, cold_c) + 1e-6


def test_a_big_cold_load_freezes_the_pool_but_the_heel_still_touches() -> None:
    molten = Heat(380.0, IN_POT.latent_j, True)
    _, after = mixed(IN_POT, molten, joined(WEIGHTS, WEIGHTS), 5.0)
    assert after.temperature_c < 300.0
    assert after.latent_in_j == 0.0
    assert after.pool


def test_a_small_cold_load_leaves_part_of_it_molten() -> None:
    molten = Heat(310.0, IN_POT.latent_j, True)
    both, after = mixed(IN_POT, molten, STEEL_1, 20.0)
    assert after.temperature_c == 300.0
    assert 0.0 < after.latent_in_j < both.latent_j


def test_melting_points_of_different_alloys_mix_by_latent_heat() -> None:
    soft = Charge(1_280.0, 1_470.0, 230_700.0, 327.0)
    assert joined(LEAD_10, soft).melting_c == pytest.approx(313.5)
    assert joined(soft, STEEL_5).melting_c == 327.0


@given(warm_charges(), st.floats(0.0, 1.0))
def test_skimming_takes_its_heat_along_and_leaves_the_pot_as_warm(
    pair: tuple[Charge, Heat], part: float
) -> None:
    charge, heat = pair
    taken = Charge(
        part * charge.capacity_solid_j_per_k,
        part * charge.capacity_liquid_j_per_k,
        part * charge.latent_j,
        charge.melting_c,
    )
    left, after = without(charge, heat, taken)
    assert after.temperature_c == heat.temperature_c
    gone_j = enthalpy_j(taken, Heat(heat.temperature_c, part * heat.latent_in_j, True))
    total_j = enthalpy_j(left, after) + gone_j
    assert total_j == pytest.approx(enthalpy_j(charge, heat), rel=1e-9, abs=1e-3)


def test_skimmed_clips_take_no_latent_heat() -> None:
    left, after = without(IN_POT, Heat(350.0, IN_POT.latent_j, True), STEEL_5)
    assert numbers(left) == numbers(joined(POT, LEAD_10))
    assert numbers(after) == (350.0, left.latent_j, True)


def test_what_is_not_in_the_pot_cannot_be_taken_out() -> None:
    with pytest.raises(ValueError, match="taken out"):
        without(POT, Heat(20.0, 0.0, False), WEIGHTS)
    with pytest.raises(ValueError, match="less than nothing"):
        charge_of(5.0, -1.0, 0.0, 0.0, 0.0, 0.0)
    with pytest.raises(ValueError, match="above its melting point"):
        mixed(POT, Heat(20.0, 0.0, False), LEAD_10, 310.0)
