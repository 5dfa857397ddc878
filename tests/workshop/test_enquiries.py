"""Buyers' needs: quoted, waited for, given up; who comes back, who stays away, who brings a friend."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest

from planner.workshop.result import Run
from planner.world.parts import Bill, Crowd, Marks
from tests.small import YARD, Asking, business, crowd, world
from tests.workshop.books import played
from tests.workshop.test_serve import shop_with

DAYS = 120
DAY = 24.0
NEVER = 1e6
STOCK = {"hard": "900 kg"}


def run_with(
    buyers: Crowd, stock: dict[str, str] | None = None, pricing: Asking | None = None, **changes: Any
) -> Run:
    of = shop_with(STOCK if stock is None else stock, **changes)
    return played(of, world(of, shops=(), crowds=(buyers,)), pricing)


def one(needs: int = 40, gap_days: float = 10.0, **changes: Any) -> Crowd:
    """One person with a need every so many days."""
    shape = (1, needs)
    return crowd(DAYS, 1, needs, **({"gap_h": np.full(shape, gap_days * DAY)} | changes))


def test_a_need_falls_due_a_gap_after_the_last_one_ended() -> None:
    run = run_with(one(gap_days=10.0))
    due = [sale.t_h - sale.waited_h for sale in run.sales]
    assert due[0] == pytest.approx(10 * DAY)
    for sale, then in zip(run.sales, due[1:], strict=False):
        assert then == pytest.approx(sale.t_h + 10 * DAY)
    assert run.measures["enquiries"] == len(run.sales)


def test_needs_come_closer_together_in_the_season() -> None:
    busy = np.concatenate(([0.0], np.cumsum(np.where(np.arange(DAYS) < 60, 0.5, 2.0) * DAY)))
    run = run_with(one(gap_days=10.0, operational_h=busy))
    first_half = sum(sale.t_h < 60 * DAY for sale in run.sales)
    assert len(run.sales) - first_half > 2 * first_half


def test_a_buyer_waits_for_metal_as_long_as_patience_lasts() -> None:
    def melting_soon(patience_days: float) -> Run:
        lot = {"mass": "60 kg", "clip_on_share": 0.9, "steel_share": 0.1}
        base = {"fetching": {"on": False}, "yard": {"least": "99999 kg"}, "stock": {"lots": [lot]}}
        of = business(**base, melting={"days": ["sat"]})
        buyers = one(1, 0.1, patience_h=np.full((1, 1), patience_days * DAY))
        return played(of, world(of, shops=(), crowds=(buyers,)))

    waits, leaves = melting_soon(10.0), melting_soon(3.0)
    assert waits.sales[0].waited_h > 3 * DAY
    assert leaves.sales == []
    assert [(lost.cause, lost.t_h) for lost in leaves.lost] == [("stock", pytest.approx(3.1 * DAY))]


def test_a_price_above_what_they_would_pay_loses_the_sale() -> None:
    cheap, dear = (run_with(one(), pricing=Asking(price)) for price in (4.4, 4.9))
    assert len(cheap.sales) > 5
    assert dear.sales == []
    assert {lost.cause for lost in dear.lost} == {"price"}
    assert dear.measures["lost_price_kg"] > 0


def test_a_buyer_who_goes_unserved_too_often_in_a_row_stays_away() -> None:
    run = run_with(one(gap_days=5.0, misses_borne=np.array([2])), stock={})
    assert len(run.lost) == 3
    assert run.measures["enquiries"] == 3
    assert any(note.what == "buyer stays away" for note in run.notes)


def test_a_buyer_who_is_served_forgets_earlier_misses() -> None:
    """Every other need is priced out; two misses in a row never come."""
    most = np.where(np.arange(40) % 2 == 0, 3.0, 4.5)[None, :]
    run = run_with(one(gap_days=5.0, most_per_kg={"hard": most}, misses_borne=np.array([1])))
    assert len(run.sales) > 5
    assert not any(note.what == "buyer stays away" for note in run.notes)


def test_good_metal_brings_new_buyers_by_word_of_mouth() -> None:
    shape = (5, 40)
    alone, told = (
        run_with(crowd(DAYS, 5, 40, known=1, brings_friend=np.full(shape, tells))) for tells in (False, True)
    )
    assert {sale.person for sale in alone.sales} == {0}
    assert {sale.person for sale in told.sales} == {0, 1, 2, 3, 4}
    assert len(told.sales) > 2 * len(alone.sales)


def test_friends_end_with_the_people_in_reach() -> None:
    tells = {"brings_friend": np.ones((2, 40), bool), "known": 1}
    run = run_with(crowd(DAYS, 2, 40, gap_days=4.0, **tells))
    assert {sale.person for sale in run.sales} == {0, 1}


def test_who_does_not_keep_the_appointment_brings_nobody_and_comes_again() -> None:
    shape = (2, 40)
    absent = np.zeros(shape, bool)
    run = run_with(crowd(DAYS, 2, 40, known=1, brings_friend=np.ones(shape, bool), shows_up=absent))
    assert run.sales == []
    assert len(run.lost) > 1
    assert {lost.person for lost in run.lost} == {0}


def test_who_was_not_served_brings_nobody() -> None:
    run = run_with(crowd(DAYS, 2, 40, known=1, brings_friend=np.ones((2, 40), bool)), stock={})
    assert {lost.person for lost in run.lost} == {0}


# -- zinced metal ------------------------------------------------------------------------------------------------------


def zinced(noticed: bool, takes_zinced: bool = True) -> Run:
    """Every cold start overheats, so every ingot is zinced."""
    lot = {"mass": "60 kg", "clip_on_share": 0.7, "zinc_share": 0.2, "steel_share": 0.1}
    base = {"fetching": {"on": False}, "yard": {"least": "99999 kg"}, "stock": {"lots": [lot] * 6}}
    of = business(**base, melting={"stop_above": "900 kg", "zinc": {"noticed": noticed}})
    shape = (3, 40)
    most = {"mixed": np.full(shape, 4.5), "hard": np.full(shape, 4.5)}
    if takes_zinced:
        most["zinced"] = np.full(shape, 2.5)
    marks = Marks(np.zeros(DAYS), np.full(DAYS, 0.99), np.full(DAYS, 0.99))
    buyers = crowd(DAYS, 3, 40, 10.0, most_per_kg=most)
    return played(of, world(of, shops=(), crowds=(buyers,), marks=marks))


def test_zinced_metal_is_sold_as_such_for_less_to_those_who_take_it() -> None:
    run = zinced(noticed=True)
    assert {sale.alloy for sale in run.sales} == {"zinced"}
    assert {sale.price_per_kg for sale in run.sales} == {2.0}
    assert len(run.sales) > 10
    assert zinced(noticed=True, takes_zinced=False).sales == []


def test_zinced_metal_sold_as_good_loses_the_buyer() -> None:
    run = zinced(noticed=False)
    assert len(run.sales) == 3
    assert {sale.price_per_kg for sale in run.sales} == {4.0}
    assert sum(note.what == "buyer lost" for note in run.notes) == 3


def test_a_price_rule_sees_stock_that_is_not_promised() -> None:
    """Ten want 10 kg each of the 35 kg at once; the rule sees what is left with every order."""
    seen: list[float] = []

    class Watching(Asking):
        def quote(self, view: Any, alloy: str, mass_kg: float, channel: str) -> float:
            if view.t_h < 2.0:
                seen.append(view.stock_kg["hard"])
            return super().quote(view, alloy, mass_kg, channel)

    buyers = crowd(DAYS, 5, 1, gap_h=np.full((5, 1), 1.0), most_per_kg={"hard": np.full((5, 1), 4.5)})
    run_with(buyers, {"hard": "35 kg"}, Watching())
    assert seen == pytest.approx([35.0, 25.0, 15.0, 5.0, 0.0])


def test_a_price_rule_knows_the_day_what_is_left_of_time_and_what_the_yard_pays() -> None:
    seen: list[Any] = []

    class Watching(Asking):
        def quote(self, view: Any, alloy: str, mass_kg: float, channel: str) -> float:
            seen.append(view)
            return super().quote(view, alloy, mass_kg, channel)

    buyers = one(2, 5.25)
    run_with(buyers, {}, Watching())
    first = seen[0]
    assert first.today == date(2026, 3, 2) + timedelta(days=int(first.t_h // 24.0))
    assert first.today > date(2026, 3, 2)
    assert first.days_left == pytest.approx(DAYS - first.t_h / 24.0)
    assert (first.yard_per_kg, first.yard_zinced_per_kg) == (YARD["lead"], YARD["weights"])


def strangers(people: int = 3, **changes: Any) -> Crowd:
    """People of whom one knows of the business; each asks a day after hearing of it, and then hardly again."""
    gaps = np.full((people, 4), 400 * DAY)
    gaps[:, 0] = DAY
    return crowd(DAYS, people, 4, **({"known": 1, "gap_h": gaps} | changes))


def test_an_advert_brings_whom_it_tells_when_it_tells_them() -> None:
    run = run_with(strangers(knows_from_h=np.array([NEVER, 30 * DAY, NEVER])))
    assert [round((sale.t_h - sale.waited_h) / DAY) for sale in run.sales] == [1, 31]
    assert [note.cause for note in run.notes if note.what == "new buyer"] == ["by an advert or a sign"]


def test_whoever_a_friend_told_first_is_not_told_again() -> None:
    friends = np.zeros((3, 4), bool)
    friends[0, 0] = True
    for told_day, causes in ((30.0, ["word of mouth"]), (0.5, ["by an advert or a sign", "word of mouth"])):
        told = np.array([NEVER, told_day * DAY, NEVER])
        run = run_with(strangers(brings_friend=friends, knows_from_h=told))
        news = [note for note in run.notes if note.what == "new buyer"]
        assert [note.cause for note in news] == causes
        assert {sale.person for sale in run.sales} == {0, 1} | ({2} if told_day < 1 else set())


def test_marks_that_never_come_change_nothing() -> None:
    friends = np.ones((3, 4), bool)
    plain, marked = (
        run_with(strangers(brings_friend=friends, knows_from_h=told)) for told in (None, np.full(3, NEVER))
    )
    assert plain.ledger == marked.ledger
    assert plain.notes == marked.notes


def test_bills_are_paid_on_their_dates() -> None:
    bills = (Bill(10 * DAY, "adverts", 15.0), Bill(40 * DAY, "adverts", 20.0))
    run = run_with(strangers(bills=bills))
    paid = [(entry.t_h, entry.amount) for entry in run.ledger if entry.kind == "adverts"]
    assert paid == [(10 * DAY, -15.0), (40 * DAY, -20.0)]
    assert run.measures["other_cost"] == pytest.approx(35.0)
