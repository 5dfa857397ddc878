"""``asking.linked``: the yard's price of clean lead, times a factor or plus a margin.

In: settings; at each quote what the yard pays today. Out: a price [currency/kg].
Must not know: stock, buyers.
"""

from __future__ import annotations

from typing import NamedTuple

from pydantic import Field

from planner.plugin.builtin.pricing import BULK_SHARE
from planner.plugin.protocol import Provider
from planner.scenario.part import PartError
from planner.scenario.section import Section, across
from planner.scenario.units import MoneyPerKg, Number, Share
from planner.world.parts import ALLOYS, CHANNELS, Alloy, Channel, PriceView


class Link(Section):
    """How a price follows the yard's price of clean lead."""

    times: Number | None = Field(None, gt=0, description="So many times what the yard pays.")
    plus_per_kg: MoneyPerKg | None = Field(None, ge=0, description="So much more than that.")
    never_below_per_kg: MoneyPerKg = Field(
        0.0, ge=0, description="The floor: never ask less, however low the yard is."
    )
    never_above_per_kg: MoneyPerKg | None = Field(
        None, gt=0, description="The ceiling: never ask more. Left out: none."
    )

    @across("times", "plus")
    def _linked_somehow(self) -> None:
        if self.times is None and self.plus_per_kg is None:
            raise ValueError(
                "nothing says how the price follows the yard's; write a factor such as `times: 3`, a margin such as "
                "`plus: 3 EUR/kg`, or both"
            )

    @across("never_below", "never_above")
    def _floor_is_below_the_ceiling(self) -> None:
        if self.never_above_per_kg is not None and self.never_above_per_kg < self.never_below_per_kg:
            raise PartError(
                "the ceiling is below the floor; write a higher `never_above` or a lower `never_below`",
                ["never_above"],
            )


class Links(Section):
    """Links by alloy for one way of selling."""

    hard: Link = Field(..., description="Hard lead, from clip-on weights.")
    soft: Link | None = Field(None, description="Soft lead, from stick-on weights. Left out: as hard.")
    mixed: Link | None = Field(None, description="Lead of all weights. Left out: as hard.")
    zinced: Link | None = Field(
        None, description="Lead spoiled by zinc. Left out: less than mixed, by `zinced_less_share`."
    )


class LinkedPrices(Section):
    """Prices that follow the yard's price of clean lead, by way of selling and alloy."""

    private: Links = Field(..., description="To buyers who come.")
    bulk: Links | None = Field(
        None, description="To bulk buyers. Left out: half the private price (common practice)."
    )
    post: Links | None = Field(None, description="By post, postage not included. Left out: as private.")
    never_below_yard: bool = Field(
        True, description="Never ask less than the yard pays today? This comes before a ceiling."
    )
    zinced_less_share: Share = Field(
        0.5, gt=0, description="Lead spoiled by zinc is offered at so much less than mixed lead (assumed)."
    )
    tin_per_kg: MoneyPerKg = Field(
        33.0, gt=0, description="Tin sold beside the lead (15 a pound: common practice, no published source)."
    )


class Rule(NamedTuple):
    """One alloy in one way of selling: ``share`` of the yard's price times ``times`` and ``plus``, within bounds."""

    times: float
    plus: float
    low: float
    high: float
    share: float

    def price(self, yard_per_kg: float) -> float:
        """Price asked [currency/kg] while the yard pays so much."""
        return self.share * min(max(yard_per_kg * self.times + self.plus, self.low), self.high)


def rule_of(settings: LinkedPrices, alloy: Alloy, channel: Channel) -> Rule:
    """What a price is worked out by."""
    if channel == "bulk" and settings.bulk is None:
        private = rule_of(settings, alloy, "private")
        return private._replace(share=BULK_SHARE * private.share)
    links = {"private": settings.private, "bulk": settings.bulk, "post": settings.post}[channel]
    links = settings.private if links is None else links
    share = 1.0 - settings.zinced_less_share if alloy == "zinced" and links.zinced is None else 1.0
    own = {
        "hard": links.hard,
        "soft": links.soft,
        "mixed": links.mixed,
        "zinced": links.zinced or links.mixed,
    }[alloy]
    link = links.hard if own is None else own
    return Rule(
        1.0 if link.times is None else link.times,
        0.0 if link.plus_per_kg is None else link.plus_per_kg,
        link.never_below_per_kg,
        float("inf") if link.never_above_per_kg is None else link.never_above_per_kg,
        share,
    )


class Linked:
    """Asks by what the yard pays today."""

    def __init__(self, settings: LinkedPrices) -> None:
        self._rules = {
            (alloy, channel): rule_of(settings, alloy, channel) for alloy in ALLOYS for channel in CHANNELS
        }
        self._floor = settings.never_below_yard
        self._tin_per_kg = settings.tin_per_kg

    def quote(self, view: PriceView, alloy: Alloy, mass_kg: float, channel: Channel) -> float:
        """Price asked [currency/kg] for ``mass_kg`` of ``alloy``."""
        per_kg = self._rules[alloy, channel].price(view.yard_per_kg)
        return max(per_kg, yard_for(view, alloy)) if self._floor else per_kg

    def tin(self, view: PriceView) -> float:
        """Price asked for tin [currency/kg]."""
        return self._tin_per_kg


def yard_for(view: PriceView, alloy: Alloy) -> float:
    """What the yard pays today for ingots of an alloy [currency/kg]."""
    return view.yard_zinced_per_kg if alloy == "zinced" else view.yard_per_kg


LINKED = Provider(
    kind="pricing",
    name="linked",
    settings=LinkedPrices,
    build=Linked,
    summary="the yard's price of clean lead times a factor or plus a margin, with a floor and a ceiling",
    example={
        "private": {
            "hard": {"plus": "3 EUR/kg", "never_below": "3.8 EUR/kg", "never_above": "5.5 EUR/kg"},
            "soft": {"times": 3.5, "never_below": "4 EUR/kg"},
        },
        "bulk": {"hard": {"times": 1.6}},
        "tin": "33 EUR/kg",
    },
)
