"""Businesses and worlds in which nothing happens by itself but what is put in: no chance, no wind, no way to go.

In: settings as a user writes them, shops, buyers, yard prices. Out: a business, a world, a pricing model, runs.
Must not know: which answer is expected.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Final

import numpy as np

from planner.engine.player import uncollected
from planner.scenario.business import Business
from planner.workshop.play import play
from planner.workshop.premises import Premises, StartUp, Tables, premises
from planner.workshop.result import Run
from planner.world.build import daylight_of, horizon_of
from planner.world.parts import (
    GOODS,
    Alloy,
    Channel,
    Crowd,
    Finds,
    FloatArray,
    Marks,
    PriceView,
    Rates,
    Shop,
    Supply,
    Weather,
    World,
)

CURRENCY: Final = "EUR"
START: Final = date(2026, 1, 1)
ALWAYS: Final = (((0.0, 24.0),),) * 7
EVER_H: Final = 1e9
AIR_C: Final = 15.0

# Everything that would take time or money beside the task that is looked at is set to nothing.
SETTINGS: Final[Mapping[str, Any]] = {
    "calendar": {"days": 90, "start": START.isoformat()},
    "owner": {"hour_price": "0 EUR/h", "hours": "00:00-24:00", "priority": ["melt", "fetch"]},
    "lifting": {
        "carried_share": 0.0,
        "time_per_lift": "0 min",
        "time_per_stop": "0 min",
        "most_a_day": 1_000_000,
    },
    "vehicle": {"payload": "50 kg", "driver": "0 kg", "cost": "0 EUR/km"},
    "fetching": {"every": "0.001 days", "stop": "0 min", "scrap_at_most": "0.001 kg"},
    "melting": {
        "place": "roof",
        "light": True,
        "thermometer": True,
        "burner": {"power": "4000 kW"},
        "pot": {"mass": "0.001 kg", "diameter": "40 cm", "height": "30 cm"},
        "cylinder": {"number": 4000, "swap_below_share": 0.99},
        "moulds": {"count": 1, "holds": "0.4 kg", "round": "4 min", "each": "0 min"},
        "load": "0 min",
        "skim": "0 min",
        "flux": "0 min",
        "solid": "0 min",
        "set_up": "0 min",
        "clean_up": "0 min",
        "least_lead": "0 kg",
        "slack_share": 0.0,
        "dross_share": 0.0,
        "dross_hourly_share": 0.0,
        "stop_above": "1000000000 kg",
        "stand": "1000000 kg",
        "fuel_price": "0 EUR/kg",
    },
    "cash": {"opening": "0 EUR"},
}


def business_of(**changes: Any) -> Business:
    """A business of these settings, with some changed."""
    return Business.model_validate(_merged(SETTINGS, changes), context={"currency": CURRENCY})


def _merged(old: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, Any]:
    merged = dict(old)
    for key, value in new.items():
        here = merged.get(key)
        merged[key] = _merged(here, value) if isinstance(here, dict) and isinstance(value, dict) else value
    return merged


def world_of(
    business: Business,
    shops: Sequence[Shop] = (),
    crowds: Sequence[Crowd] = (),
    yard: Rates | None = None,
    wind_m_s: float = 0.0,
) -> World:
    """A world of the business's days: the same hour again and again."""
    horizon = horizon_of(business)
    hours, days = np.ones(horizon.hours), np.ones(horizon.days)
    rises, sets = daylight_of(horizon)
    return World(
        horizon=horizon,
        weather=Weather.rounded(AIR_C * hours, wind_m_s * hours, 0.0 * hours, 0.0 * hours),
        rates=yard or Rates(dict.fromkeys(GOODS, 0.0 * days)),
        supplies=(Supply("shops", tuple(shops)),),
        crowds=tuple(crowds),
        finds=Finds(*(np.empty(0) for _ in range(4))),
        marks=Marks(days, days, days),
        sunrise_h=rises,
        sunset_h=sets,
    )


def shop_of(ready_h: FloatArray, mass_kg: float, shares: FloatArray, price: float = 0.0) -> Shop:
    """A shop next door whose buckets wait for ever; ``shares`` has shape (buckets, 6)."""
    n = ready_h.size
    return Shop(
        name="next door",
        x_km=0.0,
        y_km=0.0,
        known=True,
        asking_h=0.0,
        says_yes=True,
        misses_borne=10**9,
        price_creep_share=0.0,
        open_hours=ALWAYS,
        ready_h=ready_h,
        gone_after_h=np.full(n, EVER_H),
        mass_kg=np.full(n, mass_kg),
        shares=shares,
        price=np.full(n, price),
        wet=np.zeros(n, bool),
        missed_u=np.full(n, 0.5),
    )


def buyers_of(business: Business, asks_h: FloatArray, sale_h: float, size_kg: float = 1.0) -> Crowd:
    """Buyers who each ask once, at these hours, pay what is asked, and wait for ever."""
    n = asks_h.size
    shape = (n, 1)
    return Crowd(
        name="buyers",
        channel="private",
        known=n,
        operational_h=np.linspace(0.0, horizon_of(business).hours, horizon_of(business).days + 1),
        gap_h=asks_h.reshape(shape),
        size_kg=np.full(shape, size_kg),
        most_per_kg={"hard": np.full(shape, EVER_H)},
        patience_h=np.full(shape, EVER_H),
        shows_up=np.ones(shape, bool),
        brings_friend=np.zeros(shape, bool),
        returns_at_share=np.zeros(n),
        misses_borne=np.zeros(n, dtype=np.int64),
        tin_kg=np.zeros(shape),
        tin_most_per_kg=0.0,
        sale_h=sale_h,
        message_h=0.0,
        trip_km=0.0,
        parcel_kg=0.0,
        parcel_fee=0.0,
        least_kg=size_kg,
    )


class Asking:
    """A pricing model that always asks the same."""

    def __init__(self, per_kg: float = 1.0) -> None:
        self.per_kg = per_kg

    def quote(self, view: PriceView, alloy: Alloy, mass_kg: float, channel: Channel) -> float:
        """Price asked [currency/kg]."""
        del view, alloy, mass_kg, channel
        return self.per_kg

    def tin(self, view: PriceView) -> float:
        """Price asked for tin [currency/kg]."""
        del view
        return self.per_kg


class Workshop:
    """One business, played through many worlds: what follows from its settings is worked out once."""

    def __init__(self, business: Business, per_kg: float = 1.0, start_up_cost: float = 0.0) -> None:
        self.business = business
        self.start_up = StartUp(start_up_cost)
        self._pricing = Asking(per_kg)
        self._known: Premises = premises(business)
        self._tables = Tables()

    def play(self, world: World) -> Run:
        """One run."""
        with uncollected():
            return play(
                self.business, world, self._pricing, self.start_up, self._tables, self._known, diary=False
            )
