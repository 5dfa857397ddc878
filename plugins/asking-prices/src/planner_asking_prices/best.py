"""``asking.best``: the price that brings most, by what lies there and how much time is left.

In: settings: who asks, how often, for how much, what they would pay, until when. Out: a price [currency/kg].
Must not know: what a buyer of the run would pay; supply to come.

Everything is worked out once, when the model is built; a quote is looked up.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Final, Literal, NamedTuple

import numpy as np
from pydantic import Field

from planner.plugin.builtin.crowd_settings import Most
from planner.plugin.protocol import Provider
from planner.scenario.clock import MONTHS, Day
from planner.scenario.part import PartError
from planner.scenario.section import Section, across
from planner.scenario.spread import Spread, SpreadDays, SpreadMassKg
from planner.scenario.units import Count, DurationDays, MassKg, MoneyPerKg, Share
from planner.world.parts import ALLOYS, CHANNELS, Alloy, Channel, PriceView
from planner_asking_prices.linked import yard_for
from planner_asking_prices.offer import Offer, offer_of
from planner_asking_prices.stock_worth import StockWorth, Way, stock_worth

Month = Literal["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]
SIZES: Final = 5
"""Sizes of order, each of as many buyers, that stand for all sizes (assumed)."""
MOST_STEPS: Final = 600
"""Steps of stock in the table at most, so that it is made in seconds."""
MOST_ORDERS: Final = 5000.0
"""Orders in the longest time at most, for the same reason."""
AS: Final[Mapping[Alloy, tuple[Alloy, ...]]] = {
    "hard": ("hard", "mixed", "soft"),
    "soft": ("soft", "hard", "mixed"),
    "mixed": ("mixed", "hard", "soft"),
    "zinced": ("zinced",),
}
"""Whose price an alloy gets that none of these buyers takes: that of the first that somebody does."""


class Buyers(Section):
    """A class of buyers as the owner believes them to be; the keys are those of `core.returning`."""

    people: Count = Field(..., ge=1, le=2000, description="People who ask.")
    gap_days: SpreadDays = Field(
        ..., description="From one need to the same person's next; only the mean counts here."
    )
    size_kg: SpreadMassKg = Field(..., description="How much they want at a time.")
    most: Most = Field(..., description="The most they would pay.")

    @across("gap")
    def _needs_take_time_to_come_back(self) -> None:
        if self.gap_days.mean <= 0.0:
            raise PartError("the gap between two needs must be longer than 0 days on average", ["gap"])

    @property
    def orders_a_day(self) -> float:
        """Orders of all of them together."""
        return self.people / self.gap_days.mean

    def most_for(self, alloy: Alloy) -> Spread | None:
        """The most they would pay for an alloy; None where they do not take it."""
        most = self.most
        return {
            "hard": most.hard_per_kg,
            "soft": most.soft_per_kg,
            "mixed": most.mixed_per_kg,
            "zinced": most.zinced_per_kg,
        }[alloy]


class Costs(Section):
    """What selling costs a kilogram, by way of selling; the price is worked out after it."""

    private_per_kg: MoneyPerKg = Field(0.0, ge=0, description="To buyers who come, such as for driving.")
    bulk_per_kg: MoneyPerKg = Field(0.0, ge=0, description="To bulk buyers.")
    post_per_kg: MoneyPerKg = Field(0.0, ge=0, description="By post: postage and box.")


class BestPrices(Section):
    """Who buys, and until when."""

    private: tuple[Buyers, ...] = Field(
        ..., min_length=1, description="Those who come, a class a row; all of them are asked the same."
    )
    bulk: tuple[Buyers, ...] = Field((), description="Bulk buyers. Left out: asked what the others are.")
    post: tuple[Buyers, ...] = Field((), description="By post. Left out: asked what the others are.")
    costs: Costs = Field(Costs.model_validate({}), description="What selling costs.")
    until: Day | None = Field(
        None, description="Sell up by the end of this day. Left out: by the end of what is played."
    )
    season_ends: Month | None = Field(
        None, description="Sell up by the end of this month, every year, instead of by one date."
    )
    looks_ahead_days: DurationDays = Field(
        365.0, ge=1, le=1095, description="Never looks further ahead than this (assumed)."
    )
    step_kg: MassKg = Field(2.0, gt=0, description="Stock is counted in steps of so much (assumed).")
    most_stock_kg: MassKg = Field(
        300.0, gt=0, description="More of one alloy than this is priced as if it were this much (assumed)."
    )
    zinced_less_share: Share = Field(
        0.5,
        gt=0,
        description="Lead spoiled by zinc that no buyer is named for is offered at so much less than mixed (assumed).",
    )
    tin_per_kg: MoneyPerKg = Field(
        33.0, gt=0, description="Tin sold beside the lead (15 a pound: common practice, no published source)."
    )

    @across("private", "bulk", "post")
    def _somebody_takes_good_lead(self) -> None:
        rows = (*self.private, *self.bulk, *self.post)
        if not any(row.most_for(alloy) for row in rows for alloy in ALLOYS if alloy != "zinced"):
            raise ValueError(
                "these buyers take nothing but zinced lead; write what somebody would pay for `hard`, `soft` or `mixed`"
            )

    @across("until", "season_ends")
    def _one_end(self) -> None:
        if self.until is not None and self.season_ends is not None:
            raise PartError(
                "stock is sold up by a date or by a season's end; write one of the two", ["until"]
            )

    @across("step", "most_stock")
    def _steps_can_be_counted(self) -> None:
        if not 1.0 <= self.most_stock_kg / self.step_kg <= MOST_STEPS:
            raise PartError(
                f"{self.most_stock_kg:g} kg in steps of {self.step_kg:g} kg are {self.most_stock_kg / self.step_kg:g} "
                f"steps; write from 1 to {MOST_STEPS}",
                ["step"],
            )

    @across("private", "bulk", "post", "looks_ahead")
    def _orders_can_be_counted(self) -> None:
        rows = (*self.private, *self.bulk, *self.post)
        orders = self.looks_ahead_days * sum(row.orders_a_day for row in rows)
        if orders > MOST_ORDERS:
            raise PartError(
                f"{orders:.0f} orders would come in {self.looks_ahead_days:g} days; up to {MOST_ORDERS:.0f} can be "
                "worked out, so look less far ahead or name fewer people",
                ["looks_ahead"],
            )


class Taker(NamedTuple):
    """A class of buyers who take an alloy: the most they pay, orders a day, and (steps, share) of their sizes."""

    most: Spread
    orders_a_day: float
    sizes: tuple[tuple[int, float], ...]


Takers = tuple[tuple[Channel, tuple[Taker, ...]], ...]
"""Who takes an alloy, by way of selling; ways in which nobody does are left out."""


class Market(NamedTuple):
    """One alloy: what its stock is worth, what to offer in each way of selling, and what that costs a kilogram."""

    worth: StockWorth
    offers: Mapping[Channel, tuple[Offer, float]]

    def price(
        self, stock_kg: float, mass_kg: float, channel: Channel, days_left: float, yard_per_kg: float
    ) -> float:
        """Price asked [currency/kg]."""
        offer, cost_per_kg = self.offers[channel]
        kept_per_kg = self.worth.of_a_kg(stock_kg, mass_kg, days_left, yard_per_kg)
        return offer.price(kept_per_kg + cost_per_kg)


class Best:
    """The price that brings most."""

    def __init__(self, settings: BestPrices) -> None:
        self._until, self._month = settings.until, settings.season_ends
        self._tin_per_kg, self._zinced_share = settings.tin_per_kg, 1.0 - settings.zinced_less_share
        takers = {alloy: takers_of(settings, alloy) for alloy in ALLOYS}
        made: dict[Takers, Market] = {}
        self._markets: dict[Alloy, Market] = {}
        for alloy in ALLOYS:
            found = next((takers[other] for other in AS[alloy] if takers[other]), ())
            if found and found not in made:
                made[found] = market_of(settings, found)
            if found:
                self._markets[alloy] = made[found]

    def quote(self, view: PriceView, alloy: Alloy, mass_kg: float, channel: Channel) -> float:
        """Price asked [currency/kg] for ``mass_kg`` of ``alloy``."""
        stock_kg, days_left, yard_per_kg = (
            view.stock_kg.get(alloy, 0.0),
            self.days_left(view),
            yard_for(view, alloy),
        )
        if alloy in self._markets:
            return self._markets[alloy].price(stock_kg, mass_kg, channel, days_left, yard_per_kg)
        as_mixed = self._markets["mixed"].price(stock_kg, mass_kg, channel, days_left, view.yard_per_kg)
        return max(self._zinced_share * as_mixed, yard_per_kg)

    def tin(self, view: PriceView) -> float:
        """Price asked for tin [currency/kg]."""
        return self._tin_per_kg

    def days_left(self, view: PriceView) -> float:
        """Until when metal is to be sold [days]; 0 once that day is over."""
        if self._until is not None:
            end = self._until
        elif self._month is not None:
            end = _last_day(self._month, view.today)
        else:
            return max(0.0, view.days_left)
        return max(0.0, (end - view.today).days + 1.0 - view.t_h % 24.0 / 24.0)


def _last_day(month: Month, today: date) -> date:
    """The next last day of a month, today included."""
    number = MONTHS.index(month) + 1
    year = today.year + (today.month > number)
    following = date(year + number // 12, number % 12 + 1, 1)
    return following - timedelta(days=1)


def takers_of(settings: BestPrices, alloy: Alloy) -> Takers:
    """Who takes an alloy, by way of selling."""
    rows: dict[Channel, tuple[Buyers, ...]] = {
        "private": settings.private,
        "bulk": settings.bulk,
        "post": settings.post,
    }
    found = [
        (
            channel,
            tuple(
                Taker(most, row.orders_a_day, sizes_of(row.size_kg, settings.step_kg))
                for row in rows[channel]
                if (most := row.most_for(alloy)) is not None
            ),
        )
        for channel in CHANNELS
    ]
    return tuple((channel, takers) for channel, takers in found if takers)


def sizes_of(size_kg: Spread, step_kg: float) -> tuple[tuple[int, float], ...]:
    """A few sizes of order that stand for all: whole steps, at least one, each with its share of the orders."""
    middles = (np.arange(SIZES) + 0.5) / SIZES
    steps = np.maximum(np.rint(size_kg.from_uniform(middles) / step_kg), 1.0).astype(int).tolist()
    return tuple((size, steps.count(size) / SIZES) for size in sorted(set(steps)))


def market_of(settings: BestPrices, takers: Takers) -> Market:
    """Work out what stock is worth and what to offer, where these buyers take it."""
    cost: dict[Channel, float] = {
        "private": settings.costs.private_per_kg,
        "bulk": settings.costs.bulk_per_kg,
        "post": settings.costs.post_per_kg,
    }
    offers = {
        channel: offer_of(tuple((taker.most, taker.orders_a_day) for taker in of)) for channel, of in takers
    }
    ways = tuple(
        Way(taker.orders_a_day, taker.sizes, offers[channel], cost[channel])
        for channel, of in takers
        for taker in of
    )
    steps = round(settings.most_stock_kg / settings.step_kg)
    worth = stock_worth(ways, settings.step_kg, steps, settings.looks_ahead_days)
    usual = next(iter(offers.values()))
    return Market(worth, {channel: (offers.get(channel, usual), cost[channel]) for channel in CHANNELS})


BEST = Provider(
    kind="pricing",
    name="best",
    settings=BestPrices,
    build=Best,
    summary="the price that brings most until a date, by buyers, stock and time left",
    example={
        "private": [
            {
                "people": 20,
                "gap": "90 days",
                "size": {"triangular": {"low": "5 kg", "mode": "10 kg", "high": "20 kg"}},
                "most": {
                    "hard": {"normal": {"mean": "5 EUR/kg", "sd": "0.7 EUR/kg"}},
                    "soft": {"normal": {"mean": "5.4 EUR/kg", "sd": "0.7 EUR/kg"}},
                },
            }
        ],
        "season_ends": "oct",
        "most_stock": "200 kg",
    },
)
