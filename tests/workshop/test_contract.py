"""A shop that is bound by a contract: what is owed is fetched, or paid for when it has waited its time."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest

from planner.workshop.fetch import UNFETCHED
from planner.workshop.result import Run
from planner.world.parts import Shop
from tests.small import business, shop, world
from tests.workshop.books import entries, played

DAY = 24.0


def bound(name: str = "depot", every_days: float = 10.0, buckets: int = 12, **changes: object) -> Shop:
    """A shop that owes a bucket of about 50 kg every so many days, at 8 each; no two weigh the same."""
    own: dict[str, object] = {
        "mass_kg": 50.0 + 0.01 * np.arange(buckets),
        "price": np.full(buckets, 8.0),
        "owed": np.full(buckets, 8.0),
    }
    return shop(name, every_days, buckets, **(own | changes))  # type: ignore[arg-type]


def with_contract(*shops: Shop, **changes: object) -> Run:
    of = business(**({"melting": {"on": False}} | changes))
    return played(of, world(of, shops=shops))


def paid_in_vain(run: Run) -> list[tuple[float, float]]:
    return [(entry.t_h / DAY, entry.amount) for entry in entries(run, UNFETCHED)]


def test_what_is_owed_is_paid_for_on_the_day_it_has_waited_its_time_even_if_nothing_is_ever_fetched() -> None:
    run = with_contract(bound(), fetching={"on": False})
    assert run.lots == []
    assert paid_in_vain(run) == [(21.0 + 10.0 * k, -8.0) for k in range(10)]
    assert run.measures["other_cost"] == 80.0
    told = [note for note in run.notes if note.what == "owed bucket not fetched"]
    assert [(note.t_h / DAY, note.cause) for note in told][:1] == [
        (21.0, "waited too long: 8.00 paid by contract")
    ]


def test_what_is_fetched_in_time_is_paid_for_once_as_weights() -> None:
    run = with_contract(bound(), fetching={"scrap_at_most": "9999 kg"})
    assert len(run.lots) == 12
    assert paid_in_vain(run) == []
    assert [entry.amount for entry in entries(run, "weights")] == [-8.0] * 12


def test_the_owners_price_limit_does_not_excuse() -> None:
    cheap = {"most_price": "5 EUR", "scrap_at_most": "9999 kg"}
    run = with_contract(bound(), shop("other", price=np.full(12, 8.0)), fetching=cheap)
    assert {lot.source for lot in run.lots} == {"depot"}
    assert len(run.lots) == 12


def test_enough_weights_at_home_do_not_excuse_and_keep_the_owner_from_all_else() -> None:
    full = {"scrap_at_most": "60 kg", "every": "7 days"}
    run = with_contract(bound(), shop("other", every_days=3.0, buckets=40, misses_borne=99), fetching=full)
    sources = [lot.source for lot in run.lots]
    assert sources.count("depot") == 12
    assert sources.count("other") <= 3
    assert run.measures["lost_weights_enough_h"] > 0.0


def test_a_bucket_that_fills_while_weights_are_enough_is_fetched_within_the_same_free_hours() -> None:
    at_noon = bound(buckets=1, ready_h=np.array([5 * DAY + 12.0]))
    lots = [{"mass": "90 kg", "cost": "0 EUR", "clip_on_share": 1.0}]
    run = with_contract(at_noon, fetching={"scrap_at_most": "60 kg"}, stock={"lots": lots})
    assert [trip.t_h for trip in run.trips] == [5 * DAY + 12.0]


def test_being_stopped_does_not_excuse() -> None:
    run = with_contract(bound(), stopped={"date": "2026-03-20"}, fetching={"scrap_at_most": "9999 kg"})
    assert len(run.lots) == 2
    assert [day for day, _ in paid_in_vain(run)] == [41.0 + 10.0 * k for k in range(8)]


def test_what_is_owed_is_paid_for_without_cash_too() -> None:
    run = with_contract(bound(), cash={"opening": "0 EUR"})
    assert run.lots == []
    assert run.measures["lowest_cash"] == pytest.approx(-80.0)


def test_a_bound_shop_never_stops_giving_however_often_it_waits_in_vain() -> None:
    seldom = {"every": "60 days", "scrap_at_most": "9999 kg"}
    free, by_contract = (
        with_contract(one, fetching=seldom) for one in (shop(misses_borne=0), bound("shop A", misses_borne=0))
    )
    assert len(free.lots) == 1
    assert len(by_contract.lots) == 4
    assert [day for day, _ in paid_in_vain(by_contract)] == [31.0, 41.0, 51.0, 91.0, 101.0, 111.0]


def test_a_bucket_on_its_way_home_when_it_falls_due_is_not_paid_for_twice() -> None:
    """The owner sets off at six; the bucket would have gone at five past."""
    late = bound(buckets=1, ready_h=np.array([0.0]), gone_after_h=np.array([18.0 + 5.0 / 60.0]))
    run = with_contract(late, vehicle={"speed": "20 km/h"})
    assert run.trips[0].t_h < 18.0 + 5.0 / 60.0 < run.trips[0].end_h
    assert len(run.lots) == 1
    assert paid_in_vain(run) == []


def test_what_falls_due_after_the_last_day_is_not_charged() -> None:
    run = with_contract(bound(gone_after_h=np.full(12, inf)), fetching={"on": False})
    assert paid_in_vain(run) == []


def test_what_a_bound_shop_gives_beyond_what_it_owes_costs_nothing_if_it_is_left() -> None:
    some = np.array([8.0, 0.0] * 6)
    run = with_contract(bound(owed=some), fetching={"on": False})
    assert [day for day, _ in paid_in_vain(run)] == [21.0 + 20.0 * k for k in range(5)]
