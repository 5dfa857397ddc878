"""What heat and propane a melt takes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.trade.cylinder import Propane, fuel_kg
from planner.trade.heat import HeatTable, HourRow
from planner.trade.metals import LEAD
from planner.trade.pot import Contents
from tests.trade.melts import (
    AIR_C,
    KIT,
    LONG_H,
    STILL,
    clean,
    melted,
    portion,
    refused,
    steady,
    turning,
    with_burner,
)
from tests.trade.stoves import DEEP


def test_wind_slows_a_melt_and_costs_fuel() -> None:
    still, windy = melted(), melted(hours=steady(KIT, 4.0))
    assert windy.heating_h > 1.3 * still.heating_h
    assert windy.fuel_kg > still.fuel_kg


def test_a_bigger_pot_on_the_same_small_burner_melts_slower() -> None:
    """On a strong burner the same pot, which takes more at once, is hardly slower."""
    slower = []
    for power_w in (4_000.0, 16_000.0):
        wide = HeatTable(replace(DEEP, burner_w=power_w, pot_diameter_m=0.35))
        big = with_burner(power_w, table=wide, pot_mass_kg=9.0)
        slower.append(melted(big).lit_h / melted(with_burner(power_w)).lit_h)
    assert slower[0] > 1.3
    assert slower[1] < 1.1


def test_a_heel_speeds_the_load_that_falls_into_it() -> None:
    """A heel melts the next load one and a half to two times faster (common practice), its own heat included less."""
    kit = replace(KIT, heel_kg=4.0)
    without = melted(pile=[portion(27.0)])
    with_heel = melted(kit, [portion(27.0)], Contents(lead_kg=4.0))
    assert 1.3 < without.heating_h / with_heel.heating_h < 2.0


def test_loose_weights_left_before_they_melted_are_no_heel() -> None:
    cold = melted(pile=[portion(27.0)], breaks_h=0.25)
    assert not cold.contents.run_together
    again = melted(pile=[portion(1.0)], contents=cold.contents, t_h=50.0)
    as_if = melted(pile=[portion(1.0)], contents=cold.contents._replace(run_together=True), t_h=50.0)
    assert again.heating_h > 1.2 * as_if.heating_h


def test_a_pot_left_for_an_hour_is_still_warm_and_after_a_night_it_is_cold() -> None:
    kit = replace(KIT, heel_kg=10.0)
    first = melted(kit)
    at_once, later, next_day = (
        melted(kit, contents=first.contents, t_h=first.end_h + wait_h) for wait_h in (0.0, 1.0, 24.0)
    )
    assert at_once.heating_h < later.heating_h < next_day.heating_h


def test_useful_heat_is_counted_once_it_is_in_the_metal() -> None:
    broken = melted(pile=[clean(20.0)], breaks_h=0.2)
    assert broken.fuel_kg > 0
    assert broken.useful_j == 0.0
    whole = melted(pile=[clean(20.0)])
    up = LEAD.solid_j_per_kg_k * (LEAD.melting_c - AIR_C) + LEAD.fusion_j_per_kg
    up += LEAD.liquid_j_per_kg_k * (KIT.pour_c - LEAD.melting_c)
    assert whole.useful_j == pytest.approx(20.0 * up)
    again = melted(pile=[], contents=broken.contents, t_h=50.0)
    assert again.useful_j == pytest.approx(20.0 * up)


def test_fuel_is_the_fire_times_the_hours_it_burns() -> None:
    full = replace(KIT, turned_down=False)
    got = melted(full, [clean(20.0)])
    burning_h = got.lit_h - KIT.load_h - KIT.solid_h
    assert got.fuel_kg == pytest.approx(fuel_kg(10_000.0, burning_h))


def test_a_flame_turned_down_while_hands_are_busy_saves_fuel() -> None:
    kept_up, turned_down = melted(replace(KIT, turned_down=False)), melted()
    assert turned_down.fuel_kg < 0.9 * kept_up.fuel_kg


def test_a_flame_that_is_not_turned_down_warms_the_pot_meanwhile() -> None:
    kept_up, turned_down = melted(replace(KIT, turned_down=False)), melted()
    assert kept_up.heating_h < turned_down.heating_h


def test_a_fire_that_cannot_hold_the_pot_lets_it_cool() -> None:
    """The gale comes while the first load is skimmed: what the next load needs, the fire must put back."""
    first = melted(pile=[portion(27.0)])
    slow_hands = replace(KIT, load_h=0.5)
    calm = melted(slow_hands, [portion(54.0)], t_h=1.0 - first.heating_h)
    gale = melted(slow_hands, [portion(54.0)], t_h=1.0 - first.heating_h, hours=turning(KIT, 1, 12.0))
    assert gale.heating_h > calm.heating_h


# -- what the cylinder holds -------------------------------------------------------------------------------------------


def test_each_load_takes_from_what_the_last_one_left() -> None:
    """The cylinder empties load by load, so a strong burner gets less from it in the frost."""
    kit = with_burner(30_000.0, pot_volume_l=4.0)
    fills: list[float] = []

    def frost(_: int, fill_share: float) -> HourRow:
        fills.append(fill_share)
        return kit.table.hour(-10.0, STILL, fill_share)

    got = melted(kit, [clean(60.0)], hours=frost, propane=Propane(4.6, 9.0))
    assert got.loads > 2
    assert fills[0] == pytest.approx(4.6 / 9.0)
    assert fills == sorted(fills, reverse=True)
    assert (4.6 - got.fuel_kg) / 9.0 <= fills[-1] < 0.5
    full = melted(kit, [clean(60.0)], hours=lambda *_: kit.table.hour(-10.0, STILL, 4.6 / 9.0))
    assert got.heating_h > 1.05 * full.heating_h


def test_without_enough_propane_a_melt_is_planned_smaller_or_not_lit() -> None:
    plenty = melted()
    little = melted(propane=Propane(0.6 * plenty.fuel_kg, 9.0))
    assert little.cause == ""
    assert little.short_of_propane
    assert not plenty.short_of_propane
    assert 0.0 < little.fuel_kg <= 0.6 * plenty.fuel_kg
    assert sum(kg for _, kg in little.used) < 40.0
    assert refused(propane=Propane(0.05, 9.0)) == "propane"
    assert refused(propane=Propane(9.0, 9.0, paid_kg=0.05)) == "cash"


def test_a_cylinder_that_the_wind_empties_too_early_breaks_the_melt_off() -> None:
    kit = with_burner(4_000.0)
    planned = melted(kit)
    got = melted(kit, hours=turning(kit, 1, 8.0), propane=Propane(1.1 * planned.fuel_kg, 9.0))
    assert got.cause == "propane"
    assert got.fuel_kg == pytest.approx(1.1 * planned.fuel_kg)
    assert got.poured_kg == 0.0
    assert got.end_h < LONG_H


def test_an_empty_cylinder_keeps_no_pot_warm() -> None:
    """Propane that ends while the owner skims: no fire holds the pot, so nothing is poured."""
    kit = with_burner(10_000.0, skim_h=1.5, slack_share=0.0)
    planned = melted(kit, [portion(20.0)])
    kept: list[float] = []

    def hours(i: int, fill_share: float) -> HourRow:
        row = kit.table.hour(AIR_C, STILL if i < 1 else 20.0, fill_share)
        kept.append(row.fire_w)
        return row

    got = melted(kit, [portion(20.0)], hours=hours, propane=Propane(1.01 * planned.fuel_kg, 9.0))
    assert got.cause == "propane"
    assert got.poured_kg == 0.0
    assert kept[-1] == 0.0
