"""Offers that turn up now and then: when, where, and how long they stand.

In: settings, chance. Out: one ``Offer`` each, in order of time; and what all of them share as a ``Shop``.
Must not know: what is offered.

Times are drawn in operational time, one row of uniforms an offer: another season, or more of them a year, moves offers
and changes nothing of what each is like.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, Final, NamedTuple

import numpy as np
from pydantic import Field

from planner.plugin.builtin.pace import Spell, pace
from planner.scenario.clock import MonthNumbers
from planner.scenario.spread import Spread, SpreadKm
from planner.scenario.units import Number
from planner.world.arrivals import arrivals
from planner.world.draw import Draw
from planner.world.parts import FloatArray, Horizon, Shop, clock_h
from planner_other_sources.filling import YEAR_H, Filled

SIZE: Final = 1
PRICE: Final = 2
WAITS: Final = 3
"""Columns of an offer's uniforms that say how much it is, what is asked and how long it stands."""
_GAP, _DISTANCE, _DIRECTION = 0, 4, 5
OWN: Final = 6
"""The first column that belongs to the model."""


class Offered(Filled):
    """Where offers turn up, what they hold, and how busy a time is."""

    distance_km: SpreadKm = Field(
        Spread("gamma", (12.0, 6.0), low=0.0),
        description="How far away each is, in any direction (assumed).",
    )
    season: MonthNumbers = Field(
        (1.0,) * 12, description="How often they come by month; 1 is an ordinary month."
    )
    growth_a_year_share: Number = Field(
        0.0, gt=-1, le=1, description="Growth of their number a year; below 0 they become fewer."
    )
    spells: tuple[Spell, ...] = Field((), description="Days on which they come more often or more seldom.")


class Offer(NamedTuple):
    """One offer: its number from 1, when it turns up [h], its uniforms."""

    number: int
    t_h: float
    u: FloatArray


def offers(
    draw: Draw, horizon: Horizon, settings: Offered, per_year: float, own_columns: int
) -> Iterator[Offer]:
    """Offers within the horizon: a Poisson process in operational time, so many in an ordinary year on average."""
    if per_year == 0.0:
        return
    gap_h = YEAR_H / per_year
    operational_h = pace(horizon, settings.season, settings.growth_a_year_share, settings.spells)
    u, at_h = arrivals(
        draw,
        "offers",
        OWN + own_columns,
        lambda gap_u: -gap_h * np.log1p(-gap_u),
        gap_h,
        float(operational_h[-1]),
    )
    for number, (t_h, row) in enumerate(zip(clock_h(operational_h, at_h).tolist(), u, strict=True), 1):
        yield Offer(number, t_h, row)


def one_value(spread: Spread, u: float) -> float:
    """The value of a spread for one uniform."""
    return float(spread.from_uniform(np.array([u]))[0])


def place_of(offer: Offer, settings: Offered) -> tuple[float, float]:
    """Where an offer stands: east and north of the owner's place [km]."""
    away_km = one_value(settings.distance_km, offer.u[_DISTANCE])
    angle = 2.0 * math.pi * float(offer.u[_DIRECTION])
    return away_km * math.cos(angle), away_km * math.sin(angle)


def stand(name: str, offer: Offer, settings: Offered, stands_days: float, **columns: Any) -> Shop:
    """An offer as the owner meets it: a place known at once, with buckets that are there together or not at all."""
    x_km, y_km = place_of(offer, settings)
    buckets = columns["mass_kg"].size
    return Shop(
        name=f"{name} {offer.number}",
        x_km=x_km,
        y_km=y_km,
        known=True,
        asking_h=0.0,
        says_yes=True,
        misses_borne=buckets,
        price_creep_share=0.0,
        open_hours=settings.open,
        ready_h=np.full(buckets, offer.t_h),
        gone_after_h=np.full(buckets, 24.0 * stands_days),
        **columns,
    )
