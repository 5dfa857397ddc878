"""Pricing models ``core.fixed`` and ``core.breaks``: what the owner asks.

In: a view of what the owner knows. Out: a price [currency/kg]. No chance and no memory: the same view, the same price.
Must not know: what buyers would pay.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from pydantic import Field

from planner.plugin.protocol import Provider
from planner.scenario.part import PartError, raise_all
from planner.scenario.section import Section, across
from planner.scenario.units import DurationDays, MassKg, MoneyPerKg, Share
from planner.world.parts import ALLOYS, CHANNELS, Alloy, Channel, PriceView

POUND_PRICE_PER_KG: Final = 4.4
"""2.00 a pound from casters; common practice, no published source."""


class Asked(Section):
    """Price by alloy for one way of selling."""

    hard_per_kg: MoneyPerKg = Field(
        POUND_PRICE_PER_KG,
        gt=0,
        description="Hard lead, from clip-on weights (2.00 a pound: common practice).",
    )
    soft_per_kg: MoneyPerKg | None = Field(
        None, gt=0, description="Soft lead, from stick-on weights. Left out: as hard."
    )
    mixed_per_kg: MoneyPerKg | None = Field(None, gt=0, description="Lead of all weights. Left out: as hard.")


class Prices(Section):
    """Prices by way of selling and alloy."""

    private: Asked = Field(
        Asked.model_validate({}),
        description="To buyers who come (2.00 a pound: common practice, no published source).",
    )
    bulk: Asked | None = Field(
        None, description="To bulk buyers. Left out: half the private price (common practice)."
    )
    post: Asked | None = Field(None, description="By post, postage not included. Left out: as private.")
    zinced_less_share: Share = Field(
        0.5, gt=0, description="Lead spoiled by zinc is offered at so much less than mixed lead (assumed)."
    )
    tin_per_kg: MoneyPerKg = Field(
        33.0, gt=0, description="Tin sold beside the lead (15 a pound: common practice, no published source)."
    )


class Break(Section):
    """Less a kilogram for larger amounts."""

    from_kg: MassKg = Field(..., gt=0, description="For at least this amount.")
    less_share: Share = Field(..., lt=1, description="So much less than the price for a kilogram.")


class WhenLow(Section):
    """More while little is in stock."""

    below_kg: MassKg = Field(..., gt=0, description="While less than this of the alloy is in stock.")
    more_share: Share = Field(..., description="So much more.")


class WhenOld(Section):
    """Less once ingots have lain long."""

    after_days: DurationDays = Field(
        ..., gt=0, description="When the oldest ingots of the alloy have lain so long."
    )
    less_share: Share = Field(..., lt=1, description="So much less.")


class BreakPrices(Prices):
    """Prices with quantity breaks, and more or less by what is in stock."""

    breaks: tuple[Break, ...] = Field(
        ..., min_length=1, description="Quantity breaks; of those that apply the last one counts."
    )
    asks_more_when_low: WhenLow | None = Field(None, description="Ask more while stock is low.")
    asks_less_when_old: WhenOld | None = Field(None, description="Ask less for what has lain long.")
    never_below_yard: bool = Field(True, description="Never ask less than the yard pays for clean lead?")

    @across("breaks.*.from", "breaks.*.less_share")
    def _larger_is_cheaper(self) -> None:
        found = [
            PartError(
                "the breaks stand in order of amount, and each takes off more than the one before",
                ["breaks", number],
            )
            for number, (one, then) in enumerate(pairwise(self.breaks), 1)
            if then.from_kg <= one.from_kg or then.less_share <= one.less_share
        ]
        raise_all(found)


BULK_SHARE: Final = 0.5
"""Bulk buyers pay about half; common practice, no published source."""


def asked_per_kg(prices: Prices, alloy: Alloy, channel: Channel) -> float:
    """Listed price [currency/kg] of an alloy in one way of selling."""
    if channel == "bulk" and prices.bulk is None:
        return BULK_SHARE * asked_per_kg(prices, alloy, "private")
    own = {"private": prices.private, "bulk": prices.bulk, "post": prices.post}[channel]
    asked = prices.private if own is None else own
    if alloy == "zinced":
        mixed_per_kg = asked.hard_per_kg if asked.mixed_per_kg is None else asked.mixed_per_kg
        return mixed_per_kg * (1.0 - prices.zinced_less_share)
    per_kg = {"hard": asked.hard_per_kg, "soft": asked.soft_per_kg, "mixed": asked.mixed_per_kg}[alloy]
    return asked.hard_per_kg if per_kg is None else per_kg


class Listed:
    """The listed price, whatever the amount."""

    def __init__(self, settings: Prices) -> None:
        self.settings = settings
        self._per_kg = {
            (alloy, channel): asked_per_kg(settings, alloy, channel)
            for alloy in ALLOYS
            for channel in CHANNELS
        }

    def quote(self, view: PriceView, alloy: Alloy, mass_kg: float, channel: Channel) -> float:
        """Price asked [currency/kg] for ``mass_kg`` of ``alloy``."""
        return self._per_kg[alloy, channel]

    def tin(self, view: PriceView) -> float:
        """Price asked for tin [currency/kg]."""
        return self.settings.tin_per_kg


class Breaks(Listed):
    """The listed price, less for large amounts, more or less by what is in stock."""

    def __init__(self, settings: BreakPrices) -> None:
        super().__init__(settings)
        self._breaks = tuple((row.from_kg, 1.0 - row.less_share) for row in reversed(settings.breaks))
        self._low, self._old = settings.asks_more_when_low, settings.asks_less_when_old
        self._floor = settings.never_below_yard

    def quote(self, view: PriceView, alloy: Alloy, mass_kg: float, channel: Channel) -> float:
        """Price asked [currency/kg] for ``mass_kg`` of ``alloy``."""
        per_kg = self._per_kg[alloy, channel]
        for from_kg, factor in self._breaks:
            if mass_kg >= from_kg:
                per_kg *= factor
                break
        if self._low is not None and view.stock_kg.get(alloy, 0.0) < self._low.below_kg:
            per_kg *= 1.0 + self._low.more_share
        if self._old is not None and view.oldest_days > self._old.after_days:
            per_kg *= 1.0 - self._old.less_share
        if self._floor and alloy != "zinced":
            return max(per_kg, view.yard_per_kg)
        return per_kg


FIXED = Provider(
    kind="pricing",
    name="fixed",
    settings=Prices,
    build=Listed,
    summary="one price for each alloy and way of selling",
    example={
        "private": {"hard": "4.4 EUR/kg", "soft": "4.8 EUR/kg", "mixed": "4.2 EUR/kg"},
        "bulk": {"hard": "2.2 EUR/kg"},
        "tin": "33 EUR/kg",
    },
)
BREAKS = Provider(
    kind="pricing",
    name="breaks",
    settings=BreakPrices,
    build=Breaks,
    summary="quantity breaks, and more or less by what is in stock",
    example={
        "breaks": [{"from": "20 kg", "less_share": 0.05}, {"from": "50 kg", "less_share": 0.1}],
        "asks_more_when_low": {"below": "20 kg", "more_share": 0.1},
    },
)
