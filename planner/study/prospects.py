"""Whether anything can happen at all: free hours, hours that allow a melt, shops, buyers.

In: a business, its world number 0. Out: ``Prospects``, with what is missing in plain sentences. Must not know: runs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import ceil, floor

import numpy as np

from planner.scenario.business import Business
from planner.scenario.clock import days_of
from planner.workshop.calendar import windows
from planner.workshop.floor import Floor
from planner.world.parts import World


@dataclass(frozen=True, slots=True)
class Prospects:
    """What there is to work with.

    Parameters
    ----------
    free_hours_a_week : float
        The owner's free hours, holidays taken off [h].
    melting_hours_a_week : float
        Of these, hours in which day, daylight and weather allow to light up [h].
    missing : tuple of str
        What the business cannot do without and does not have.
    """

    free_hours_a_week: float
    melting_hours_a_week: float
    missing: tuple[str, ...]


def prospects(f: Floor, further: Iterable[str] = ()) -> Prospects:
    """Look for what would keep a business from ever doing anything; what else was found comes after."""
    business, world = f.business, f.world
    weeks = world.horizon.days / 7.0
    owner = business.owner
    free = windows(world.horizon, owner.hours, days_of(owner.holidays), owner.other_hours)
    free_h = sum(end - start for start, end in free)
    melting_h = sum(_lit(f, start, end) for start, end in free)
    return Prospects(
        free_h / weeks, melting_h / weeks, (*_missing(business, world, free_h, melting_h), *further)
    )


def _lit(f: Floor, start_h: float, end_h: float) -> float:
    """Hours of a stretch in which a burner may be lit."""
    found = 0.0
    for hour in range(floor(start_h), ceil(end_h)):
        a, b, day = max(start_h, float(hour)), min(end_h, hour + 1.0), hour // 24
        if not f.business.melting.light:
            a = max(a, 24.0 * day + float(f.world.sunrise_h[day]))
            b = min(b, 24.0 * day + float(f.world.sunset_h[day]))
        if b > a and f.lighting.good_at(float(hour)) and f.melts_on(float(hour)):
            found += b - a
    return found


def _missing(business: Business, world: World, free_h: float, melting_h: float) -> list[str]:
    found = []
    if free_h <= 0.0:
        found.append("there are no free hours (owner.hours), so nothing is ever fetched, melted or sold")
    elif business.melting.on and melting_h <= 0.0:
        found.append(
            "nothing can ever be melted: in none of the free hours do melting.days, daylight, rain, wind and cold "
            "allow to light up where the pot stands"
        )
    shops = [shop for supply in world.supplies for shop in supply.shops if shop.mass_kg.size]
    if not shops and not business.stock.lots:
        found.append("no shop fills a bucket (supply) and there are none in stock: there is nothing to melt")
    elif not shops:
        found.append("no shop fills a bucket (supply): what is in stock is all there is")
    if not any(crowd.gap_h.shape[0] for crowd in world.crowds):
        found.append("nobody buys (demand): only the yard takes what is cast")
    elif not any(crowd.known for crowd in world.crowds):
        found.append(
            "no buyer knows of the business (demand: known), and word of mouth has nobody to begin with"
        )
    return [*found, *_free(business, world)]


def _free(business: Business, world: World) -> Iterator[str]:
    """What costs or brings nothing, so that figures hide something."""
    if business.cash.opening <= 0.0:
        yield "there is no cash at the start (cash.opening): what costs money waits until something is sold"
    if not any(bool(np.any(prices)) for prices in world.rates.per_kg.values()):
        yield "the yard pays nothing for anything (rates): what is left in stock counts nothing"
    if business.owner.hour_price_per_h == 0.0:
        yield "your hour has no price (owner.hour_price): an option that saves hours gains nothing by it"
