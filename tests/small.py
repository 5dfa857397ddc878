"""A small business and a hand-made world, chance off: the start of many tests.

Every number here is invented for the tests.
"""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import Any

import numpy as np

from planner.scenario.business import Business
from planner.trade.daylight import daylight
from planner.workshop.premises import Tables
from planner.world.parts import (
    GOODS,
    Crowd,
    Finds,
    Horizon,
    Marks,
    Rates,
    Shop,
    Supply,
    Weather,
    World,
)

WEEK = (((0.0, 24.0),),) * 7
WHOLE = ("hours", "open")
"""Tables by weekday are replaced as a whole."""
YARD = {"weights": 0.4, "lead": 1.3, "clips": 0.1, "zinc": 0.8, "steel": 0.1, "dross": 0.2}


def settings(**changes: Any) -> dict[str, Any]:
    """Settings of a small business as a user would write them, sections replaced key by key."""
    base: dict[str, Any] = {
        "calendar": {"days": 120, "start": "2026-03-02", "latitude": "45 deg"},
        "owner": {
            "hour_price": "10 EUR/h",
            "hours": {"mon-fri": "18:00-21:00", "sat": "09:00-17:00", "sun": "none"},
        },
        "lifting": {"portion": "30 kg"},
        "vehicle": {"payload": "400 kg"},
        "fetching": {"every": "7 days"},
        "melting": {
            "place": "roof",
            "light": True,
            "burner": {"power": "10 kW"},
            "stand": "150 kg",
        },
        "cash": {"opening": "500 EUR"},
    }
    for section, values in changes.items():
        here = base.get(section)
        base[section] = (
            _merged(here, values) if isinstance(here, dict) and isinstance(values, dict) else values
        )
    return base


def _merged(old: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    both = {key: old.get(key, new.get(key)) for key in {**old, **new}}
    for key, value in new.items():
        here = old.get(key)
        merges = isinstance(here, dict) and isinstance(value, dict) and key not in WHOLE
        both[key] = _merged(here, value) if merges else value
    return both


def business(**changes: Any) -> Business:
    """The small business with some settings changed."""
    return Business.model_validate(settings(**changes), context={"currency": "EUR"})


def shop(name: str = "shop A", every_days: float = 10.0, buckets: int = 12, **changes: Any) -> Shop:
    """A shop 3 km away that fills a 50 kg bucket every so many days."""
    shares = np.tile([0.45, 0.06, 0.14, 0.15, 0.17, 0.03], (buckets, 1))
    values: dict[str, Any] = {
        "name": name,
        "x_km": 3.0,
        "y_km": 0.0,
        "known": True,
        "asking_h": 0.0,
        "says_yes": True,
        "misses_borne": 3,
        "price_creep_share": 0.0,
        "open_hours": WEEK,
        "ready_h": np.arange(buckets) * every_days * 24.0,
        "gone_after_h": np.full(buckets, 21 * 24.0),
        "mass_kg": np.full(buckets, 50.0),
        "shares": shares,
        "price": np.full(buckets, 10.0),
        "wet": np.zeros(buckets, bool),
        "missed_u": np.full(buckets, 0.5),
    }
    return Shop(**(values | changes))


def crowd(days: int, people: int = 4, needs: int = 40, gap_days: float = 20.0, **changes: Any) -> Crowd:
    """Casters who want 10 kg every so many days and pay up to 4 a kg."""
    shape = (people, needs)
    gaps = np.full(shape, gap_days * 24.0)
    gaps[:, 0] = (np.arange(people) + 1) * gap_days * 24.0 / (people + 1)
    values: dict[str, Any] = {
        "name": "casters",
        "channel": "private",
        "known": people,
        "operational_h": np.arange(days + 1) * 24.0,
        "gap_h": gaps,
        "size_kg": np.full(shape, 10.0),
        "most_per_kg": {
            "hard": np.full(shape, 4.5),
            "mixed": np.full(shape, 4.5),
            "soft": np.full(shape, 4.8),
        },
        "patience_h": np.full(shape, 14 * 24.0),
        "shows_up": np.ones(shape, bool),
        "brings_friend": np.zeros(shape, bool),
        "returns_at_share": np.full(people, 0.5),
        "misses_borne": np.full(people, 2),
        "tin_kg": np.zeros(shape),
        "tin_most_per_kg": 0.0,
        "sale_h": 0.5,
        "message_h": 0.05,
        "trip_km": 0.0,
        "parcel_kg": 0.0,
        "parcel_fee": 0.0,
        "least_kg": 1.0,
    }
    return Crowd(**(values | changes))


def weather(days: int, temperature_c: float = 15.0, wind_m_s: float = 2.0, rain_mm: float = 0.0) -> Weather:
    """The same hour again and again."""
    n = days * 24
    return Weather.rounded(
        np.full(n, temperature_c), np.full(n, wind_m_s), np.full(n, rain_mm), np.full(n, 200.0)
    )


def world(
    of: Business,
    shops: tuple[Shop, ...] | None = None,
    crowds: tuple[Crowd, ...] | None = None,
    **changes: Any,
) -> World:
    """A world of the business's horizon."""
    calendar = of.calendar
    days = calendar.days if calendar.days is not None else 365 * calendar.years
    horizon = Horizon(calendar.start or date(2026, 3, 2), days, calendar.latitude_deg)
    rise, sets = daylight(calendar.latitude_deg, horizon.day_of_year)
    values: dict[str, Any] = {
        "horizon": horizon,
        "weather": weather(days),
        "rates": Rates({good: np.full(days, YARD[good]) for good in GOODS}),
        "supplies": (Supply("shops", (shop(),) if shops is None else shops),),
        "crowds": (crowd(days),) if crowds is None else crowds,
        "finds": Finds(*(np.zeros(0) for _ in range(4))),
        "marks": Marks(np.full(days, 0.99), np.full(days, 0.99), np.full(days, 0.99)),
        "sunrise_h": np.asarray(rise, float),
        "sunset_h": np.asarray(sets, float),
    }
    return World(**(values | changes))


class Asking:
    """A pricing model that always asks the same."""

    def __init__(self, per_kg: float = 4.0, tin_per_kg: float = 30.0) -> None:
        self.per_kg, self.tin_per_kg = per_kg, tin_per_kg

    def quote(self, view: object, alloy: str, mass_kg: float, channel: str) -> float:
        """Price asked [currency/kg]."""
        del view, mass_kg
        return self.per_kg * (0.5 if channel == "bulk" or alloy == "zinced" else 1.0)

    def tin(self, view: object) -> float:
        """Price asked for tin [currency/kg]."""
        del view
        return self.tin_per_kg


@cache
def tables() -> Tables:
    """Heat tables that all tests of a process share; they hold no state of a run."""
    return Tables()
