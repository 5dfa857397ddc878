"""Supply model ``sources.contract``: a shop owes so many buckets a year, and the owner owes to take them.

In: settings. Out: ``Supply`` with one shop whose buckets are owed: paid for when they are fetched, and when they are
not. Must not know: what the owner does about it. Dates are those of the contract; chance is only in what buckets hold.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import count, takewhile

import numpy as np
from pydantic import Field

from planner.plugin.contents import FallingLead
from planner.plugin.protocol import Provider
from planner.scenario.clock import Day, MonthNumbers
from planner.scenario.part import PartError
from planner.scenario.section import Name, Section, across
from planner.scenario.spread import Spread, SpreadBucketKg
from planner.scenario.units import Count, DistanceKm, DurationDays, Money
from planner.world.draw import Draw
from planner.world.parts import Horizon, Shop, Supply
from planner_other_sources.filling import MIX_COLUMNS, YEAR_H, Filled, shares_of

MOST_A_YEAR = 1000
"""More buckets a year are taken for a mistake (assumed)."""
_YEAR_DAYS = int(YEAR_H / 24.0)
_MASS, _WET, _MISSED, _MIX = range(4)


class _Terms(Section):
    """What was agreed, and where."""

    shop: Name = Field(..., description="Who it is agreed with.")
    x_km: DistanceKm = Field(..., description="East of the owner's place; below 0 west.")
    y_km: DistanceKm = Field(..., description="North of the owner's place; below 0 south.")
    buckets_a_year: Count | None = Field(
        None, ge=1, le=MOST_A_YEAR, description="Buckets owed a year, in equal steps. Or give `by_month`."
    )
    by_month: MonthNumbers | None = Field(
        None, description="Buckets owed in each month, whole numbers, in equal steps of the month."
    )
    price: Money = Field(
        ..., ge=0, description="Paid for each bucket, fetched in time or not; 0: nothing is owed for it."
    )
    waits_days: DurationDays = Field(
        21.0, gt=0, description="How long a bucket waits; then it is paid for and gone (assumed)."
    )
    begins: Day | None = Field(None, description="First day. Left out: the first day played.")
    ends: Day | None = Field(None, description="Last day. Left out: it goes on.")
    mass_kg: SpreadBucketKg = Field(
        Spread("triangular", (45.0, 59.0, 65.0), low=0.0),
        description="Mass of a full 20 L bucket (59 kg: common practice, no published source).",
    )


class ContractSettings(FallingLead, Filled, _Terms):
    """A yearly contract with one shop: buckets on fixed dates at a fixed price, wanted or not."""

    @across("buckets_a_year", "by_month")
    def _one_way_to_say_how_many(self) -> None:
        if (self.buckets_a_year is None) == (self.by_month is None):
            raise ValueError("a contract says how many buckets in one way; write buckets_a_year or by_month")

    @across("by_month")
    def _whole_buckets(self) -> None:
        months = self.by_month or ()
        if any(number != int(number) for number in months) or sum(months) > MOST_A_YEAR:
            raise PartError(
                f"buckets by month are whole numbers, together at most {MOST_A_YEAR} a year; write such as 2",
                ["by_month"],
            )

    @across("begins", "ends")
    def _ends_after_it_begins(self) -> None:
        if self.begins is not None and self.ends is not None and self.ends < self.begins:
            raise PartError(f"it ends before it begins ({self.begins}); write a later day", ["ends"])


class Contract:
    """One shop whose buckets are owed; see the module."""

    def __init__(self, settings: ContractSettings) -> None:
        self.settings = settings

    def draw(self, draw: Draw, horizon: Horizon) -> Supply:
        """The shop with every bucket it owes within the horizon; the n-th one holds the same on whatever date."""
        of = self.settings
        day = np.array([(due - horizon.start).days for due in self.dates(horizon)], dtype=np.int64)
        u = draw.uniform("buckets", (day.size, _MIX + MIX_COLUMNS))[day >= 0]
        ready_h = np.asarray(24.0 * day[day >= 0], dtype=np.float64)
        price = np.full(ready_h.size, of.price)
        shop = Shop(
            name=of.shop,
            x_km=of.x_km,
            y_km=of.y_km,
            known=True,
            asking_h=0.0,
            says_yes=True,
            misses_borne=ready_h.size,
            price_creep_share=0.0,
            open_hours=of.open,
            ready_h=ready_h,
            gone_after_h=np.full(ready_h.size, 24.0 * of.waits_days),
            mass_kg=of.mass_kg.from_uniform(u[:, _MASS]),
            shares=shares_of(of.mix, u[:, _MIX:], of, ready_h, horizon),
            price=price,
            wet=u[:, _WET] < of.wet_share,
            missed_u=u[:, _MISSED].copy(),
            owed=price.copy(),
        )
        return Supply("", (shop,))

    def dates(self, horizon: Horizon) -> list[date]:
        """When each bucket is due, from the first of the contract on; none after the horizon."""
        of = self.settings
        begins = of.begins or horizon.start
        last = horizon.start + timedelta(days=horizon.days - 1)
        last = last if of.ends is None else min(of.ends, last)
        steps = self._by_month(begins, last) if of.by_month else self._in_equal_steps(begins)
        return list(takewhile(lambda due: due <= last, steps))

    def _in_equal_steps(self, begins: date) -> Iterator[date]:
        a_year = self.settings.buckets_a_year or 1
        for k in count():
            yield begins + timedelta(days=k * _YEAR_DAYS // a_year)

    def _by_month(self, begins: date, last: date) -> Iterator[date]:
        first = date(begins.year, begins.month, 1)
        while first <= last:
            length, owed = (
                monthrange(first.year, first.month)[1],
                int((self.settings.by_month or ())[first.month - 1]),
            )
            for k in range(owed):
                due = first + timedelta(days=k * length // owed)
                if due >= begins:
                    yield due
            first += timedelta(days=length)


CONTRACT = Provider(
    kind="supply",
    name="contract",
    settings=ContractSettings,
    build=Contract,
    summary="a yearly contract with a shop: buckets owed on fixed dates, paid for fetched or not",
    example={
        "shop": "Ferry Lane Fleet Depot",
        "x": "4 km",
        "y": "3 km",
        "buckets_a_year": 18,
        "price": "6 EUR",
        "lead_falls_a_year_share": 0.03,
    },
)
