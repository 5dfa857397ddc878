"""Whatever business in whatever world: the books add up, the same arguments give the same run, nothing is changed."""

from __future__ import annotations

import pickle
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.scenario.business import TASKS, Business
from planner.trade.ways import WAYS
from planner.workshop.play import play
from planner.workshop.premises import StartUp
from planner.world.parts import Crowd, Finds, Horizon, Marks, Rates, Shop, Supply, Weather, World
from tests.small import YARD, Asking, business, crowd, shop, tables, world
from tests.workshop.books import audit

HOURS = (
    {"mon-fri": "18:00-21:00", "sat": "09:00-17:00"},
    {"sat": "08:00-18:00"},
    {"fri": "20:00-04:00", "sat": ["06:00-12:00", "13:00-24:00"]},
    "00:00-24:00",
)
SOMETIMES = st.sampled_from([True, False, False])


def kg(low: float, high: float) -> st.SearchStrategy[str]:
    return st.floats(low, high).map(lambda x: f"{x:.3f} kg")


def eur(low: float, high: float) -> st.SearchStrategy[str]:
    return st.floats(low, high).map(lambda x: f"{x:.2f} EUR")


@st.composite
def businesses(draw: Any) -> Business:
    days = draw(st.one_of(st.integers(25, 60), st.integers(1, 60)))
    start = draw(st.sampled_from(["2026-01-20", "2026-05-04", "2026-11-28"]))
    melting: dict[str, Any] = {
        "on": draw(st.sampled_from([True, True, True, False])),
        "place": draw(st.sampled_from(["roof", "open air", "roof", "open air", "enclosed"])),
        "extraction": True,
        "co_alarm": draw(st.booleans()),
        "light": draw(st.booleans()),
        "burner": {
            "power": f"{draw(st.one_of(st.floats(6.0, 20.0), st.floats(1.5, 20.0))):.2f} kW",
            "turned_down": draw(st.booleans()),
        },
        "pot": {"diameter": f"{draw(st.floats(15, 40)):.1f} cm", "height": "15 cm"},
        "pots": draw(st.integers(1, 2)),
        "heel": draw(kg(0, 8)),
        "lid": draw(st.booleans()),
        "thermometer": draw(st.booleans()),
        "dry_first": draw(st.booleans()),
        "stand": draw(kg(40, 250)),
        "stop_above": draw(kg(60, 300)),
        "fuel_price": "2.5 EUR/kg",
        "zinc": {"noticed": draw(st.booleans()), "overheats_share": 0.8},
        "set_up": draw(st.sampled_from(["0 min", "30 min"])),
    }
    changes: dict[str, Any] = {
        "calendar": {"days": days, "start": start},
        "owner": {
            "hours": draw(st.sampled_from(HOURS)),
            "priority": list(draw(st.permutations(TASKS)))[draw(st.integers(0, 1)) :],
            "asking_a_month": draw(st.sampled_from(["0 h", "4 h"])),
            "holidays": draw(st.sampled_from(["none", f"{start} to {start}"])),
            "other_hours": draw(st.sampled_from(["none", f"{start} none", f"{start} 06:00-20:00"])),
        },
        "lifting": {
            "portion": draw(kg(8, 40)),
            "method": draw(st.sampled_from(["by hand", *WAYS])),
            "time_per_stop": draw(st.sampled_from(["0 min", "5 min"])),
            "second_wage": draw(eur(0, 20)) + "/h",
            "most_a_day": draw(st.one_of(st.integers(20, 60), st.integers(2, 20))),
        },
        "vehicle": {
            "payload": draw(st.one_of(kg(200, 600), kg(60, 200))),
            "overload_accepted": draw(st.booleans()),
            "rear_axle_spare": draw(kg(40, 400)),
        },
        "fetching": {
            "every": f"{draw(st.integers(1, 10))} days",
            "stops": draw(st.integers(1, 3)),
            "least_buckets": draw(st.integers(1, 2)),
        },
        "sorting": {"on": draw(st.booleans()), "apart": draw(st.booleans()), "missed_share": 0.2},
        "melting": melting,
        "selling": {"part_orders": draw(st.booleans()), "bulk_keeps": "10 kg"},
        "pewter": {"use": draw(st.sampled_from(["beside", "blended", "no"]))},
        "yard": {
            "every": "5 days",
            "least": draw(kg(0, 60)),
            "lead_above": draw(kg(0, 100)),
            "weights": draw(st.sampled_from(["keep", "surplus", "all"])),
            "downgraded_share": 0.3,
            "takes_leaded_clips": draw(st.booleans()),
        },
        "stock": {
            "hard": draw(kg(0, 60)),
            "lots": [{"mass": draw(kg(1, 60)), "cost": "5 EUR", "clip_on_share": 0.7, "steel_share": 0.3}],
        },
        "cash": {"opening": draw(st.one_of(eur(100, 300), eur(0, 100))), "reserve": draw(eur(0, 60))},
        "costs": [
            {"name": "flux", "amount": "0.40 EUR", "per": "melt"},
            {"name": "filters", "amount": "3 EUR", "per": "month"},
            {"name": "tolls", "amount": "1 EUR", "per": "trip"},
            {"name": "tips", "amount": "0.50 EUR", "per": "bucket"},
            {"name": "stamps", "amount": "0.01 EUR", "per": "ingot kg"},
            {"name": "soap", "amount": "0.20 EUR", "per": "session"},
        ],
    }
    if draw(st.booleans()):
        changes["helper"] = {
            "wage": "11 EUR/h",
            "days": ["wed", "sat"],
            "absent_share": 0.3,
            "lifts": draw(st.booleans()),
            "portion": draw(kg(8, 60)),
        }
    if draw(SOMETIMES):
        changes["stopped"] = {"date": "2026-05-20", "gear_resale": "30 EUR", "reason": "neighbours"}
    return business(**changes)


@st.composite
def worlds(draw: Any, of: Business) -> World:
    """A world with chance in every part, from one number."""
    chance = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    start = of.calendar.start
    assert isinstance(start, date)
    horizon = Horizon(start, of.calendar.days or 365, 45.0)
    n = horizon.hours
    rain = np.where(chance.random(n) < 0.1, chance.exponential(1.0, n), 0.0)
    air = Weather.rounded(chance.normal(12, 9, n), chance.weibull(2, n) * 4, rain, np.zeros(n))
    rates = {good: price * chance.uniform(0.5, 1.5, horizon.days) for good, price in YARD.items()}
    found_h = np.sort(chance.uniform(0, n, 3))
    finds = Finds(found_h, chance.uniform(0.3, 3, 3), chance.uniform(0.85, 0.98, 3), chance.uniform(5, 40, 3))
    shops = tuple(_shop(chance, horizon, k) for k in range(draw(st.sampled_from([3, 2, 4, 1, 0]))))
    crowds = tuple(
        _crowd(chance, horizon, channel) for channel in draw(st.sets(st.sampled_from(CHANNELS), min_size=1))
    )
    return world(
        of,
        weather=air,
        rates=Rates(rates),
        supplies=(Supply("shops", shops),),
        crowds=crowds,
        finds=finds,
        marks=Marks(*(chance.random(horizon.days) for _ in range(3))),
    )


CHANNELS = ("private", "bulk", "post", "delivered")


def _shop(chance: np.random.Generator, horizon: Horizon, number: int) -> Shop:
    buckets = int(chance.integers(1, 15))
    drawn = shop(
        f"shop {number}",
        buckets=buckets,
        x_km=float(chance.normal(0, 5)),
        y_km=float(chance.normal(0, 5)),
        known=bool(chance.random() < 0.7),
        asking_h=float(chance.uniform(0, 6)),
        misses_borne=int(chance.integers(0, 4)),
        price_creep_share=0.02,
        open_hours=(((7.0, 19.0),),) * 6 + ((),),
        ready_h=np.sort(chance.uniform(0, horizon.hours, buckets)),
        gone_after_h=chance.exponential(300.0, buckets),
        mass_kg=chance.uniform(20, 65, buckets),
        shares=chance.dirichlet([5, 0.7, 2, 2, 2, 0.3], buckets),
        price=chance.uniform(0, 25, buckets),
        wet=chance.random(buckets) < 0.3,
        missed_u=chance.random(buckets),
    )
    by_contract = drawn.known and drawn.missed_u[0] < 0.3
    return replace(drawn, owed=np.where(drawn.missed_u < 0.7, drawn.price, 0.0)) if by_contract else drawn


def _crowd(chance: np.random.Generator, horizon: Horizon, channel: str) -> Crowd:
    people, needs = 5, 30
    shape = (people, needs)
    size = chance.uniform(80, 200, shape) if channel == "bulk" else chance.uniform(1, 25, shape)
    pays = chance.normal(2.2 if channel == "bulk" else 4.3, 0.6, shape)
    return crowd(
        horizon.days,
        people,
        needs,
        name=channel,
        channel="private" if channel == "delivered" else channel,
        known=3,
        gap_h=chance.exponential(10 * 24.0, shape),
        size_kg=size,
        most_per_kg={"hard": pays, "mixed": pays, "soft": pays * 1.1, "zinced": pays * 0.6},
        patience_h=chance.exponential(10 * 24.0, shape),
        shows_up=chance.random(shape) < 0.85,
        brings_friend=chance.random(shape) < 0.2,
        returns_at_share=chance.uniform(0.4, 0.9, people),
        misses_borne=chance.integers(0, 3, people),
        tin_kg=chance.uniform(0, 1, shape),
        tin_most_per_kg=33.0,
        trip_km=12.0 if channel == "delivered" else 0.0,
        parcel_kg=10.0 if channel == "post" else 0.0,
        parcel_fee=15.0 if channel == "post" else 0.0,
        least_kg=50.0 if channel == "bulk" else 1.0,
    )


@given(st.data())
@settings(max_examples=300)
def test_the_books_of_any_business_add_up(data: Any) -> None:
    of = data.draw(businesses())
    in_world = data.draw(worlds(of))
    audit(play(of, in_world, Asking(), StartUp(20.0, 5.0), tables()), of, in_world)


@given(st.data())
@settings(max_examples=15)
def test_the_same_arguments_give_the_same_run_to_the_bit_and_change_nothing(data: Any) -> None:
    of, other = data.draw(businesses()), data.draw(businesses())
    in_world = data.draw(worlds(of))
    before = _all_of(of, in_world)
    first = _all_of(play(of, in_world, Asking(), None, tables()))
    assert _all_of(play(of, in_world, Asking())) == first
    if other.calendar == of.calendar:
        play(other, in_world, Asking(), None, tables())
    assert _all_of(play(of, in_world, Asking(), None, tables())) == first
    assert _all_of(of, in_world) == before


@given(st.data())
@settings(max_examples=15)
def test_an_option_meets_the_same_world_whichever_was_played_before(data: Any) -> None:
    of = data.draw(businesses())
    in_world = data.draw(worlds(of))
    option = of.model_copy(update={"sorting": of.sorting.model_copy(update={"on": not of.sorting.on})})
    alone = _all_of(play(option, in_world, Asking(), None, tables()))
    fresh = World(**{name: getattr(in_world, name) for name in WORLD})
    play(of, fresh, Asking(), None, tables())
    assert _all_of(play(option, fresh, Asking(), None, tables())) == alone


WORLD = ("horizon", "weather", "rates", "supplies", "crowds", "finds", "marks", "sunrise_h", "sunset_h")


def _all_of(*things: Any) -> list[bytes]:
    """Bytes of everything in them; of a world what was drawn, not what was looked up in it."""
    parts = [
        part
        for thing in things
        for part in ([getattr(thing, name) for name in WORLD[1:]] if isinstance(thing, World) else [thing])
    ]
    return [pickle.dumps(part) for part in parts]
