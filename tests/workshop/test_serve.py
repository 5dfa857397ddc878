"""Serving buyers: a sale takes time; what is handed over, at what price, and what stays in stock."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from planner.workshop.result import Run
from planner.world.parts import Crowd, Finds
from tests.small import Asking, business, crowd, world
from tests.workshop.books import entries, played

DAYS = 120


def shop_with(stock: dict[str, str], **changes: Any) -> Any:
    """A business with ingots and nothing else to do."""
    return business(
        stock=stock, fetching={"on": False}, melting={"on": False}, yard={"least": "99999 kg"}, **changes
    )


def wants(kg: float, people: int = 1, at_h: float = 1.0, **changes: Any) -> Crowd:
    """People who want so much once, from the first hour on."""
    shape = (people, 1)
    once = {"gap_h": np.full(shape, at_h), "size_kg": np.full(shape, kg)}
    return crowd(DAYS, people, 1, **(once | changes))


def served(*crowds: Crowd, stock: dict[str, str] | None = None, **changes: Any) -> Run:
    of = shop_with({"hard": "100 kg", "cost": "1 EUR/kg"} if stock is None else stock, **changes)
    return played(of, world(of, shops=(), crowds=crowds))


def selling_h(run: Run) -> float:
    return sum(row.end_h - row.t_h for row in run.hours if row.what == "selling")


# -- a sale ------------------------------------------------------------------------------------------------------------


def test_a_sale_takes_its_time_and_brings_its_price() -> None:
    run = served(wants(10.0, sale_h=0.75))
    (sale,) = run.sales
    assert selling_h(run) == pytest.approx(0.75)
    assert sale.money == pytest.approx(40.0)
    assert sale.mass_kg * sale.price_per_kg == pytest.approx(sale.money)
    assert sale.melts == ((0, 10.0),)
    assert sale.metal_cost == pytest.approx(10.0)
    assert sale.t_h == pytest.approx(18.75)
    assert sale.waited_h == pytest.approx(17.75)
    assert run.measures["stock_end_kg"] == pytest.approx(90.0)


@pytest.mark.parametrize(("wanted_kg", "parcels"), [(10.0, 1), (30.0, 3)])
def test_each_parcel_that_goes_out_is_packed(wanted_kg: float, parcels: int) -> None:
    post = {"channel": "post", "parcel_kg": 10.0, "parcel_fee": 5.0, "sale_h": 0.25, "parcel_h": 0.2}
    run = served(wants(wanted_kg, **post))
    assert selling_h(run) == pytest.approx(0.25 + 0.2 * parcels)
    unpaid = served(wants(wanted_kg, shows_up=np.zeros((1, 1), bool), **post))
    assert selling_h(unpaid) == pytest.approx(0.125)


def test_a_buyer_who_gives_up_at_night_is_told_apart_from_one_whom_the_owner_had_no_time_for() -> None:
    night = served(wants(10.0, patience_h=np.full((1, 1), 3.0)))  # asks at one in the morning
    (lost,) = [note for note in night.notes if note.what == "order lost"]
    assert lost.cause == "gave up after 3.0 h, in which the owner had no free hour, for 10.0 kg"
    evening = served(wants(10.0, at_h=18.0, patience_h=np.full((1, 1), 3.0), sale_h=99.0))
    (lost,) = [note for note in evening.notes if note.what == "order lost"]
    assert lost.cause.startswith(
        "gave up after 3.0 h, the owner's free hours were too short or went elsewhere"
    )


def test_an_appointment_that_is_not_kept_costs_half_the_time_and_the_metal_stays() -> None:
    run = served(wants(10.0, sale_h=0.75, shows_up=np.zeros((1, 1), bool)))
    assert run.sales == []
    assert [lost.cause for lost in run.lost] == ["no-show"]
    assert selling_h(run) == pytest.approx(0.375)
    assert run.measures["stock_end_kg"] == pytest.approx(100.0)


def test_the_buyer_who_waits_longest_is_served_first() -> None:
    gaps = np.array([[5.0], [2.0], [9.0]])
    run = served(wants(10.0, 3, gap_h=gaps))
    assert [sale.person for sale in run.sales] == [1, 0, 2]


def test_only_so_many_buyers_are_served_in_an_evening() -> None:
    run = served(wants(1.0, 20, sale_h=0.5))
    assert sum(sale.t_h < 24.0 for sale in run.sales) == 6
    short = served(wants(1.0, 20, sale_h=0.5), owner={"hours": {"mon": "18:00-18:20"}})
    assert short.sales == []
    assert short.measures["lost_hours_h"] > 0
    assert short.measures["lost_time_kg"] == pytest.approx(20.0)


def test_the_same_metal_is_not_sold_twice() -> None:
    run = served(wants(10.0, 20))
    assert len(run.sales) == 10
    assert run.measures["stock_end_kg"] == pytest.approx(0.0)
    assert run.measures["lost_stock_kg"] == pytest.approx(100.0)


def test_enquiries_that_come_to_nothing_cost_messages() -> None:
    few, many = (
        served(wants(10.0, n, message_h=0.2, most_per_kg={"hard": np.full((n, 1), 3.0)})) for n in (1, 10)
    )
    assert few.measures["sell_hours_h"] == 0.0
    assert many.measures["sell_hours_h"] == pytest.approx(10 * 0.2)
    assert {row.what for row in many.hours} == {"messages"}


# -- how much, of what -------------------------------------------------------------------------------------------------


def test_a_part_is_sold_where_it_satisfies_the_buyer_and_parts_are_sold() -> None:
    short = {"hard": "6 kg"}
    taken = served(wants(10.0, returns_at_share=np.array([0.5])), stock=short)
    assert [sale.mass_kg for sale in taken.sales] == [6.0]
    assert [(lost.cause, lost.mass_kg) for lost in taken.lost] == [("stock", 4.0)]
    rather_waits = served(wants(10.0, returns_at_share=np.array([0.7])), stock=short)
    never_parts = served(
        wants(10.0, returns_at_share=np.array([0.5])), stock=short, selling={"part_orders": False}
    )
    least = served(wants(10.0, returns_at_share=np.array([0.5]), least_kg=8.0), stock=short)
    assert rather_waits.sales == never_parts.sales == least.sales == []


def test_the_alloy_of_which_there_is_enough_is_handed_over() -> None:
    both = {"hard": np.full((1, 1), 4.5), "mixed": np.full((1, 1), 4.2)}
    run = served(wants(10.0, most_per_kg=both), stock={"hard": "6 kg", "mixed": "50 kg"})
    assert [(sale.alloy, sale.mass_kg) for sale in run.sales] == [("mixed", 10.0)]


def test_another_alloy_or_less_than_was_asked_for_is_told_with_the_sale() -> None:
    asks = wants(10.0, most_per_kg={"hard": np.full((1, 1), 9.0), "mixed": np.full((1, 1), 9.0)})
    run = served(asks, stock={"mixed": "8 kg"})
    (order,) = [note.cause for note in run.notes if note.what == "order"]
    (sold,) = [note.cause for note in run.notes if note.what == "sold"]
    assert order.startswith("10.0 kg mixed")
    assert sold == "8.00 kg mixed of 10.00 kg asked for at 4.00 a kg"
    both = {alloy: np.full((2, 1), most) for alloy, most in (("soft", 9.0), ("mixed", 8.0))}
    run = served(wants(10.0, people=2, most_per_kg=both), stock={"soft": "10 kg", "mixed": "50 kg"})
    causes = sorted(note.cause for note in run.notes if note.what == "sold")
    assert causes == ["10.00 kg mixed at 4.00 a kg, for lack of soft", "10.00 kg soft at 4.00 a kg"]


def test_only_alloys_that_the_buyer_takes_are_sold() -> None:
    soft_only = wants(10.0, most_per_kg={"soft": np.full((1, 1), 9.0)})
    assert served(soft_only, stock={"hard": "50 kg"}).sales == []
    assert served(soft_only, stock={"hard": "50 kg", "soft": "50 kg"}).sales[0].alloy == "soft"


def test_old_ingots_are_sold_first() -> None:
    of = business(stock={"mixed": "15 kg", "cost": "2 EUR/kg"}, yard={"least": "99999 kg"})
    later = crowd(DAYS, 3, 1, gap_h=np.full((3, 1), 60 * 24.0), patience_h=np.full((3, 1), 1e4))
    run = played(of, world(of, crowds=(later,)))
    sold = [melt for sale in run.sales for melt, _ in sale.melts]
    assert sold[0] == 0
    assert sold == sorted(sold)
    assert set(sold) > {0, 1}


# -- channels ----------------------------------------------------------------------------------------------------------


def test_parcels_go_whole_and_cost_postage() -> None:
    boxes = wants(
        62.0, channel="post", parcel_kg=30.0, parcel_fee=20.0, least_kg=30.0, returns_at_share=np.array([0.4])
    )
    run = served(boxes)
    assert [sale.mass_kg for sale in run.sales] == [60.0]
    assert [entry.amount for entry in entries(run, "postage")] == [-40.0]
    assert run.measures["post_takings"] == pytest.approx(240.0)
    assert run.measures["takings"] == 0.0
    one = served(boxes, stock={"hard": "45 kg"})
    assert [sale.mass_kg for sale in one.sales] == [30.0]


def test_a_bulk_buyer_pays_half_and_is_served_from_what_is_not_kept_for_others() -> None:
    much = wants(100.0, channel="bulk", least_kg=50.0, returns_at_share=np.array([0.5]))
    run = served(much, selling={"bulk_keeps": "30 kg"})
    (sale,) = run.sales
    assert sale.mass_kg == pytest.approx(70.0)
    assert sale.money == pytest.approx(70.0 * 2.0)
    assert run.measures["bulk_takings"] == pytest.approx(140.0)
    assert served(much, selling={"bulk_keeps": "60 kg"}).sales == []


def test_driving_to_a_buyer_takes_time_distance_and_lifts() -> None:
    run = served(wants(35.0, trip_km=20.0, sale_h=0.5), lifting={"portion": "20 kg"})
    (trip,) = run.trips
    assert trip.kind == "buyer"
    assert trip.lifts == 4
    assert selling_h(run) == pytest.approx(0.5 + 20.0 / 40.0 + 4 * 2 / 60)
    assert [entry.amount for entry in entries(run, "driving")] == pytest.approx([-20.0 * 0.43])
    assert run.measures["driven_km"] == pytest.approx(20.0)


def test_what_helps_lifting_is_set_up_at_home_and_at_the_buyers_and_a_second_person_is_paid() -> None:
    far = wants(35.0, trip_km=20.0, sale_h=0.5)
    hoist = served(far, lifting={"portion": "20 kg", "method": "hoist"})
    assert selling_h(hoist) == pytest.approx(0.5 + 20.0 / 40.0 + (4 * 4 + 2 * 4) / 60)
    two = served(far, lifting={"portion": "20 kg", "method": "two people", "second_wage": "12 EUR/h"})
    (trip,) = two.trips
    assert [entry.amount for entry in entries(two, "wages")] == pytest.approx(
        [-12.0 * (trip.end_h - trip.t_h)]
    )
    here = served(wants(35.0), lifting={"method": "two people"})
    assert entries(here, "wages") == []


def test_no_more_is_driven_to_a_buyer_than_the_vehicle_may_carry() -> None:
    run = served(wants(90.0, trip_km=20.0), vehicle={"payload": "120 kg"})
    assert [sale.mass_kg for sale in run.sales] == [pytest.approx(52.0)]
    out_of_reach = served(wants(90.0, trip_km=20.0), lifting={"reach": "70 cm"})
    assert out_of_reach.sales == []
    assert out_of_reach.measures["lost_lifting_h"] > 0
    tired = served(wants(90.0, trip_km=20.0), lifting={"most_a_day": 4})
    assert tired.sales == []
    assert tired.measures["lost_lifting_h"] > 0


# -- tin ---------------------------------------------------------------------------------------------------------------

PEWTER = Finds(np.array([1.0]), np.array([2.0]), np.array([0.9]), np.array([12.0]))


def with_pewter(buyers: Crowd, **changes: Any) -> Run:
    of = shop_with({"hard": "100 kg"}, owner={"priority": ["ask", "serve"]}, **changes)
    return played(of, world(of, shops=(), crowds=(buyers,), finds=PEWTER), Asking(4.0, 30.0))


def test_tin_is_sold_beside_as_far_as_it_reaches() -> None:
    tin = np.array([[1.0], [1.0], [0.0]])
    run = with_pewter(wants(10.0, 3, tin_kg=tin, tin_most_per_kg=33.0))
    assert [sale.tin_kg for sale in run.sales] == pytest.approx([1.0, 0.8, 0.0])
    assert [sale.tin_money for sale in run.sales] == pytest.approx([30.0, 24.0, 0.0])
    assert run.measures["tin_takings"] == pytest.approx(54.0)
    assert sum(sale.metal_cost for sale in run.sales) == pytest.approx(12.0)


def test_tin_that_is_too_dear_is_not_bought_but_the_lead_is() -> None:
    run = with_pewter(wants(10.0, tin_kg=np.full((1, 1), 1.0), tin_most_per_kg=25.0))
    assert [(sale.mass_kg, sale.tin_kg) for sale in run.sales] == [(10.0, 0.0)]


def test_tin_left_at_the_end_counts_as_stock_at_expected_sale() -> None:
    """1.8 kg of tin at 30, of which a share of 0.6 is expected; the yard has no price for it."""
    kept, sold = (
        with_pewter(wants(10.0, tin_kg=np.full((1, 1), kg), tin_most_per_kg=33.0)) for kg in (0.0, 1.8)
    )
    without = kept.measures["stock_end_sale"] - sold.measures["stock_end_sale"]
    assert without == pytest.approx(1.8 * 30.0 * 0.6)
    assert kept.measures["stock_end_yard"] == pytest.approx(sold.measures["stock_end_yard"])


def test_blended_tin_is_paid_for_by_buyers_of_tin() -> None:
    lot = {"mass": "60 kg", "clip_on_share": 0.9, "steel_share": 0.1}
    base = {"fetching": {"on": False}, "yard": {"least": "99999 kg"}, "stock": {"lots": [lot]}}
    of = business(
        pewter={"use": "blended", "blend_share": 0.02}, owner={"priority": ["ask", "melt", "serve"]}, **base
    )
    buyers = wants(10.0, tin_most_per_kg=33.0, patience_h=np.full((1, 1), 1e4))
    run = played(of, world(of, shops=(), crowds=(buyers,), finds=PEWTER), Asking(4.0, 30.0))
    assert run.sales[0].money == pytest.approx(10.0 * 4.0 + 10.0 * 0.02 * 30.0)
