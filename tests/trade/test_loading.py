"""What goes into the pot, load by load, and what is not lit at all. Every number is invented for the tests."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.trade.pot import Contents, Pile
from tests.trade.melts import GALE, KIT, clean, loads_kg, melted, portion, refused, steady, with_burner


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


def test_nothing_is_lit_without_weights_or_for_too_little_lead() -> None:
    assert refused(pile=[]) == "supply"
    assert refused(pile=[portion(12.0)]) == "supply"
    assert melted(pile=[portion(14.0)]).poured_kg > 8.0


def test_a_heel_does_not_make_too_little_lead_worth_lighting() -> None:
    kit = replace(KIT, heel_kg=10.0)
    assert refused(kit, [clean(5.0)], contents=Contents(lead_kg=10.0)) == "supply"
    assert melted(kit, [clean(9.0)], Contents(lead_kg=10.0)).poured_kg > 8.0


def test_a_pot_too_full_for_another_load_is_lit_whatever_lead_it_holds() -> None:
    """Weights left loose by a melt broken off fill it: nothing more goes in, nothing comes out until it is lit."""
    kit = replace(KIT, heel_kg=4.0, least_lead_kg=15.0)
    loose = Contents(
        lead_kg=14.0, clip_kg=3.0, zinc_kg=6.5, steel_kg=12.5, rubbish_kg=0.6, run_together=False
    )
    got = melted(kit, [portion(30.0)], loose)
    assert got.cause == ""
    assert got.clip_kg >= 3.0
    assert got.contents.lead_kg == pytest.approx(4.0)
    assert refused(kit, [portion(30.0)], contents=loose, until_h=0.3) == "hours"


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
