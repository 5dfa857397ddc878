"""Supply model ``sources.loose``: scrap bought loose by weight, filled into buckets of a size that can be lifted.

In: settings. Out: ``Supply``, each offer a place of its own: one heap, in equal buckets, at its price per kg.
Must not know: who comes for it, how it is lifted.
"""

from __future__ import annotations

import math
from typing import Annotated

import numpy as np
from pydantic import Field

from planner.plugin.contents import FallingLead
from planner.plugin.protocol import Provider
from planner.scenario.section import Section
from planner.scenario.spread import Spread, SpreadDays, SpreadMoneyPerKg, spread_of
from planner.scenario.units import MassKg, PerYear
from planner.world.draw import Draw
from planner.world.parts import Horizon, Shop, Supply
from planner_other_sources.filling import MIX_COLUMNS, shares_of
from planner_other_sources.offers import OWN, PRICE, SIZE, WAITS, Offer, Offered, offers, one_value, stand

MOST_KG = 5000.0
"""Of one offer; what is more is taken as so much (assumed)."""
_WET, _MIX = OWN, OWN + 1


class _Heaps(Section):
    """How often scrap is offered loose, how much of it, and at what price."""

    offers_per_year: PerYear = Field(4.0, ge=0, le=365, description="Offers in an ordinary year (assumed).")
    mass_kg: Annotated[Spread, spread_of("kg", 1, MOST_KG)] = Field(
        Spread("lognormal", (120.0, 80.0), low=1.0, high=MOST_KG), description="Mass of an offer (assumed)."
    )
    price_per_kg: SpreadMoneyPerKg = Field(
        Spread("uniform", (0.20, 0.40), low=0.0), description="Asked for a kilogram (assumed)."
    )
    bucket_kg: MassKg = Field(
        25.0,
        ge=5,
        description="The most that is filled into one bucket; a size that can be lifted (assumed).",
    )
    waits_days: SpreadDays = Field(
        Spread("gamma", (7.0, 4.0), low=0.0), description="How long an offer stands (assumed)."
    )


class LooseSettings(FallingLead, Offered, _Heaps):
    """Scrap bought loose by weight and filled into buckets."""


class Loose:
    """Heaps that are sold by weight; see the module."""

    def __init__(self, settings: LooseSettings) -> None:
        self.settings = settings

    def draw(self, draw: Draw, horizon: Horizon) -> Supply:
        """Every offer within the horizon; a heap is of one mix, wet or dry as a whole."""
        of = self.settings
        found = offers(draw, horizon, of, of.offers_per_year, 1 + MIX_COLUMNS)
        return Supply("", tuple(self._heap(offer, draw, horizon) for offer in found))

    def _heap(self, offer: Offer, draw: Draw, horizon: Horizon) -> Shop:
        of = self.settings
        heap_kg = one_value(of.mass_kg, offer.u[SIZE])
        buckets = max(1, math.ceil(heap_kg / of.bucket_kg - 1e-9))
        mass_kg = np.full(buckets, heap_kg / buckets)
        of_heap = shares_of(of.mix, offer.u[None, _MIX:], of, np.array([offer.t_h]), horizon)
        return stand(
            "loose scrap",
            offer,
            of,
            one_value(of.waits_days, offer.u[WAITS]),
            mass_kg=mass_kg,
            shares=np.repeat(of_heap, buckets, axis=0),
            price=mass_kg * one_value(of.price_per_kg, offer.u[PRICE]),
            wet=np.full(buckets, bool(offer.u[_WET] < of.wet_share)),
            missed_u=draw.uniform(f"offer {offer.number}", buckets),
        )


LOOSE = Provider(
    kind="supply",
    name="loose",
    settings=LooseSettings,
    build=Loose,
    summary="scrap offered loose by weight, filled into buckets that can be lifted",
    example={
        "offers": "6 per year",
        "mass": {"lognormal": {"mean": "120 kg", "sd": "80 kg"}},
        "price": {"uniform": {"low": "0.20 EUR/kg", "high": "0.40 EUR/kg"}},
        "bucket": "25 kg",
    },
)
