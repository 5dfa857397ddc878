"""One bucket by hand: what a single one gives and costs can be reckoned on paper.

In: nothing. Out: rows. Must not know: how the run goes about it.

A bucket of 50 kg, 40 % of it lead of clip-on weights, 5 % their clips, 10 % stick-on weights, 45 % steel, fetched from
a shop 5 km away for 10, melted in one pot, its ingots sold to one buyer. The air has 15 degC and does not move.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import ceil
from typing import Final

import numpy as np

from planner.testing.quiet import AIR_C, Workshop, business_of, buyers_of, shop_of, world_of
from planner.testing.rows import Row, for_sure
from planner.trade.metals import IRON, LEAD
from planner.workshop.result import Run

FAMILY: Final = "one bucket"
BY_HAND: Final = "by hand"
BUCKET_KG, BUCKET_PRICE, KM_AWAY, PRICE_PER_KM = 50.0, 10.0, 5.0, 0.4
HARD, CLIPS, SOFT, STEEL = 0.40, 0.05, 0.10, 0.45
LEAD_KG: Final = BUCKET_KG * (HARD + SOFT)
STEEL_KG: Final = BUCKET_KG * (CLIPS + STEEL)
POT_KG, POUR_C = 5.0, 370.0
DROSS_SHARE: Final = 0.02
MOULDS, HOLDS_KG, ROUND_MIN = 4, 1.8, 4.0
LOAD_MIN, SKIM_MIN, FLUX_MIN, SOLID_MIN = 2.0, 4.0, 6.0, 8.0
PRICE_PER_KG, OPENING, PROPANE_PER_KG = 4.2, 100.0, 2.5
HEAT_J_PER_KG_PROPANE: Final = 46.338e6
BURNER_W: Final = 10_000.0


def played() -> Run:
    """The bucket's run."""
    business = business_of(
        calendar={"days": 10},
        owner={"priority": ["serve", "fetch", "melt"]},
        vehicle={"payload": "400 kg", "cost": f"{PRICE_PER_KM} EUR/km"},
        melting={
            "burner": {"power": f"{BURNER_W} W", "turned_down": False},
            "pot": {"mass": f"{POT_KG} kg", "diameter": "35 cm", "height": "25 cm"},
            "cylinder": {"number": 4},
            "moulds": {"count": MOULDS, "holds": f"{HOLDS_KG} kg", "round": f"{ROUND_MIN} min"},
            "load": f"{LOAD_MIN} min",
            "skim": f"{SKIM_MIN} min",
            "flux": f"{FLUX_MIN} min",
            "solid": f"{SOLID_MIN} min",
            "dross_share": DROSS_SHARE,
            "fuel_price": f"{PROPANE_PER_KG} EUR/kg",
        },
        cash={"opening": f"{OPENING} EUR"},
    )
    shares = np.array([[HARD, CLIPS, SOFT, 0.0, STEEL, 0.0]])
    shop = replace(shop_of(np.array([1.0]), BUCKET_KG, shares, BUCKET_PRICE), x_km=KM_AWAY)
    buyer = buyers_of(business, np.array([100.0]), 0.5, LEAD_KG * (1.0 - DROSS_SHARE))
    mixed = replace(buyer, most_per_kg={"mixed": buyer.most_per_kg["hard"]})
    return Workshop(business, PRICE_PER_KG).play(world_of(business, [shop], [mixed]))


def rows() -> Iterator[Row]:
    """What comes of the bucket."""
    run = played()
    (melt,) = run.melts
    ingots_kg = LEAD_KG * (1.0 - DROSS_SHARE)
    yield _row("ingots", "kg", ingots_kg, melt.poured_kg, f"lead less {DROSS_SHARE:.0%} dross, {BY_HAND}")
    yield _row("skimmed clips and steel", "kg", STEEL_KG, melt.clip_kg + melt.steel_kg, BY_HAND)
    yield _row(
        "heat into what was charged", "MJ", heat_mj(), melt.useful_j / 1e6, f"m c dT + fusion, {BY_HAND}"
    )
    rounds = ceil(ingots_kg / (MOULDS * HOLDS_KG))
    hands_min = LOAD_MIN + SKIM_MIN + FLUX_MIN + rounds * ROUND_MIN + SOLID_MIN
    found_min = 60.0 * (melt.lit_h - melt.heating_h)
    yield _row("minutes of hands at the pot", "min", hands_min, found_min, f"{rounds} rounds, {BY_HAND}")
    burnt_h = melt.lit_h - (LOAD_MIN + SOLID_MIN) / 60.0
    fuel_kg = BURNER_W * 3600.0 * burnt_h / HEAT_J_PER_KG_PROPANE
    yield _row("propane, flame never turned down", "kg", fuel_kg, melt.fuel_kg, f"power x time, {BY_HAND}")
    cash = OPENING - BUCKET_PRICE - 2.0 * KM_AWAY * PRICE_PER_KM - melt.fuel_kg * PROPANE_PER_KG
    cash += ingots_kg * PRICE_PER_KG
    yield _row("cash at the end", "EUR", cash, run.months[-1].cash, BY_HAND)


def heat_mj() -> float:
    """Heat that brings the charge from the air's temperature to that of pouring [MJ]."""
    rise_k = POUR_C - AIR_C
    steel = STEEL_KG * IRON.solid_j_per_kg_k * rise_k
    below, above = LEAD.melting_c - AIR_C, POUR_C - LEAD.melting_c
    warm = LEAD.solid_j_per_kg_k * below + LEAD.liquid_j_per_kg_k * above
    return (steel + LEAD_KG * (warm + LEAD.fusion_j_per_kg)) / 1e6


def _row(case: str, unit: str, expected: float, got: float, source: str) -> Row:
    return for_sure(FAMILY, f"one bucket: {case}", unit, expected, got, 1e-6 * expected, source)
