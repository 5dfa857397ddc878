"""``asking.ladder``: asks less the more metal lies and the longer it lies.

In: settings; at each quote the stock of the alloy and the age of its oldest ingots. Out: a price [currency/kg].
Must not know: what buyers would pay.
"""

from __future__ import annotations

from bisect import bisect_right
from itertools import pairwise
from typing import Final

from pydantic import Field

from planner.plugin.builtin.pricing import Listed, Prices
from planner.plugin.protocol import Provider
from planner.scenario.part import PartError, raise_all
from planner.scenario.section import Section, across
from planner.scenario.units import DurationDays, MassKg, MoneyPerKg, Share
from planner.world.parts import Alloy, Channel, PriceView
from planner_asking_prices.linked import yard_for

Row = tuple[float, float]
"""From where a step counts [kg or days], and the share that it takes off."""


class StockStep(Section):
    """Less once so much lies there."""

    from_kg: MassKg = Field(
        ..., gt=0, description="When at least this much of the alloy lies there and is not promised."
    )
    less_share: Share = Field(..., lt=1, description="So much less than the listed price.")


class AgeStep(Section):
    """Less once ingots have lain so long."""

    after_days: DurationDays = Field(
        ..., gt=0, description="When the oldest ingots of the alloy have lain so long."
    )
    less_share: Share = Field(..., lt=1, description="So much less than the listed price.")


class Floors(Section):
    """The lowest price of any alloy by way of selling; that of zinced lead is less, by `zinced_less_share`."""

    private_per_kg: MoneyPerKg = Field(0.0, ge=0, description="To buyers who come.")
    bulk_per_kg: MoneyPerKg = Field(0.0, ge=0, description="To bulk buyers.")
    post_per_kg: MoneyPerKg = Field(0.0, ge=0, description="By post.")


class LadderPrices(Prices):
    """Listed prices, and steps down from them."""

    by_stock: tuple[StockStep, ...] = Field(
        (), description="Steps by what lies there; of those that apply the last one counts."
    )
    by_age: tuple[AgeStep, ...] = Field(
        (),
        description="Steps by how long it has lain, on top of those by stock; the last that applies counts.",
    )
    never_below: Floors = Field(Floors.model_validate({}), description="Floors, whatever the steps take off.")
    never_below_yard: bool = Field(True, description="Never ask less than the yard pays today?")

    @across("by_stock", "by_age")
    def _some_step(self) -> None:
        if not self.by_stock and not self.by_age:
            raise ValueError(
                "a ladder without a step is a fixed price; write steps under `by_stock` or `by_age`, or say "
                "`model: core.fixed`"
            )

    @across("by_stock.*.from", "by_stock.*.less_share")
    def _more_is_cheaper(self) -> None:
        _in_order("by_stock", stock_rows(self), "amount")

    @across("by_age.*.after", "by_age.*.less_share")
    def _older_is_cheaper(self) -> None:
        _in_order("by_age", age_rows(self), "age")


def stock_rows(settings: LadderPrices) -> tuple[Row, ...]:
    """Steps by stock [kg]."""
    return tuple((step.from_kg, step.less_share) for step in settings.by_stock)


def age_rows(settings: LadderPrices) -> tuple[Row, ...]:
    """Steps by age [days]."""
    return tuple((step.after_days, step.less_share) for step in settings.by_age)


def _in_order(key: str, rows: tuple[Row, ...], what: str) -> None:
    words = f"the steps stand in order of {what}, and each takes off more than the one before"
    raise_all(
        [
            PartError(words, [key, number])
            for number, (one, then) in enumerate(pairwise(rows), 1)
            if then[0] <= one[0] or then[1] <= one[1]
        ]
    )


class Steps:
    """A share of the listed price that falls in steps."""

    def __init__(self, rows: tuple[Row, ...]) -> None:
        self._from: Final = [start for start, _ in rows]
        self._left: Final = [1.0, *(1.0 - less for _, less in rows)]

    def left_at(self, reached: float) -> float:
        """What is left of the listed price, as a share."""
        return self._left[bisect_right(self._from, reached)]


class Ladder(Listed):
    """The listed price, less by what lies there and by how long it has lain."""

    def __init__(self, settings: LadderPrices) -> None:
        super().__init__(settings)
        self._stock, self._age = Steps(stock_rows(settings)), Steps(age_rows(settings))
        floors = settings.never_below
        self._floors: dict[Channel, float] = {
            "private": floors.private_per_kg,
            "bulk": floors.bulk_per_kg,
            "post": floors.post_per_kg,
        }
        self._zinced_share = 1.0 - settings.zinced_less_share
        self._never_below_yard = settings.never_below_yard

    def quote(self, view: PriceView, alloy: Alloy, mass_kg: float, channel: Channel) -> float:
        """Price asked [currency/kg] for ``mass_kg`` of ``alloy``."""
        left = self._stock.left_at(view.stock_kg.get(alloy, 0.0)) * self._age.left_at(view.oldest_days)
        floor = self._floors[channel] * (self._zinced_share if alloy == "zinced" else 1.0)
        per_kg = max(self._per_kg[alloy, channel] * left, floor)
        return max(per_kg, yard_for(view, alloy)) if self._never_below_yard else per_kg


LADDER = Provider(
    kind="pricing",
    name="ladder",
    settings=LadderPrices,
    build=Ladder,
    summary="a stock ladder: asks less the more metal lies and the longer it lies, never below a floor",
    example={
        "private": {"hard": "4.8 EUR/kg", "soft": "5 EUR/kg", "mixed": "4.6 EUR/kg"},
        "by_stock": [{"from": "40 kg", "less_share": 0.05}, {"from": "80 kg", "less_share": 0.12}],
        "by_age": [{"after": "60 days", "less_share": 0.05}, {"after": "120 days", "less_share": 0.1}],
        "never_below": {"private": "3.6 EUR/kg", "bulk": "2 EUR/kg"},
    },
)
