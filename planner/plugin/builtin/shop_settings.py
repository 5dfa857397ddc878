"""What a scenario says about shops: settings of the supply model ``core.shops``.

In: the user's YAML, already read. Out: frozen values. Must not know: how buckets are drawn.
"""

from __future__ import annotations

from typing import Annotated, Final, Literal

from pydantic import Field

from planner.plugin.builtin.pace import Spell
from planner.plugin.contents import FallingLead, Mix
from planner.scenario import toll
from planner.scenario.clock import MonthNumbers, WeekdayWindows
from planner.scenario.part import PartError
from planner.scenario.section import Named, Section, across
from planner.scenario.spread import Spread, SpreadBucketKg, SpreadDays, SpreadH, SpreadMoney
from planner.scenario.units import Count, DistanceKm, Number, Share

TYRE_CHANGES: Final = (0.8, 0.8, 1.3, 1.6, 1.0, 0.8, 0.7, 0.7, 0.8, 1.5, 1.4, 0.6)
"""Peaks in spring and autumn, when winter and summer tyres are changed; mean 1; assumed."""
WORKSHOP_HOURS: Final = (*(((8.0, 17.0),),) * 5, ((8.0, 12.0),), ())
"""Monday to Friday and Saturday morning; assumed."""


class Typical(Section):
    """What holds for every shop that does not say otherwise."""

    mass_kg: SpreadBucketKg = Field(
        Spread("triangular", (45.0, 59.0, 65.0), low=0.0),
        description="Mass of a full 20 L bucket (59 kg: common practice, no published source).",
    )
    price: SpreadMoney = Field(
        Spread("triangular", (5.0, 10.0, 15.0), low=0.0),
        description="Asked for a bucket (10: common practice, no published source).",
    )
    waits_days: SpreadDays = Field(
        Spread("gamma", (45.0, 20.0), low=0.0),
        description="How long a full bucket waits before it goes elsewhere (assumed).",
    )
    mix: Mix = Field(Mix.model_validate({}), description="Mean mix of its buckets and how much lots vary.")
    wet_share: Share = Field(0.15, description="Share of buckets that are wet (assumed).")
    misses_borne: Count = Field(
        3, description="Buckets that may go elsewhere before it stops giving (assumed)."
    )
    price_creep_share: Share = Field(
        0.01, description="The asking price rises by this share with each bucket fetched (assumed)."
    )
    open: WeekdayWindows = Field(WORKSHOP_HOURS, description="Opening hours by weekday (assumed).")


class ShopSettings(Section):
    """One shop. What is left out is as in `typical`."""

    x_km: DistanceKm = Field(..., description="East of the owner's place; below 0 west.")
    y_km: DistanceKm = Field(..., description="North of the owner's place; below 0 south.")
    kind: Literal["small", "independent", "chain"] = Field(
        "independent",
        description="A small shop, a busy independent one, or a chain, which is bound by a recycling contract.",
    )
    known: bool = Field(True, description="Does it give to the owner from the start?")
    asking_h: SpreadH = Field(
        Spread("gamma", (4.0, 2.0), low=0.0),
        description="Hours of asking around, after the unknown shop before it, until it is found (assumed).",
    )
    gap_days: SpreadDays | None = Field(
        None,
        description=(
            "From one full bucket to the next in an ordinary month. Left out: by kind, on average 40, 16 or 7 days "
            "(common practice, no published source)."
        ),
    )
    first_days: SpreadDays | None = Field(
        None, description="Until the first bucket is full. Left out: part of a gap, as chance has it."
    )
    mass_kg: SpreadBucketKg | None = Field(None, description="Mass of a full bucket.")
    price: SpreadMoney | None = Field(None, description="Asked for a bucket.")
    waits_days: SpreadDays | None = Field(None, description="How long a full bucket waits.")
    mix: Mix | None = Field(None, description="Mean mix of its buckets.")
    wet_share: Share | None = Field(None, description="Share of buckets that are wet.")
    misses_borne: Count | None = Field(None, description="Buckets that may go elsewhere.")
    price_creep_share: Share | None = Field(None, description="Rise of the price with each bucket fetched.")
    open: WeekdayWindows | None = Field(None, description="Opening hours by weekday.")

    @across("known", "kind")
    def _chains_do_not_give(self) -> None:
        if self.known and self.kind == "chain":
            raise PartError(
                "a chain is bound by its recycling contract and gives nothing; write known: false, or another kind",
                ["kind"],
            )

    @across("gap")
    def _buckets_take_time_to_fill(self) -> None:
        if self.gap_days is not None and self.gap_days.mean <= 0.0:
            raise PartError("the gap between two full buckets must be longer than 0 days on average", ["gap"])


class _Places(Section):
    """Shops, what is typical of them, and how busy a time is."""

    shops: Annotated[Named[ShopSettings], toll.SHOPS] = Field(
        ...,
        min_length=1,
        max_length=500,
        description="Each shop by name; unknown ones are found in this order.",
    )
    typical: Typical = Field(Typical.model_validate({}), description="What holds where a shop says nothing.")
    says_yes_share: Share = Field(
        0.3,
        description="Share of the shops found by asking that say yes (one or two of five, common practice).",
    )
    season: MonthNumbers = Field(
        TYRE_CHANGES, description="How fast buckets fill by month; 1 is an ordinary month (assumed)."
    )
    growth_a_year_share: Number = Field(
        0.0, gt=-1, le=1, description="Growth of all shops' scrap a year; below 0 it shrinks."
    )
    spells: tuple[Spell, ...] = Field(
        (), description="Days on which buckets fill faster or more slowly than that."
    )


class ShopsSettings(FallingLead, _Places):
    """Shops, what is typical of them, and how supply changes over the year and the years."""
