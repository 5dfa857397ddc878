"""Supply model ``sources.clearouts``: now and then somebody clears out, many buckets at once, cheap, for a few days.

In: settings. Out: ``Supply``, each clear-out a place of its own with all its buckets.
Must not know: who comes for them.
"""

from __future__ import annotations

from typing import Annotated

import numpy as np
from pydantic import Field

from planner.plugin.contents import FallingLead
from planner.plugin.protocol import Provider
from planner.scenario.section import Section
from planner.scenario.spread import Spread, SpreadBucketKg, SpreadDays, SpreadMoney, spread_of
from planner.scenario.units import PerYear
from planner.world.draw import Draw
from planner.world.parts import Horizon, Shop, Supply
from planner_other_sources.filling import MIX_COLUMNS, shares_of
from planner_other_sources.offers import PRICE, SIZE, WAITS, Offer, Offered, offers, one_value, stand

MOST_BUCKETS = 500
"""Of one clear-out; what is more is taken as so many (assumed)."""
_MASS, _WET, _MISSED, _MIX = range(4)


class _Cleared(Section):
    """How often somebody clears out, and what there is then."""

    clearouts_per_year: PerYear = Field(
        2.0, ge=0, le=365, description="Clear-outs in an ordinary year (assumed)."
    )
    buckets: Annotated[Spread, spread_of("count", 1, MOST_BUCKETS)] = Field(
        Spread("triangular", (2.0, 6.0, 16.0), low=1.0, high=float(MOST_BUCKETS), whole=True),
        description="Buckets of each (assumed).",
    )
    mass_kg: SpreadBucketKg = Field(
        Spread("triangular", (45.0, 59.0, 65.0), low=0.0),
        description="Mass of a full 20 L bucket (59 kg: common practice, no published source).",
    )
    price: SpreadMoney = Field(
        Spread("uniform", (2.0, 6.0), low=0.0),
        description="Asked for a bucket, the same for all of a clear-out (assumed).",
    )
    waits_days: SpreadDays = Field(
        Spread("uniform", (2.0, 6.0), low=0.0),
        description="How long they wait before they are gone (assumed).",
    )


class ClearoutsSettings(FallingLead, Offered, _Cleared):
    """Clear-outs: many buckets at once, cheap, waiting only a few days."""


class Clearouts:
    """Places that clear out; see the module."""

    def __init__(self, settings: ClearoutsSettings) -> None:
        self.settings = settings

    def draw(self, draw: Draw, horizon: Horizon) -> Supply:
        """Every clear-out within the horizon; another number of buckets changes none of those that stay."""
        of = self.settings
        found = offers(draw, horizon, of, of.clearouts_per_year, 0)
        return Supply("", tuple(self._cleared(offer, draw, horizon) for offer in found))

    def _cleared(self, offer: Offer, draw: Draw, horizon: Horizon) -> Shop:
        of = self.settings
        buckets = int(one_value(of.buckets, offer.u[SIZE]))
        u = draw.uniform(f"clear-out {offer.number}", (buckets, _MIX + MIX_COLUMNS))
        price = one_value(of.price, offer.u[PRICE])
        ready_h = np.full(buckets, offer.t_h)
        return stand(
            "clear-out",
            offer,
            of,
            one_value(of.waits_days, offer.u[WAITS]),
            mass_kg=of.mass_kg.from_uniform(u[:, _MASS]),
            shares=shares_of(of.mix, u[:, _MIX:], of, ready_h, horizon),
            price=np.full(buckets, price),
            wet=u[:, _WET] < of.wet_share,
            missed_u=u[:, _MISSED].copy(),
        )


CLEAROUTS = Provider(
    kind="supply",
    name="clearouts",
    settings=ClearoutsSettings,
    build=Clearouts,
    summary="now and then somebody clears out: many buckets at once, cheap, for a few days",
    example={
        "clearouts": "3 per year",
        "buckets": {"triangular": {"low": 2, "mode": 6, "high": 16}},
        "price": {"uniform": {"low": "2 EUR", "high": "6 EUR"}},
        "waits": {"uniform": {"low": "2 days", "high": "6 days"}},
        "distance": {"gamma": {"mean": "12 km", "sd": "6 km"}},
    },
)
