"""Rate models ``core.fixed``, ``core.mean_reverting`` and ``core.replay``: what the yard pays.

In: settings a good. Out: ``Rates``, a price a day for every good [currency/kg]; 0 where the yard does not take it.
Must not know: what the owner sells there.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np
from pydantic import Field

from planner.plugin.builtin.memory import remembering
from planner.plugin.protocol import Provider
from planner.scenario.clock import Day
from planner.scenario.part import PartError, raise_all
from planner.scenario.section import Section, across
from planner.scenario.units import DurationDays, MoneyPerKg, Number, Share
from planner.world.draw import Draw
from planner.world.parts import GOODS, FloatArray, Good, Horizon, Rates

YEAR_DAYS: Final = 365.0


class FixedRates(Section):
    """One price for each good, all the time. 0: the yard does not take it."""

    weights_per_kg: MoneyPerKg = Field(
        0.46,
        ge=0,
        description="Mixed weights as they came (0.21 a pound: common practice, no published source).",
    )
    lead_per_kg: MoneyPerKg = Field(
        1.34, ge=0, description="Clean lead ingots (0.61 a pound: common practice, no published source)."
    )
    clips_per_kg: MoneyPerKg = Field(
        0.46, ge=0, description="Skimmed steel clips (as mixed weights: common practice)."
    )
    zinc_per_kg: MoneyPerKg = Field(1.0, ge=0, description="Sorted zinc weights (assumed).")
    steel_per_kg: MoneyPerKg = Field(0.15, ge=0, description="Sorted steel weights (assumed).")
    dross_per_kg: MoneyPerKg = Field(0.2, ge=0, description="Oxide and dirt from the pot (assumed).")


class Reverting(Section):
    """A price that wanders and comes back to its mean."""

    mean_per_kg: MoneyPerKg = Field(
        ..., ge=0, description="Mean price in the long run; 0: the yard does not take it."
    )
    start_per_kg: MoneyPerKg | None = Field(
        None, gt=0, description="Price on the first day. Left out: the mean."
    )
    half_life_days: DurationDays = Field(
        180.0, gt=0, description="Time in which half of a departure from the mean has gone (assumed)."
    )
    volatility_share: Share = Field(
        0.25,
        description="Standard deviation of the price's relative change in a year if nothing drew it back (assumed).",
    )
    trend_a_year_share: Number = Field(
        0.0, gt=-1, le=1, description="Growth of the mean price a year; below 0 it falls."
    )


def _reverting(mean_per_kg: float) -> Reverting:
    return Reverting.model_construct(mean_per_kg=mean_per_kg)


class MeanReverting(Section):
    """Each good's price wanders around its mean; a shock they share moves them together."""

    weights: Reverting = Field(_reverting(0.46), description="Mixed weights as they came.")
    lead: Reverting = Field(_reverting(1.34), description="Clean lead ingots.")
    clips: Reverting = Field(_reverting(0.46), description="Skimmed steel clips.")
    zinc: Reverting = Field(_reverting(1.0), description="Sorted zinc weights.")
    steel: Reverting = Field(_reverting(0.15), description="Sorted steel weights.")
    dross: Reverting = Field(_reverting(0.2), description="Oxide and dirt from the pot.")
    together_share: Share = Field(
        0.7,
        description="Correlation of any two goods' daily changes: 0 each for itself, 1 all alike (assumed).",
    )


class ReplayRow(Section):
    """Prices from a date on. A good that is left out keeps its price."""

    date: Day = Field(..., description="From this day on.")
    weights_per_kg: MoneyPerKg | None = Field(None, ge=0, description="Mixed weights as they came.")
    lead_per_kg: MoneyPerKg | None = Field(None, ge=0, description="Clean lead ingots.")
    clips_per_kg: MoneyPerKg | None = Field(None, ge=0, description="Skimmed steel clips.")
    zinc_per_kg: MoneyPerKg | None = Field(None, ge=0, description="Sorted zinc weights.")
    steel_per_kg: MoneyPerKg | None = Field(None, ge=0, description="Sorted steel weights.")
    dross_per_kg: MoneyPerKg | None = Field(None, ge=0, description="Oxide and dirt from the pot.")


class Replay(Section):
    """Prices as they were, or as they are thought to become, date by date."""

    rows: tuple[ReplayRow, ...] = Field(
        ...,
        min_length=1,
        description="Prices in order of date. Before its first one a good has that price; without any it is not taken.",
    )

    @across("rows.*.date")
    def _in_order(self) -> None:
        found = [
            PartError(
                f"the row of {then.date} comes after that of {one.date}; put the rows in order of date",
                ["rows", number, "date"],
            )
            for number, (one, then) in enumerate(pairwise(self.rows), 1)
            if then.date <= one.date
        ]
        raise_all(found)


class Fixed:
    """The same prices every day."""

    def __init__(self, settings: FixedRates) -> None:
        self.settings = settings

    def draw(self, draw: Draw, horizon: Horizon) -> Rates:
        """A constant for every good; uses no chance."""
        return Rates({good: np.full(horizon.days, _price(self.settings, good)) for good in GOODS})


class Wandering:
    """Ornstein-Uhlenbeck processes of the logarithm of each price, stepped exactly from day to day."""

    def __init__(self, settings: MeanReverting) -> None:
        self.settings = settings

    def draw(self, draw: Draw, horizon: Horizon) -> Rates:
        """Daily prices, whose mean in the long run is the mean that was asked for, trend included."""
        together = self.settings.together_share
        shared = draw.normal("together", horizon.days) * math.sqrt(together)
        per_kg: dict[Good, FloatArray] = {}
        for good in GOODS:
            row: Reverting = getattr(self.settings, good)
            shock = shared + draw.normal(f"own/{good}", horizon.days) * math.sqrt(1.0 - together)
            per_kg[good] = _wandering(row, shock)
        return Rates(per_kg)


def _wandering(row: Reverting, shock: FloatArray) -> FloatArray:
    """Prices of one good [currency/kg] from a standard normal shock a day; the first day's price is the start."""
    if row.mean_per_kg == 0.0:
        return np.zeros_like(shock)
    pull_a_day = math.log(2.0) / row.half_life_days
    keeps = math.exp(-pull_a_day)
    variance = row.volatility_share**2 / YEAR_DAYS / (2.0 * pull_a_day)
    steps = shock * math.sqrt(variance * (1.0 - keeps**2))
    start_per_kg = row.mean_per_kg if row.start_per_kg is None else row.start_per_kg
    steps[0] = math.log(start_per_kg / row.mean_per_kg) + 0.5 * variance
    years = np.arange(shock.size) / YEAR_DAYS
    trend = (1.0 + row.trend_a_year_share) ** years
    prices: FloatArray = row.mean_per_kg * trend * np.exp(remembering(steps, keeps) - 0.5 * variance)
    return prices


class Replayed:
    """Prices date by date, each held until the next."""

    def __init__(self, settings: Replay) -> None:
        self.settings = settings

    def draw(self, draw: Draw, horizon: Horizon) -> Rates:
        """The prices of each day; uses no chance."""
        return Rates({good: _held(self.settings.rows, good, horizon) for good in GOODS})


def _held(rows: Sequence[ReplayRow], good: Good, horizon: Horizon) -> FloatArray:
    known = [(row.date, price) for row in rows if (price := _price(row, good)) is not None]
    if not known:
        return np.zeros(horizon.days)
    since = np.array([(day - horizon.start).days for day, _ in known])
    at = np.searchsorted(since, np.arange(horizon.days), side="right") - 1
    return np.array([price for _, price in known])[np.maximum(at, 0)]


def _price(row: Section, good: Good) -> float | None:
    price: float | None = getattr(row, f"{good}_per_kg")
    return price


FIXED = Provider(
    kind="rates",
    name="fixed",
    settings=FixedRates,
    build=Fixed,
    summary="the yard pays the same all the time",
    example={"weights": "0.46 EUR/kg", "lead": "1.34 EUR/kg", "dross": "0 EUR/kg"},
)
MEAN_REVERTING = Provider(
    kind="rates",
    name="mean_reverting",
    settings=MeanReverting,
    build=Wandering,
    summary="yard prices that wander around a mean and move together",
    example={
        "lead": {
            "mean": "1.34 EUR/kg",
            "start": "1.2 EUR/kg",
            "half_life": "180 days",
            "volatility_share": 0.25,
        }
    },
)
REPLAY = Provider(
    kind="rates",
    name="replay",
    settings=Replay,
    build=Replayed,
    summary="yard prices by date, as they were noted down",
    example={
        "rows": [{"date": "2026-01-01", "lead": "1.3 EUR/kg"}, {"date": "2026-07-01", "lead": "1.1 EUR/kg"}]
    },
)
