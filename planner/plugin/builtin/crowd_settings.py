"""What a scenario says about a class of buyers: settings of ``core.returning``, ``core.bulk`` and ``core.post``.

In: the user's YAML, already read. Out: frozen values. Must not know: how needs are drawn or served.
"""

from __future__ import annotations

from typing import Annotated, Final

from pydantic import Field

from planner.plugin.builtin.pace import Spell
from planner.scenario import toll
from planner.scenario.clock import MonthNumbers
from planner.scenario.part import PartError
from planner.scenario.section import Section, across
from planner.scenario.spread import (
    Spread,
    SpreadCount,
    SpreadDays,
    SpreadMassKg,
    SpreadMoneyPerKg,
    SpreadShare,
)
from planner.scenario.units import Count, DistanceKm, DurationMin, MassKg, Money, MoneyPerKg, Number, Share

MOST_PEOPLE: Final = 2000
"""In reach of one class (assumed)."""
LEVEL: Final = (1.0,) * 12
"""No season."""


class Most(Section):
    """The most that people would pay for each alloy. An alloy that is left out is not taken."""

    hard_per_kg: SpreadMoneyPerKg | None = Field(None, description="For hard lead, from clip-on weights.")
    soft_per_kg: SpreadMoneyPerKg | None = Field(None, description="For soft lead, from stick-on weights.")
    mixed_per_kg: SpreadMoneyPerKg | None = Field(None, description="For lead of all weights together.")
    zinced_per_kg: SpreadMoneyPerKg | None = Field(None, description="For lead spoiled by zinc.")

    @across("hard", "soft", "mixed", "zinced")
    def _something_is_taken(self) -> None:
        if all(spread is None for _, spread in self):
            raise ValueError("these buyers take no alloy; write what they would pay for at least one")


class CrowdSettings(Section):
    """What every class of buyers has. People differ; each keeps to what was drawn for them."""

    people: Annotated[Count, toll.PEOPLE] = Field(
        ..., ge=1, le=MOST_PEOPLE, description="People in reach, known or not: a local market saturates."
    )
    known: Count = Field(..., description="How many of them know of the business at the start.")
    gap_days: SpreadDays = Field(
        ..., description="From one need's end to the same person's next need, in an ordinary month."
    )
    first_days: SpreadDays | None = Field(
        None,
        description="From knowing of the business to the first need. Left out: part of a gap, as chance has it.",
    )
    most: Most = Field(
        ..., description="The most they would pay; who pays well for one alloy does so for all."
    )
    need_varies_share: Share = Field(
        0.05,
        description="How much that varies from need to need of the same person: standard deviation (assumed).",
    )
    patience_days: SpreadDays = Field(
        Spread("exponential", (10.0,), low=0.0), description="How long a need waits to be served (assumed)."
    )
    shows_up_share: Share = Field(0.85, description="Share of appointments that are kept (assumed).")
    friend_share: Share = Field(
        0.1, description="Chance that a need served well brings the next person of this class (assumed)."
    )
    returns_at_share: SpreadShare = Field(
        Spread("uniform", (0.4, 0.9), low=0.0, high=1.0),
        description="Comes back if at least this share of what was wanted was served; drawn for each person (assumed).",
    )
    misses_borne: SpreadCount = Field(
        Spread("choice", (1.0, 2.0, 3.0), (1.0, 1.0, 1.0), low=0.0, whole=True),
        description="Needs in a row that may go unserved before a person stays away; drawn for each (assumed).",
    )
    tin_wanting_share: Share = Field(0.0, description="Share of needs that want tin beside the lead.")
    tin_kg: SpreadMassKg = Field(
        Spread("uniform", (0.2, 1.0), low=0.0), description="Tin wanted then (assumed)."
    )
    tin_most_per_kg: MoneyPerKg = Field(
        33.0,
        ge=0,
        description="The most they would pay for tin (15 a pound: common practice, no published source).",
    )
    sale_min: DurationMin = Field(
        30.0,
        ge=0,
        description="Owner's time for a sale: messages, waiting, weighing (20 to 45, common practice).",
    )
    message_min: DurationMin = Field(
        8.0, ge=0, description="Owner's time for an enquiry that comes to nothing (assumed)."
    )
    trip_km: DistanceKm = Field(
        0.0, ge=0, description="Driven for each sale, there and back; 0 when they come."
    )
    season: MonthNumbers = Field(LEVEL, description="How often needs arise by month; 1 is an ordinary month.")
    growth_a_year_share: Number = Field(
        0.0, gt=-1, le=2, description="Growth of all needs a year; below 0 they become fewer."
    )
    spells: tuple[Spell, ...] = Field(
        (), description="Days on which needs arise more or less often than that."
    )

    @across("known", "people")
    def _known_are_in_reach(self) -> None:
        if self.known > self.people:
            raise PartError(f"{self.known} people are known, but only {self.people} are in reach", ["known"])

    @across("gap")
    def _needs_take_time_to_come_back(self) -> None:
        if self.gap_days.mean <= 0.0:
            raise PartError("the gap between two needs must be longer than 0 days on average", ["gap"])


class ReturningSettings(CrowdSettings):
    """Private buyers who come back: casters, anglers."""

    size_kg: SpreadMassKg = Field(..., description="How much they want at a time.")
    least_kg: MassKg = Field(1.0, ge=0, description="Smallest amount they would take (assumed).")


class BulkSettings(CrowdSettings):
    """A few people who take much at once, at about half the private price."""

    people: Annotated[Count, toll.PEOPLE] = Field(
        3, ge=1, le=MOST_PEOPLE, description="People in reach (assumed)."
    )
    known: Count = Field(1, description="How many of them know of the business at the start (assumed).")
    gap_days: SpreadDays = Field(
        Spread("gamma", (60.0, 30.0), low=0.0),
        description="From one need's end to the same person's next need (assumed).",
    )
    size_kg: SpreadMassKg = Field(
        Spread("triangular", (100.0, 150.0, 300.0), low=0.0),
        description="How much they want at a time: 100 kg and more (common practice, no published source).",
    )
    least_kg: MassKg = Field(100.0, ge=0, description="Smallest amount they would take (common practice).")
    shows_up_share: Share = Field(0.95, description="Share of appointments that are kept (assumed).")
    friend_share: Share = Field(
        0.02, description="Chance that a need served well brings the next such buyer (assumed)."
    )
    patience_days: SpreadDays = Field(
        Spread("exponential", (30.0,), low=0.0), description="How long a need waits to be served (assumed)."
    )
    sale_min: DurationMin = Field(
        60.0, ge=0, description="Owner's time for a sale, loading included (assumed)."
    )


class PostSettings(CrowdSettings):
    """People far away, served in heavy flat-fee boxes."""

    parcels: SpreadCount = Field(
        Spread.constant(1.0), description="Parcels wanted at a time, at least 1 (assumed)."
    )
    parcel_kg: MassKg = Field(
        27.0,
        gt=0,
        le=70,
        description="Metal in a parcel (25 to 30 kg, common practice, no published source).",
    )
    parcel_fee: Money = Field(
        23.0, ge=0, description="Postage and box for each parcel, paid by the owner (assumed)."
    )
    packing_min: DurationMin = Field(
        15.0, ge=0, description="Owner's time to pack and hand in each parcel, beside `sale` (assumed)."
    )
    shows_up_share: Share = Field(0.97, description="Share of orders that are paid for (assumed).")
    sale_min: DurationMin = Field(
        15.0, ge=0, description="Owner's time for an order: messages, payment, label (assumed)."
    )
