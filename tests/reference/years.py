"""The example played in the same few worlds for many tests, with more options than it offers its users."""

from __future__ import annotations

import tempfile
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from ruamel.yaml import YAML

from planner.engine.player import Player, Setting
from planner.plugin.registry import Registry
from planner.scenario import Scenario, load
from planner.scenario.business import Business
from planner.workshop.measures import LIMITS, limit_measure
from planner.workshop.result import MeltRow, Run
from planner.world.build import Cache

EXAMPLE = Path(__file__).parents[2] / "scenarios" / "example.yaml"
SEED, WORLDS = 2, 6
EXPECTED = "expected"
BUCKET_KG = 45.0
"""A melt that charged at least this is one of a whole bucket; a short evening's is not."""

TODAY, STOVE_10_KW, STOVE_16_KW = "as today", "bigger burner", "burner and pot"
SMALL, SMALL_STILL, SMALL_DRAUGHT = "3 kW", "3 kW in still air", "3 kW in a draught"
FORGE, TO_THE_YARD = "50 kW and 20 moulds", "melting for the yard"
CROWDED, MORE_SUPPLY, EVENING = "any number of buyers", "shops twice as busy", "one more evening"
UNTOUCHED, CLIPS_WORTHLESS = "sell untouched", "sell untouched, clips worthless"


def lasting(wind: str, temperature: str = "2 degC") -> dict[str, Any]:
    """The same weather in every hour; a fifth of this wind reaches the pot of the example."""
    return {"model": "core.constant", "settings": {"wind": wind, "temperature": temperature}}


_MANY = {"demand.casters.settings.people": 400, "demand.casters.settings.known": 400}
_PLENTY = {
    "supply.town.settings.season": {"times": 3},
    "fetching.every": "7 days",
    "fetching.scrap_at_most": "2000 kg",
}
_NOBODY = {"demand.casters.settings.known": 0, "demand.anglers.settings.known": 0}
_CAMP = {"melting.burner.power": "3 kW"}
VARIANTS: dict[str, tuple[str, dict[str, Any]]] = {
    SMALL: (TODAY, _CAMP),
    SMALL_STILL: (TODAY, _CAMP | {"weather": lasting("0.3 m/s")}),
    # .8 m/s at the pot and 2 degC, as in one_bucket.yaml
    SMALL_DRAUGHT: (TODAY, _CAMP | {"weather": lasting("4 m/s")}),
    FORGE: (STOVE_16_KW, _MANY | _PLENTY | {"melting.burner.power": "50 kW", "melting.cylinder.number": 4,
                                           "melting.moulds.count": 20, "melting.stop_above": "900 kg"}),
    TO_THE_YARD: (STOVE_16_KW, _NOBODY | {"yard.lead_above": "0 kg", "melting.stop_above": "900 kg"}),
    CROWDED: (TODAY, _MANY),
    MORE_SUPPLY: (TODAY, {"supply.town.settings.season": {"times": 2}}),
    EVENING: (TODAY, {"owner.hours.wed": "17:30-21:00"}),
    CLIPS_WORTHLESS: (UNTOUCHED, {"rates.settings.clips.mean": "0 EUR/kg"}),
}  # fmt: skip


@cache
def scenario() -> Scenario:
    """The example with ``VARIANTS`` among its options, read from a file as a user's would be."""
    yaml = YAML(typ="safe", pure=True)
    yaml.default_flow_style = False  # else a key that is broken over two lines cannot be read back
    tree = yaml.load(EXAMPLE.read_text(encoding="utf-8"))
    for name, (base, changes) in VARIANTS.items():
        option = deepcopy(tree["options"][base])
        tree["options"][name] = option
        option["summary"] = name
        option["changes"] = option.get("changes", {}) | deepcopy(changes)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "example.yaml"
        with file.open("w", encoding="utf-8") as out:
            yaml.dump(tree, out)
        return load(file, Registry())


@cache
def player() -> Player:
    """What plays them."""
    return Player(Setting(scenario(), SEED))


@cache
def _of_world(outlook: str, replicate: int) -> Cache:
    return {}


@cache
def _run(option: str, outlook: str, replicate: int) -> Run:
    return player().run(option, outlook, replicate, _of_world(outlook, replicate))


def runs(option: str, outlook: str = EXPECTED, worlds: int = WORLDS) -> list[Run]:
    """The first worlds of an option, each played once a session."""
    return [_run(option, outlook, i) for i in range(worlds)]


def business(option: str) -> Business:
    """An option's settings."""
    return scenario().business(option)


def melts(option: str, least_kg: float = 0.0) -> list[MeltRow]:
    """Melts of all worlds that charged at least so much."""
    return [m for run in runs(option) for m in run.melts if m.charged_kg >= least_kg]


def poured(option: str) -> list[MeltRow]:
    """Melts of a whole bucket or more that were not broken off."""
    return [m for m in melts(option, BUCKET_KG) if not m.cause]


def mean(option: str, measure: str) -> float:
    """Mean of a measure over the worlds."""
    return float(np.mean([run.measures[measure] for run in runs(option)]))


def bucket_kg(option: str) -> float:
    """Mean mass of a bucket."""
    return float(np.mean([lot.mass_kg for run in runs(option) for lot in run.lots]))


def buckets_melted(option: str) -> float:
    """Buckets that went through the pot, in all worlds."""
    return sum(m.charged_kg for m in melts(option)) / bucket_kg(option)


def ingots_a_bucket_kg(option: str) -> float:
    """Ingots from one bucket."""
    return sum(m.poured_kg for m in melts(option)) / buckets_melted(option)


def all_in_h(option: str) -> float:
    """The owner's hours for one bucket from the shop to its last buyer, each kind over what went through it."""
    sold_kg = sum(mean(option, kg) for kg in ("sold_kg", "bulk_kg", "post_kg"))
    bought = mean(option, "fetch_hours_h") / mean(option, "buckets")
    sorted_h = mean(option, "sort_hours_h") / mean(option, "buckets")
    melted = mean(option, "melt_hours_h") * WORLDS / buckets_melted(option)
    return bought + sorted_h + melted + mean(option, "sell_hours_h") / sold_kg * ingots_a_bucket_kg(option)


def lost_h(option: str) -> dict[str, float]:
    """Free hours a year that could not be used, by what held the business back; waiting with no task left out."""
    return {name: mean(option, limit_measure(name)) for name, _ in LIMITS if name != "nothing to do"}
