"""Which way the results must move: the directions in which a wrong model gives itself away."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from planner.workshop.result import Run
from planner.world.parts import Crowd, Rates, Shop
from tests.small import YARD, Asking, business, crowd, shop, world
from tests.workshop.books import played

DAYS = 120
YARD_OFTEN = {"least": "20 kg", "open": "00:00-24:00", "every": "7 days"}


def shops(count: int) -> tuple[Shop, ...]:
    """Shops alike, each with a bucket every five days that waits for three weeks."""
    return tuple(shop(f"shop {k}", 5.0, 24, x_km=3.0 + 0.1 * k, misses_borne=999) for k in range(count))


def buyers(people: int) -> tuple[Crowd, ...]:
    """Casters who want 10 kg every 20 days."""
    return (crowd(DAYS, people, misses_borne=np.full(people, 999)),)


def year(supply: int, demand: int, rates: dict[str, float] | None = None, **changes: Any) -> Run:
    of = business(**({"yard": YARD_OFTEN, "fetching": {"every": "7 days"}} | changes))
    prices = {good: np.full(DAYS, price) for good, price in (YARD | (rates or {})).items()}
    in_world = world(of, shops=shops(supply), crowds=buyers(demand), rates=Rates(prices))
    return played(of, in_world, Asking(4.0))


def profit(run: Run) -> float:
    return run.measures["profit"]


def held_back(run: Run) -> str:
    lost: dict[str, float] = {}
    for row in run.limits:
        lost[row.limit] = lost.get(row.limit, 0.0) + row.hours
    return max(lost, key=lambda name: lost[name])


FEW, MANY = 4, 60
NO_STOP = {"stop_above": "9999 kg"}


def test_with_few_buyers_doubled_supply_does_not_double_the_profit() -> None:
    one, two = year(1, FEW), year(2, FEW)
    assert profit(two) < 1.25 * profit(one)
    assert two.measures["takings"] < 1.1 * one.measures["takings"]


def test_with_many_buyers_doubled_supply_brings_much_more() -> None:
    one, two = year(1, MANY), year(2, MANY)
    assert profit(two) > 1.6 * profit(one)


def test_one_more_evening_is_worth_almost_nothing_when_buyers_bind() -> None:
    more = {"mon-fri": "18:00-21:00", "sat": "09:00-17:00", "sun": "18:00-21:00"}
    now, then = year(2, FEW), year(2, FEW, owner={"hours": more})
    assert held_back(now) == "buyers"
    assert profit(then) == pytest.approx(profit(now), rel=0.03)


def test_one_more_day_is_worth_something_when_hours_bind() -> None:
    few, more = {"sat": "09:00-17:00"}, {"sat": "09:00-17:00", "sun": "09:00-17:00"}
    now, then = (year(3, MANY, owner={"hours": hours}, melting=NO_STOP) for hours in (few, more))
    assert now.measures["lost_hours_h"] > 0
    assert profit(then) > 1.2 * profit(now)


def test_unlimited_buyers_move_the_limit_to_supply_or_hours() -> None:
    assert held_back(year(2, FEW)) == "buyers"
    assert held_back(year(2, MANY)) in ("supply", "pickups", "hours")
    assert held_back(year(1, MANY, fetching={"every": "1 days"})) == "supply"
    small = {"burner": {"power": "4 kW"}} | NO_STOP
    assert held_back(year(6, 400, melting=small, fetching={"scrap_at_most": "9999 kg"})) == "hours"


@pytest.mark.parametrize("good", ["clips", "dross", "lead", "zinc", "steel"])
def test_only_the_price_of_weights_moves_what_is_sold_untouched(good: str) -> None:
    untouched = {"melting": {"on": False}, "yard": YARD_OFTEN | {"weights": "all"}}
    priced, worthless = year(1, FEW, **untouched), year(1, FEW, {good: 0.0}, **untouched)
    assert worthless.measures == pytest.approx(priced.measures, nan_ok=True)
    assert profit(year(1, FEW, {"weights": 0.0}, **untouched)) < profit(priced)


def test_worthless_clips_cost_whoever_melts() -> None:
    assert profit(year(1, FEW, {"clips": 0.0})) < profit(year(1, FEW))


def test_a_dearer_price_that_buyers_do_not_pay_loses_them() -> None:
    of = business()
    asked, dear = (
        played(of, world(of, shops=shops(1), crowds=buyers(FEW)), Asking(price)) for price in (4.0, 5.0)
    )
    assert asked.measures["takings"] > 0
    assert dear.measures["takings"] == 0.0


def test_melting_for_the_yard_alone_earns_almost_nothing_an_hour() -> None:
    """Against selling to casters, the same supply and gear."""
    for_yard = year(2, 0, yard=YARD_OFTEN | {"lead_above": "0 kg"}, melting=NO_STOP)
    for_casters = year(2, MANY, melting=NO_STOP)
    assert for_yard.measures["yard_lead_kg"] > 300.0
    assert for_yard.measures["profit_per_hour"] < 0.35 * for_casters.measures["profit_per_hour"]


def test_a_bulk_buyer_takes_what_local_buyers_leave() -> None:
    of = business(yard=YARD_OFTEN, fetching={"every": "7 days"})
    shape = (1, 40)
    bulk = crowd(
        DAYS,
        1,
        name="bulk",
        channel="bulk",
        size_kg=np.full(shape, 100.0),
        least_kg=50.0,
        sale_h=1.0,
        gap_days=15.0,
    )
    alone = played(of, world(of, shops=shops(2), crowds=buyers(FEW)))
    both = played(of, world(of, shops=shops(2), crowds=(*buyers(FEW), bulk)))
    assert both.measures["bulk_kg"] > 100.0
    assert profit(both) > profit(alone)
    assert both.measures["takings"] == pytest.approx(alone.measures["takings"], rel=0.1)


def test_more_cash_than_is_needed_changes_nothing() -> None:
    enough, plenty = (year(1, FEW, cash={"opening": f"{eur} EUR"}) for eur in (500, 5000))
    assert profit(plenty) == pytest.approx(profit(enough))
