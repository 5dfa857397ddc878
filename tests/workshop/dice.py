"""Businesses and worlds thrown from one number.

Hypothesis likes to repeat itself: of eighty businesses that it puts together value by value most are near copies, and
few melt. Here it hands over one number, and everything is thrown from that: no two are alike.
"""

from __future__ import annotations

from random import Random
from typing import Any

import numpy as np

from planner.scenario.business import TASKS, Business
from planner.world.parts import Crowd, Finds, Horizon, Marks, Rates, Supply, Weather, World
from tests.small import YARD, business, world
from tests.workshop.test_any_business import CHANNELS, HOURS, _crowd, _shop

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
METHODS = ("by hand", "two people", "plank", "hand truck", "hoist")


class Dice(Random):
    """Throws settings as a user writes them."""

    def kg(self, low: float, high: float) -> str:
        return f"{self.uniform(low, high):.2f} kg"

    def eur(self, low: float, high: float) -> str:
        return f"{self.uniform(low, high):.2f} EUR"

    def often(self, share: float = 0.5) -> bool:
        return self.random() < share

    def one_of(self, *what: Any) -> Any:
        return self.choice(what)


def thrown_business(dice: Dice) -> Business:
    """Anything that an owner may be, do and own."""
    start = dice.one_of("2026-01-20", "2026-05-04", "2026-11-28")
    changes: dict[str, Any] = {
        "calendar": {"days": dice.randint(20, 70), "start": start, "latitude": f"{dice.uniform(-50, 60):.0f} deg"},
        "owner": {
            "hours": dice.choice(HOURS),
            "priority": dice.sample(TASKS, len(TASKS))[dice.one_of(0, 0, 0, 1) :],
            "asking_a_month": dice.one_of("0 h", "4 h"),
            "holidays": dice.one_of("none", f"{start} to {start}"),
            "other_hours": dice.one_of("none", f"{start} 06:00-20:00"),
        },
        "lifting": {
            "method": dice.choice(METHODS),
            "portion": dice.kg(8, 32),
            "most_a_day": dice.one_of(60, 30, dice.randint(2, 20)),
        },
        "vehicle": {
            "payload": dice.one_of(dice.kg(200, 600), dice.kg(90, 250)),
            "rear_axle_spare": dice.kg(60, 500),
            "overload_accepted": dice.often(0.3),
        },
        "fetching": {
            "every": f"{dice.randint(1, 10)} days",
            "stops": dice.randint(1, 3),
            "least_buckets": dice.one_of(1, 1, 2),
            "days": dice.one_of(list(DAYS), ["sat", "fri"]),
        },
        "sorting": {"on": dice.often(), "apart": dice.often(), "missed_share": 0.2},
        "melting": _thrown_melting(dice),
        "selling": {"part_orders": dice.often(), "bulk_keeps": "10 kg"},
        "pewter": {"use": dice.one_of("beside", "blended", "no")},
        "yard": {
            "every": "5 days",
            "least": dice.kg(0, 60),
            "lead_above": dice.kg(0, 100),
            "weights": dice.one_of("keep", "surplus", "all"),
            "downgraded_share": 0.3,
            "takes_leaded_clips": dice.often(0.8),
        },
        "stock": {
            "hard": dice.one_of("0 kg", dice.kg(0, 120)),
            "soft": dice.one_of("0 kg", dice.kg(0, 20)),
            "lots": [{"mass": dice.kg(1, 60), "cost": "5 EUR", "clip_on_share": 0.7, "steel_share": 0.3}],
        },
        "cash": {"opening": dice.one_of("400 EUR", dice.eur(100, 400), dice.eur(0, 100)), "reserve": dice.eur(0, 60)},
        "costs": [
            {"name": "flux", "amount": "0.40 EUR", "per": "melt"},
            {"name": "filters", "amount": "3 EUR", "per": "month"},
            {"name": "tolls", "amount": "1 EUR", "per": "trip"},
            {"name": "tips", "amount": "0.50 EUR", "per": "bucket"},
            {"name": "stamps", "amount": "0.01 EUR", "per": "ingot kg"},
            {"name": "soap", "amount": "0.20 EUR", "per": "session"},
        ],
    }  # fmt: skip
    if dice.often(0.4):
        days = dice.sample(DAYS, dice.randint(1, 7))
        changes["helper"] = {"wage": "11 EUR/h", "days": days, "absent_share": 0.3, "lifts": dice.often(0.7)}
    if dice.often(0.15):
        changes["stopped"] = {"date": "2026-05-20", "gear_resale": "30 EUR", "reason": "neighbours"}
    return business(**changes)


def _thrown_melting(dice: Dice) -> dict[str, Any]:
    power_kw = dice.one_of(dice.uniform(0.5, 3), dice.uniform(3, 20), dice.uniform(6, 20))
    return {
        "on": dice.often(0.9),
        "place": dice.one_of("roof", "open air", "roof", "open air", "enclosed"),
        "extraction": True,
        "co_alarm": dice.often(0.7),
        "light": dice.often(0.7),
        "burner": {"power": f"{power_kw:.2f} kW", "turned_down": dice.often()},
        "pot": {"diameter": f"{dice.uniform(15, 40):.1f} cm", "height": f"{dice.uniform(8, 20):.1f} cm"},
        "pots": dice.one_of(1, 1, 2, 3, 4),
        "moulds": {"count": dice.randint(1, 16)},
        "heel": dice.one_of("0 kg", dice.kg(0, 6)),
        "least_lead": dice.kg(1, 15),
        "lid": dice.often(),
        "skirt": dice.often(0.3),
        "screen": dice.often(0.3),
        "thermometer": dice.often(),
        "dry_first": dice.often(0.8),
        "stand": "600 kg",
        "stop_above": dice.kg(60, 300),
        "fuel_price": "2.5 EUR/kg",
        "cylinder": {"number": dice.randint(1, 2), "content": dice.one_of("9 kg", dice.kg(1, 9))},
        "zinc": {"noticed": dice.often(), "overheats_share": 0.8},
        "set_up": dice.one_of("0 min", "30 min"),
    }


def thrown_world(of: Business, dice: Dice) -> World:
    """A world with chance in every part, for this business's days."""
    chance = np.random.default_rng(dice.getrandbits(64))
    start = of.calendar.start
    assert start is not None
    horizon = Horizon(start, of.calendar.days or 365, 45.0)
    n = horizon.hours
    rain = np.where(chance.random(n) < 0.05, chance.exponential(1.0, n), 0.0)
    air = Weather.rounded(
        chance.normal(12, 9, n), chance.weibull(2, n) * dice.uniform(1, 5), rain, np.zeros(n)
    )
    rates = {good: price * chance.uniform(0.5, 1.5, horizon.days) for good, price in YARD.items()}
    finds = Finds(
        np.sort(chance.uniform(0, n, 3)), chance.uniform(0.3, 3, 3), chance.uniform(0.85, 0.98, 3),
        chance.uniform(5, 40, 3),
    )  # fmt: skip
    shops = tuple(_shop(chance, horizon, k) for k in range(dice.randint(1, 4)))
    crowds: tuple[Crowd, ...] = tuple(
        _crowd(chance, horizon, channel) for channel in dice.sample(CHANNELS, dice.randint(1, len(CHANNELS)))
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
