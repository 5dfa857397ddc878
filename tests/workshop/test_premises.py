"""What follows from the settings alone: lifts, payload, pot, and what is refused with which reason."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from planner.trade.cylinder import draw_limit_w
from planner.trade.melting import melt
from planner.trade.payload import may_still_load_kg, wear_cost
from planner.trade.pot import Contents, Portion
from planner.workshop.premises import TABLES_KEPT, StartUp, Tables, kit_of, premises
from tests.small import business


def refused(**changes: Any) -> dict[str, str]:
    return {refusal.limit: refusal.reason for refusal in premises(business(**changes)).refusals}


def test_the_small_business_breaks_no_limit() -> None:
    assert refused() == {}


@pytest.mark.parametrize(
    ("changes", "limit", "said"),
    [
        ({"melting": {"place": "enclosed"}}, "place", "carbon monoxide alarm"),
        ({"melting": {"stand": "40 kg"}}, "stand", "rated for 40 kg"),
        ({"melting": {"pot_moved_full": True}}, "pot", "moved with metal in it"),
        ({"melting": {"dry_first": False}}, "wet", "never_dried"),
        ({"lifting": {"portion": "55 kg"}}, "lifting", "lifting index above 3.0"),
        ({"vehicle": {"payload": "60 kg"}}, "payload", "used up by the people in it"),
    ],
)
def test_a_broken_limit_is_refused_with_the_reason(changes: dict[str, Any], limit: str, said: str) -> None:
    found = refused(**changes)
    assert set(found) == {limit}
    if limit != "wet":
        assert said in found[limit]


def test_what_is_not_done_is_not_refused() -> None:
    cellar = {"place": "enclosed", "stand": "40 kg", "on": False}
    heavy = {"portion": "55 kg"}
    assert refused(melting=cellar, lifting=heavy, fetching={"on": False}) == {}


def test_every_refusal_names_its_source() -> None:
    found = premises(
        business(melting={"place": "enclosed", "stand": "40 kg"}, lifting={"portion": "55 kg"})
    ).refusals
    assert len(found) == 3
    assert all(refusal.source for refusal in found)


def test_a_helper_who_lifts_allows_heavier_portions_than_one_who_does_not() -> None:
    helper = {"wage": "10 EUR/h", "days": ["sat"]}
    assert "lifting" not in refused(lifting={"portion": "55 kg"}, helper=helper)
    assert "lifting" in refused(lifting={"portion": "55 kg"}, helper=helper | {"lifts": False})


def test_half_a_bucket_has_half_the_lifting_index_and_the_worse_end_counts() -> None:
    known = premises(business())
    alone = known.alone
    assert alone.lifting_index(59.0) > 3.0
    assert alone.lifting_index(29.5) == pytest.approx(alone.lifting_index(59.0) / 2)
    high = premises(business(lifting={"tailgate": "160 cm"})).alone
    assert high.lifting_index(29.5) > alone.lifting_index(29.5)


def test_buckets_are_split_into_equal_portions() -> None:
    of = business(lifting={"portion": "30 kg"})
    known = premises(of)
    assert [known.alone.portions(kg) for kg in (29.0, 30.0, 31.0, 61.0)] == [1, 1, 2, 3]


def test_a_bucket_is_not_split_where_nothing_says_so() -> None:
    base = business()
    whole = base.model_copy(update={"lifting": base.lifting.model_copy(update={"portion_kg": None})})
    assert premises(whole).alone.portions(65.0) == 1


def test_with_the_helper_buckets_may_be_split_less() -> None:
    helper = {"wage": "10 EUR/h", "days": ["sat"], "portion": "65 kg"}
    known = premises(business(helper=helper))
    assert (known.alone.portions(59.0), known.helped.portions(59.0)) == (2, 1)
    sitting = premises(business(helper=helper | {"lifts": False}))
    assert sitting.helped.portions(59.0) == 2
    assert "portions of 75 kg" in refused(helper=helper | {"portion": "75 kg"})["lifting"]


def test_where_the_equation_allows_no_lift_fetching_is_refused() -> None:
    assert "at most 0 kg" in refused(lifting={"reach": "70 cm"})["lifting"]


def test_wear_of_an_overload_is_full_at_the_end_of_what_is_accepted_whichever_rating_binds() -> None:
    for spare in ({}, {"rear_axle_spare": "160 kg"}):
        vehicle = premises(business(vehicle={"overload_accepted": True, **spare})).alone.vehicle
        assert wear_cost(vehicle, may_still_load_kg(vehicle), 10.0) == pytest.approx(0.5 * 10.0)


def test_goods_are_carried_in_portions_and_every_portion_is_lifted_twice() -> None:
    of = business(lifting={"portion": "20 kg"})
    known = premises(of)
    assert [known.lifts(of, kg) for kg in (0.0, 20.0, 20.1, 100.0)] == [0, 2, 4, 10]
    assert known.most_in_lifts_kg(of, 10) == pytest.approx(100.0)
    assert known.most_in_lifts_kg(of, 9) == pytest.approx(80.0)


def test_the_helper_rides_along() -> None:
    known = premises(business(helper={"wage": "10 EUR/h", "days": ["sat"]}))
    assert may_still_load_kg(known.alone.vehicle) - may_still_load_kg(known.helped.vehicle) == pytest.approx(
        68.0
    )


def test_skirt_and_screen_reach_the_stove() -> None:
    bare, dressed = (premises(business(melting={"skirt": on, "screen": on})).stove for on in (False, True))
    assert dressed.efficiency_share > bare.efficiency_share
    assert dressed.wind_at_pot_share < bare.wind_at_pot_share
    assert dressed.gas_cover_share > bare.gas_cover_share


@pytest.mark.parametrize("fill_share", [1.0, 0.6, 0.25])
def test_joined_cylinders_each_give_their_share(fill_share: float) -> None:
    def draw_w(number: int) -> float:
        cylinder = premises(business(melting={"cylinder": {"number": number}})).stove.cylinder
        return draw_limit_w(cylinder, fill_share, 0.0)

    assert draw_w(3) == pytest.approx(3.0 * draw_w(1))


def test_a_pot_is_poured_when_two_thirds_full_unless_said_otherwise() -> None:
    litres = 3.14159 / 4 * 2.5**2 * 2.0
    known = premises(business(melting={"pot": {"diameter": "25 cm", "height": "20 cm"}}))
    assert known.lead_at_most_kg == pytest.approx(litres * 2 / 3 * 10.66, rel=1e-3)
    assert premises(business(melting={"pot": {"lead_at_most": "20 kg"}})).lead_at_most_kg == 20.0


def test_heat_tables_are_shared_by_stoves_that_are_alike() -> None:
    tables, of, lid = Tables(), business(), business(melting={"lid": True})
    first = kit_of(of, premises(of), tables).table
    assert kit_of(business(owner={"hours": "none"}), premises(of), tables).table is first
    assert kit_of(lid, premises(lid), tables).table is not first


def test_only_so_many_heat_tables_are_kept() -> None:
    tables, of = Tables(), business()
    stove = premises(of).stove
    first = tables.table(stove, False)
    for step in range(1, TABLES_KEPT):
        tables.table(replace(stove, burner_w=1000.0 + step), False)
    assert tables.table(stove, False) is first
    for step in range(TABLES_KEPT):
        tables.table(replace(stove, burner_w=9000.0 + step), False)
    again = tables.table(stove, False)
    assert again is not first
    assert again.hour(5.0, 1.0, 1.0).fire_w == first.hour(5.0, 1.0, 1.0).fire_w


def test_an_option_costs_nothing_to_start_unless_said() -> None:
    assert StartUp() == StartUp(cost=0.0, resale=0.0)


def test_a_wide_bottom_takes_up_more_of_the_heat_and_a_skirt_too() -> None:
    def efficiency(**melting: Any) -> float:
        return premises(business(melting=melting)).stove.efficiency_share

    plain = efficiency()
    assert efficiency(pot={"diameter": "35 cm"}) > plain > efficiency(pot={"diameter": "18 cm"})
    assert efficiency(skirt=True) > plain
    level = {"power": "10 kW", "wide_bottom_power": 0}
    assert efficiency(pot={"diameter": "35 cm"}, burner=level) == efficiency(burner=level)
    assert efficiency(pot={"diameter": "120 cm"}, skirt=True) <= 0.65


def test_a_heel_that_fills_the_pot_is_refused() -> None:
    with pytest.raises(ValueError, match="a heel of 80 kg leaves no room"):
        business(melting={"heel": "80 kg"})


@pytest.mark.parametrize("lead_at_most", ["10 kg", "20 kg", "45 kg", "70 kg"])
@pytest.mark.parametrize("lead_share", [0.1, 0.45, 0.9])
def test_the_stand_is_asked_to_bear_the_clips_as_well_as_the_lead(
    lead_at_most: str, lead_share: float
) -> None:
    of = business(melting={"pot": {"lead_at_most": lead_at_most}, "least_lead": "1 kg"})
    known = premises(of)
    kit = kit_of(of, known, Tables())
    row = kit.table.hour(15.0, 0.0, 1.0)
    rest = 1.0 - lead_share
    pile = [Portion(1, 300.0, lead_share, 0.2 * rest, 0.2 * rest, 0.5 * rest, 0.1 * rest)]
    got = melt(kit, lambda *_: row, pile, Contents(), 15.0, 0.0, 200.0)
    assert not isinstance(got, str)
    assert got.loads >= 1
    assert kit.pot_mass_kg + got.heaviest_kg <= known.full_pot_kg + 1e-9


def test_a_stand_that_bears_the_lead_but_not_the_clips_is_refused() -> None:
    pot = {"lead_at_most": "10 kg"}
    assert "stand" in {r.limit for r in premises(business(melting={"pot": pot, "stand": "15 kg"})).refusals}


@pytest.mark.parametrize(("count", "minutes"), [(1, 4.0), (4, 4.0), (8, 4.0), (20, 10.0)])
def test_with_many_moulds_the_hands_and_not_the_setting_make_the_round(count: int, minutes: float) -> None:
    of = business(melting={"moulds": {"count": count}})
    kit = kit_of(of, premises(of), Tables())
    assert kit.round_h == pytest.approx(minutes / 60.0)
    assert kit.round_kg == pytest.approx(count * 1.8)
