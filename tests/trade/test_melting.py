"""A melt, lit to poured, in weather that is written down hour by hour. Every number is invented for the tests."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import exp, inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.trade.cylinder import fuel_kg
from planner.trade.heat import HeatTable, HourRow
from planner.trade.melting import melt
from planner.trade.metals import LEAD
from planner.trade.pot import Contents, Kit, Melt, Pile, Portion
from planner.trade.stove import Stove

AIR_C, STILL, GALE = 15.0, 0.0, 40.0
STOVE = Stove(
    pot_diameter_m=0.25,
    pot_height_m=0.2,
    burner_w=10_000.0,
    efficiency_share=0.45,
    gas_c=1100.0,
    reference_c=60.0,
    wind_half_m_s=2.0,
    wind_at_pot_share=0.4,
    contact_share=0.6,
    pool_share=0.2,
    gas_cover_share=0.9,
    lid_share=0.5,
    emissivity_top=0.5,
    emissivity_side=0.8,
)
KIT = Kit(
    table=HeatTable(STOVE),
    pots=1,
    pot_mass_kg=5.0,
    pot_volume_l=8.0,
    lead_at_most_kg=60.0,
    loose_kg_per_m3=3400.0,
    heel_kg=0.0,
    pour_c=370.0,
    hands=1.0,
    load_h=2 / 60,
    skim_h=4 / 60,
    flux_h=6 / 60,
    solid_h=8 / 60,
    round_kg=7.2,
    round_h=4 / 60,
    dross_share=0.01,
    dross_hourly_share=0.004,
    dross_at_most_share=0.03,
    zinc_hourly_share=0.0008,
    zinc_overheated_share=0.03,
    least_lead_kg=8.0,
    turned_down=True,
)
MIX = (0.6, 0.06, 0.15, 0.16, 0.03)
"""Lead, clips, zinc, steel, rubbish in a portion."""
LONG_H = 100.0
EMPTY = Contents()


def portion(mass_kg: float, key: int = 1, shares: tuple[float, ...] = MIX) -> Portion:
    return Portion(key, mass_kg, *shares)


def clean(mass_kg: float) -> Portion:
    """Lead and nothing else."""
    return portion(mass_kg, shares=(1.0, 0.0, 0.0, 0.0, 0.0))


def steady(kit: Kit, wind_m_s: float = STILL) -> Callable[[int], HourRow]:
    return lambda _: kit.table.hour(AIR_C, wind_m_s, 1.0)


def turning(kit: Kit, at_h: int, wind_m_s: float = GALE) -> Callable[[int], HourRow]:
    """Still until an hour, then windy."""
    return lambda i: kit.table.hour(AIR_C, STILL if i < at_h else wind_m_s, 1.0)


def with_burner(power_w: float, **changes: object) -> Kit:
    kit = replace(KIT, table=HeatTable(replace(STOVE, burner_w=power_w)))
    return replace(kit, **changes)  # type: ignore[arg-type]


def melted(
    kit: Kit = KIT,
    pile: list[Portion] | None = None,
    contents: Contents = EMPTY,
    until_h: float = LONG_H,
    breaks_h: float = inf,
    overheats: bool = False,
    t_h: float = 0.0,
    hours: Callable[[int], HourRow] | None = None,
) -> Melt:
    weights = [portion(40.0)] if pile is None else pile
    got = melt(kit, hours or steady(kit), weights, contents, AIR_C, t_h, until_h, breaks_h, overheats)
    assert isinstance(got, Melt), got
    assert_every_kilogram_is_found(weights, contents, got)
    return got


def refused(kit: Kit = KIT, pile: list[Portion] | None = None, **changes: object) -> str:
    weights = [portion(40.0)] if pile is None else pile
    hours, contents, until_h = changes.get("hours"), changes.get("contents"), changes.get("until_h", LONG_H)
    got = melt(kit, hours or steady(kit), weights, contents or Contents(), AIR_C, 0.0, until_h)  # type: ignore[arg-type]
    assert isinstance(got, str)
    return got


def assert_every_kilogram_is_found(pile: list[Portion], before: Contents, got: Melt) -> None:
    of = {p.key: p for p in pile}
    after = got.contents
    parts = (
        ("clip", got.clip_kg, before.clip_kg, after.clip_kg),
        ("steel", got.steel_kg, before.steel_kg, after.steel_kg),
        ("rubbish", got.rubbish_kg, before.rubbish_kg, after.rubbish_kg),
    )
    for name, out, was, left in parts:
        charged = sum(kg * getattr(of[key], f"{name}_share") for key, kg in got.used)
        assert was + charged == pytest.approx(out + left, abs=1e-9), name
    lead_and_zinc = sum(kg * (of[key].lead_share + of[key].zinc_share) for key, kg in got.used)
    assert before.lead_kg + before.zinc_kg + lead_and_zinc == pytest.approx(
        got.poured_kg + got.dross_kg + got.zinc_kg + after.lead_kg + after.zinc_kg, abs=1e-9
    )
    assert min(after[:6]) >= 0.0
    assert min(got.poured_kg, got.dross_kg, got.clip_kg, got.zinc_kg, got.fuel_kg, got.heating_h) >= 0.0


def loads_kg(got: Melt) -> list[float]:
    return [float(what.split()[2]) for _, what in got.steps if what.startswith("load ")]


# -- every kilogram ----------------------------------------------------------------------------------------------------


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


# -- loads -------------------------------------------------------------------------------------------------------------


def test_loads_are_limited_by_the_volume_of_the_pot() -> None:
    got = melted()
    assert got.loads > 1
    assert loads_kg(got)[0] == pytest.approx(8.0 * 3.4, abs=0.05)
    bigger = melted(replace(KIT, pot_volume_l=16.0))
    assert bigger.loads < got.loads


def test_the_pot_is_never_loaded_with_more_lead_than_it_may_hold() -> None:
    rich, poor = (0.95, 0.05, 0.0, 0.0, 0.0), (0.1, 0.1, 0.3, 0.4, 0.1)
    kit = replace(KIT, lead_at_most_kg=16.0, pot_volume_l=40.0)
    got = melted(kit, [portion(40.0, 1, rich), portion(40.0, 2, poor)])
    assert got.poured_kg + got.dross_kg == pytest.approx(16.0)


def test_a_load_for_which_there_is_little_room_is_left_for_another_day() -> None:
    loads = loads_kg(melted(pile=[portion(200.0)]))
    assert min(loads) > 0.25 * loads[0]


def test_the_rest_of_a_pile_is_used_up() -> None:
    assert loads_kg(melted(pile=[portion(27.2 + 3.0)])) == pytest.approx([27.2, 3.0])


def test_the_first_lot_is_used_before_the_next() -> None:
    got = melted(pile=[portion(30.0, 7), portion(30.0, 8)])
    keys = [key for key, _ in got.used]
    assert keys == sorted(keys)
    assert sum(kg for key, kg in got.used if key == 7) == pytest.approx(30.0)


def test_a_pile_knows_how_much_of_it_brings_so_much_lead() -> None:
    pile = Pile([portion(10.0, 1, (0.5, 0.5, 0.0, 0.0, 0.0)), clean(10.0)], pots=2)
    assert pile.with_lead(2.5) == pytest.approx(5.0)
    assert pile.with_lead(4.5) == pytest.approx(7.0)
    assert pile.with_lead(99.0) == pytest.approx(10.0)
    assert pile.with_lead(-1.0) == 0.0
    assert pile.first(pile.with_lead(4.5))[0] == pytest.approx(4.5)


# -- what is not lit ---------------------------------------------------------------------------------------------------


def test_nothing_is_lit_without_weights_or_for_too_little_lead() -> None:
    assert refused(pile=[]) == "supply"
    assert refused(pile=[portion(12.0)]) == "supply"
    assert melted(pile=[portion(14.0)]).poured_kg > 8.0


def test_a_heel_does_not_make_too_little_lead_worth_lighting() -> None:
    kit = replace(KIT, heel_kg=10.0)
    assert refused(kit, [clean(5.0)], contents=Contents(lead_kg=10.0)) == "supply"
    assert melted(kit, [clean(9.0)], Contents(lead_kg=10.0)).poured_kg > 8.0


def test_a_burner_too_weak_for_the_wind_never_melts_and_that_is_said() -> None:
    weak = with_burner(2_000.0)
    assert refused(weak, hours=steady(weak, GALE)) == "heat"
    assert melted(weak).poured_kg > 0


def test_a_melt_is_not_lit_unless_it_can_be_finished() -> None:
    whole = melted(pile=[portion(20.0)])
    enough = melted(pile=[portion(20.0)], until_h=whole.end_h + 1e-6)
    assert enough.poured_kg == pytest.approx(whole.poured_kg)
    assert refused(pile=[portion(20.0)], until_h=0.5 * whole.end_h) == "hours"


def test_with_less_time_a_smaller_load_is_melted() -> None:
    whole = melted(pile=[clean(27.0)])
    short = melted(pile=[clean(27.0)], until_h=0.8 * whole.end_h)
    assert 8.0 < sum(kg for _, kg in short.used) < 27.0
    assert short.cause == ""
    assert short.end_h <= 0.8 * whole.end_h


def test_slack_keeps_time_in_hand() -> None:
    careful = replace(KIT, slack_share=0.5)
    until_h = melted(pile=[clean(27.0)]).end_h
    got = melted(careful, [clean(27.0)], until_h=until_h)
    assert sum(kg for _, kg in got.used) < 27.0
    assert got.end_h < until_h


# -- heat --------------------------------------------------------------------------------------------------------------


def test_wind_slows_a_melt_and_costs_fuel() -> None:
    still, windy = melted(), melted(hours=steady(KIT, 4.0))
    assert windy.heating_h > 1.3 * still.heating_h
    assert windy.fuel_kg > still.fuel_kg


def test_a_bigger_pot_on_the_same_small_burner_melts_slower() -> None:
    """On a strong burner the same pot, which takes more at once, is hardly slower."""
    slower = []
    for power_w in (4_000.0, 16_000.0):
        wide = HeatTable(replace(STOVE, burner_w=power_w, pot_diameter_m=0.35))
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


# -- fuel --------------------------------------------------------------------------------------------------------------


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


# -- zinc, dross -------------------------------------------------------------------------------------------------------


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


# -- moulds, hands, pots -----------------------------------------------------------------------------------------------


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


# -- broken off --------------------------------------------------------------------------------------------------------


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
    stove = replace(STOVE, burner_w=4000.0)
    slow = replace(KIT, table=HeatTable(stove), round_h=20 / 60, round_kg=3.6)
    still, gale = slow.table.hour(AIR_C, STILL, 1.0), slow.table.hour(0.0, 20.0, 1.0)
    broken = []
    for minute in range(0, 60, 4):
        got = melt(slow, lambda i: still if i < 3 else gale, [portion(40.0)], EMPTY, AIR_C, minute / 60, 60.0)
        assert isinstance(got, Melt)
        said = [what for _, what in got.steps]
        if "fluxed" in said and got.cause:
            broken.append(got)
            assert "poured" not in said
            assert got.contents.lead_kg > slow.round_kg
    assert broken
    assert {got.cause for got in broken} == {"weather"}
