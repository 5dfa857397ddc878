"""Businesses in which one thing alone is short and all else is plenty: what to grow first is known beforehand.

Chance is off but for the times at which buckets become full and buyers ask. Every number is invented for the tests.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from ruamel.yaml import YAML

from planner.scenario import Scenario
from planner.study import load
from planner.study.growing import grow
from planner.study.growth import Growth
from planner.testing.quiet import SETTINGS

WORLDS = 4
GOODS = ("weights", "lead", "clips", "zinc", "steel", "dross")
MIX = {
    "clip_on_share": 1.0,
    "stick_on_share": 0.0,
    "zinc_share": 0.0,
    "steel_share": 0.0,
    "rubbish_share": 0.0,
    "clip_share": 0.1,
    "varies_share": 0.0,
}


def town(shops: int, known: int, gap_days: float) -> list[dict[str, Any]]:
    """Shops next door that give buckets of 50 kg for nothing, whatever becomes of them."""
    places = {
        f"shop {i}": {"x": "0 km", "y": "0 km", "known": i < known, "gap": f"{gap_days} days"}
        for i in range(shops)
    }
    typical = {
        "mass": "50 kg",
        "price": "0 EUR",
        "waits": "400 days",
        "mix": MIX,
        "wet_share": 0.0,
        "misses_borne": 999,
        "price_creep_share": 0.0,
        "open": "00:00-24:00",
    }
    settings = {"shops": places, "typical": typical, "season": 1.0, "lead_falls_a_year_share": 0.0}
    return [{"name": "town", "model": "core.shops", "settings": settings}]


def casters(people: int, known: int, gap_days: float = 10.0, **settings: Any) -> list[dict[str, Any]]:
    """People who want 10 kg again and again, pay, come, and never stay away."""
    usual = {
        "people": people,
        "known": known,
        "gap": f"{gap_days} days",
        "size": "10 kg",
        "least": "0.1 kg",
        "most": {"hard": "6 EUR/kg", "mixed": "6 EUR/kg"},
        "need_varies_share": 0.0,
        "patience": "5 days",
        "shows_up_share": 1.0,
        "friend_share": 0.0,
        "returns_at_share": 0.0,
        "misses_borne": 999,
        "sale": "0 min",
        "message": "0 min",
    }
    return [{"name": "casters", "model": "core.returning", "settings": usual | settings}]


PLENTY: dict[str, Any] = {
    "owner": {"hour_price": "1 EUR/h", "hours": "00:00-24:00", "priority": ["serve", "melt", "fetch"]},
    "vehicle": {"payload": "1000000 kg"},
    "fetching": {"stops": 50, "scrap_at_most": "300 kg"},
    "melting": {
        "moulds": {"count": 4, "holds": "50 kg", "round": "0.1 min", "each": "0 min"},
        "stop_above": "200 kg",
    },
    "cash": {"opening": "1000 EUR"},
    "supply": town(30, 25, 2.0),
    "demand": casters(400, 200),
    "weather": {"model": "core.constant", "settings": {"temperature": "15 degC"}},
    "rates": {
        "model": "core.fixed",
        "settings": dict.fromkeys(GOODS, "0 EUR/kg"),
    },
    "pricing": {"model": "core.fixed", "settings": {"private": {"hard": "4 EUR/kg", "mixed": "4 EUR/kg"}}},
    "calendar": {"days": 30},
    "study": {"seed": 3, "worth_caring_about": "5 EUR"},
}
"""More of everything than thirty days can use."""

AT_A_PRICE: dict[str, Any] = {
    "rates": {
        "model": "core.fixed",
        "settings": dict.fromkeys(GOODS, "0 EUR/kg") | {"lead": "4 EUR/kg"},
    },
    "melting": {"stop_above": "1000000 kg"},
    "calendar": {"days": 5},
}
"""Every kilogram that is cast counts, sold or not."""

SHORT: dict[str, dict[str, Any]] = {
    "burner": AT_A_PRICE
    | {
        "supply": town(30, 25, 0.5),
        "melting": {
            "stop_above": "1000000 kg",
            "burner": {"power": "4 kW", "wide_bottom_power": 0.0},
            "pot": {"diameter": "20 cm", "height": "15 cm"},
            "moulds": {"round": "0.001 min"},
        },
    },
    "supply": {"supply": town(3, 1, 5.0)},
    "buyers": {"demand": casters(40, 10)},
    "hours": {
        "owner": {"hours": {"sat": "08:00-12:00"}},
        "demand": casters(400, 200, sale="45 min"),
    },
    "moulds": AT_A_PRICE
    | {
        "melting": {
            "stop_above": "1000000 kg",
            "moulds": {"count": 1, "holds": "0.1 kg", "round": "4 min"},
        }
    },
}
"""What is changed so that this alone is short."""


def merged(old: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    """Settings with some changed, key by key; a model's settings and hours by weekday as a whole."""
    found = dict(old)
    for key, value in new.items():
        here = found.get(key)
        inner = isinstance(here, dict) and isinstance(value, dict) and key not in ("hours", "settings")
        found[key] = merged(here, value) if inner else value
    return found


def scenario(*changes: dict[str, Any]) -> Scenario:
    """A scenario of plenty with some changes, read from a file as a user's would be."""
    tree: dict[str, Any] = {"title": "Known beforehand", "currency": "EUR"}
    for one in (dict(SETTINGS), PLENTY, *changes):
        tree = merged(tree, one)
    with TemporaryDirectory() as folder:
        file = Path(folder) / "bound.yaml"
        with file.open("w", encoding="utf-8") as out:
            YAML(typ="safe", pure=True).dump(tree, out)
        return load(file)


@cache
def short_of(what: str) -> Growth:
    """What is found where one thing alone is short."""
    return grow(scenario(SHORT[what]), replicates=WORLDS)
