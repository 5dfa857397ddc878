"""A melt, lit to poured: every kilogram, zinc, dross, moulds and hands, and what is broken off."""

from __future__ import annotations

from dataclasses import replace
from math import exp, inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.trade.cylinder import fuel_kg
from planner.trade.heat import HeatTable
from planner.trade.melting import melt
from planner.trade.pot import Contents, Melt
from tests.trade.melts import (
    AIR_C,
    EMPTY,
    KIT,
    STILL,
    assert_every_kilogram_is_found,
    clean,
    melted,
    portion,
    refused,
    turning,
    with_burner,
)
from tests.trade.stoves import DEEP


def test_every_kilogram_of_a_melt_is_found_again() -> None:
    got = melted()
    assert got.cause == ""
    assert sum(kg for _, kg in got.used) == pytest.approx(40.0)
    assert got.contents.mass_kg == pytest.approx(0.0)
    assert got.clip_kg == pytest.approx(40.0 * 0.06)
    assert got.steel_kg == pytest.approx(40.0 * 0.16)
    assert got.poured_kg + got.dross_kg == pytest.approx(40.0 * 0.6, rel=1e-3)


@given(
    power_kw=st.floats(1.0, 16.0),
    masses=st.lists(st.floats(0.5, 40.0), min_size=1, max_size=4),
    lead=st.floats(0.05, 0.9),
    pots=st.integers(1, 3),
    heel_kg=st.sampled_from([0.0, 4.0]),
    until_h=st.floats(0.1, 9.0),
    breaks_h=st.one_of(st.just(inf), st.floats(0.0, 6.0)),
    wind_from_h=st.integers(0, 6),
    turned_down=st.booleans(),
    overheats=st.booleans(),
)
def test_whatever_happens_to_a_melt_no_kilogram_is_lost_and_it_ends_in_time(
    power_kw: float,
    masses: list[float],
    lead: float,
    pots: int,
    heel_kg: float,
    until_h: float,
    breaks_h: float,
    wind_from_h: int,
    turned_down: bool,
    overheats: bool,
) -> None:
    rest = 1.0 - lead
    shares = (lead, 0.1 * rest, 0.4 * rest, 0.4 * rest, 0.1 * rest)
    pile = [portion(kg, key, shares) for key, kg in enumerate(masses)]
    kit = with_burner(1e3 * power_kw, pots=pots, heel_kg=heel_kg, turned_down=turned_down)
    hours = turning(kit, wind_from_h, 6.0)
    contents, t_h = Contents(), 0.0
    for _ in range(3):
        got = melt(kit, hours, pile, contents, AIR_C, t_h, t_h + until_h, breaks_h + t_h, overheats)
        if isinstance(got, str):
            return
        assert_every_kilogram_is_found(pile, contents, got)
        assert t_h < got.end_h <= t_h + until_h + 1e-9
        assert got.contents.lead_kg <= kit.lead_at_most_kg * pots + 1e-9
        assert got.heating_h + got.handling_h == pytest.approx(got.lit_h)
        contents, t_h = got.contents, got.end_h + 1.0


def test_an_overheated_cold_start_zincs_the_pot_and_a_heel_saves_it() -> None:
    assert melted().zinc_share < 0.001
    assert melted(overheats=True).zinc_share > 0.001
    kit = replace(KIT, heel_kg=4.0)
    assert melted(kit, contents=Contents(lead_kg=4.0), overheats=True).zinc_share < 0.001


def test_only_what_lies_in_the_cold_pot_is_overheated() -> None:
    one, more = melted(pile=[portion(27.2)], overheats=True), melted(pile=[portion(54.4)], overheats=True)
    dissolved_kg = [got.zinc_share * (got.poured_kg + got.contents.lead_kg) for got in (one, more)]
    assert more.loads > one.loads
    assert dissolved_kg[1] == pytest.approx(dissolved_kg[0], rel=0.1)


def test_zinc_dissolves_by_the_hours_it_lies_in_hot_metal() -> None:
    kit = replace(KIT, zinc_hourly_share=0.02, pot_volume_l=40.0)
    got = melted(kit, [portion(27.0)])
    skimmed_h = next(t_h for t_h, what in got.steps if what == "skimmed")
    zinc_kg = 27.0 * 0.15
    dissolved_kg = zinc_kg - got.zinc_kg
    least, most = (zinc_kg * (1 - exp(-0.02 * h)) for h in (kit.skim_h, skimmed_h))
    assert least < dissolved_kg < most
    slower = melted(replace(kit, skim_h=1.0), [portion(27.0)])
    assert zinc_kg - slower.zinc_kg > dissolved_kg + 0.8 * 0.02 * zinc_kg


def test_zinc_in_a_later_load_counts_the_heating_too() -> None:
    kit = with_burner(3_000.0, zinc_hourly_share=0.02)
    got = melted(kit, [portion(108.0)])
    assert got.loads > 2
    by_skimming_alone = 108.0 * 0.15 * (1 - exp(-0.02 * kit.skim_h))
    assert 108.0 * 0.15 - got.zinc_kg > 2.0 * by_skimming_alone * sum(kg for _, kg in got.used) / 108.0


def test_zinc_stays_in_the_heel() -> None:
    kit = replace(KIT, heel_kg=10.0)
    got = melted(kit, overheats=True)
    assert got.contents.zinc_in_lead_kg == pytest.approx(got.zinc_share * 10.0)
    assert melted(kit, [clean(20.0)], got.contents, t_h=50.0).zinc_share > 0.0


def test_dross_takes_more_on_a_long_melt_and_never_more_than_its_most() -> None:
    fast, slow = melted(pile=[portion(108.0)]), melted(with_burner(3_000.0), [portion(108.0)])
    share = [got.dross_kg / got.new_lead_kg for got in (fast, slow)]
    assert 0.01 < share[0] < share[1] <= 0.03
    endless = melted(replace(KIT, dross_hourly_share=1.0))
    assert endless.dross_kg == pytest.approx(0.03 * endless.new_lead_kg)


def test_ingots_are_poured_in_rounds_of_all_moulds() -> None:
    got = melted(pile=[clean(20.0)])
    fluxed_h, poured_h = (next(t for t, what in got.steps if what == name) for name in ("fluxed", "poured"))
    assert got.poured_kg == pytest.approx(20.0 - got.dross_kg)
    assert poured_h - fluxed_h == pytest.approx(3 * KIT.round_h)
    more = melted(replace(KIT, round_kg=2 * KIT.round_kg), [clean(20.0)])
    assert got.lit_h - more.lit_h == pytest.approx(KIT.round_h)


def test_moulds_bind_a_strong_burner_and_hardly_a_small_one() -> None:
    few = {"round_kg": 1.8, "lead_at_most_kg": 30.0}
    saved = []
    for power_w in (3_000.0, 16_000.0):
        one, three = with_burner(power_w, **few), with_burner(power_w, **few | {"round_kg": 5.4})
        saved.append(1.0 - melted(three).lit_h / melted(one).lit_h)
    assert saved[1] > 2.0 * saved[0]
    assert saved[1] > 0.25


def test_two_pots_take_twice_as_much_in_the_same_heating_and_the_hands_take_longer() -> None:
    one, two = melted(pile=[portion(40.0)]), melted(replace(KIT, pots=2), [portion(80.0)])
    assert two.heating_h == pytest.approx(one.heating_h, rel=0.05)
    assert two.poured_kg == pytest.approx(2 * one.poured_kg, rel=0.01)
    assert two.handling_h > one.handling_h


def test_two_pots_halve_the_heating_of_the_same_weights() -> None:
    one, two = melted(pile=[portion(54.4)]), melted(replace(KIT, pots=2), [portion(54.4)])
    assert two.loads < one.loads
    assert 0.4 < two.heating_h / one.heating_h < 0.65


def test_more_hands_load_skim_and_pour_faster() -> None:
    alone, helped = melted(), melted(replace(KIT, hands=2.0))
    assert helped.handling_h < 0.65 * alone.handling_h


def test_a_melt_that_the_weather_breaks_off_freezes_in_the_pot_and_its_fuel_is_lost() -> None:
    got = melted(breaks_h=0.5)
    assert got.cause == "weather"
    assert got.poured_kg == 0.0
    assert got.contents.mass_kg > 20.0
    assert got.fuel_kg == pytest.approx(fuel_kg(10_000.0, 0.5 - KIT.load_h))
    assert got.end_h == pytest.approx(0.5 + KIT.solid_h)


def test_the_next_melt_starts_from_what_froze() -> None:
    broken = melted(breaks_h=0.5)
    again = melted(pile=[portion(13.0)], contents=broken.contents, t_h=50.0)
    assert again.cause == ""
    lead_kg = 0.6 * (sum(kg for _, kg in broken.used) + sum(kg for _, kg in again.used))
    assert again.poured_kg + again.dross_kg == pytest.approx(lead_kg, rel=0.01)
    assert again.contents.mass_kg == pytest.approx(0.0)


def test_what_froze_is_melted_even_without_another_load() -> None:
    broken = melted(breaks_h=0.5)
    assert broken.contents.worth_lighting(0.0, KIT.least_lead_kg)
    again = melted(pile=[], contents=broken.contents, t_h=50.0)
    assert again.loads == 0
    assert again.poured_kg > 10.0
    assert refused(pile=[], contents=broken.contents, until_h=0.2) == "hours"


def test_metal_that_froze_is_skimmed_of_dross_when_it_is_poured() -> None:
    broken = melted(pile=[clean(20.0)], breaks_h=0.3)
    assert broken.poured_kg == broken.dross_kg == 0.0
    again = melted(pile=[], contents=broken.contents, t_h=50.0)
    assert again.dross_kg >= 0.01 * 20.0


def test_wind_that_rises_can_break_a_melt_off_for_lack_of_time() -> None:
    weak = with_burner(4_000.0)
    planned = melted(weak)
    assert planned.lit_h > 2.0
    got = melted(weak, until_h=planned.lit_h + 0.1, hours=turning(weak, 1, 12.0))
    assert got.cause == "hours"
    assert got.poured_kg == 0.0
    assert got.end_h == pytest.approx(planned.lit_h + 0.1)


def test_a_pot_half_poured_keeps_the_rest() -> None:
    whole = melted(pile=[clean(20.0)])
    fluxed_h = next(t_h for t_h, what in whole.steps if what == "fluxed")
    got = melted(pile=[clean(20.0)], breaks_h=fluxed_h + 1.5 * KIT.round_h)
    assert got.cause == "weather"
    assert got.poured_kg == pytest.approx(KIT.round_kg)
    assert got.contents.lead_kg == pytest.approx(20.0 - got.dross_kg - KIT.round_kg)


@pytest.mark.parametrize("at", ["load 2", "skimmed", "fluxed"])
def test_a_melt_is_broken_off_once_wherever_it_was(at: str) -> None:
    whole = melted()
    at_h = next(t_h for t_h, what in whole.steps if what.startswith(at)) - 0.5 / 60
    got = melted(breaks_h=at_h)
    assert got.cause == "weather"
    assert got.end_h == pytest.approx(at_h + KIT.solid_h)
    assert [what for _, what in got.steps].count("broken off: it freezes in the pot") == 1


def test_solid_lead_is_never_poured() -> None:
    """A gale that freezes the pot while it is fluxed or poured breaks the melt off, whenever it comes."""
    stove = replace(DEEP, burner_w=4000.0)
    slow = replace(KIT, table=HeatTable(stove), round_h=20 / 60, round_kg=3.6)
    still, gale = slow.table.hour(AIR_C, STILL, 1.0), slow.table.hour(0.0, 20.0, 1.0)
    broken = []
    for minute in range(0, 60, 4):
        got = melt(
            slow, lambda i, _: still if i < 3 else gale, [portion(40.0)], EMPTY, AIR_C, minute / 60, 60.0
        )
        assert isinstance(got, Melt)
        said = [what for _, what in got.steps]
        if "fluxed" in said and got.cause:
            broken.append(got)
            assert "poured" not in said
            assert got.contents.lead_kg > slow.round_kg
    assert broken
    assert {got.cause for got in broken} == {"weather"}


def test_a_pot_is_not_lit_where_the_weather_turns_while_it_is_filled() -> None:
    got = melted(breaks_h=0.001)
    assert got.cause == "weather"
    assert not [what for _, what in got.steps if what == "lit"]
    assert got.fuel_kg == 0.0
    assert got.end_h == pytest.approx(KIT.load_h)
    assert got.contents.mass_kg == pytest.approx(sum(kg for _, kg in got.used))
    assert got.contents.temperature_c == pytest.approx(AIR_C)
