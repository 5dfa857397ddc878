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
from planner.world.parts import Shop, World


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
    unsafe = any(one.limit == "place" for one in f.known.refusals)
    if unsafe:
        melting_h = 0.0
    missing = _missing(business, world, free_h, unsafe or melting_h > 0.0)
    return Prospects(free_h / weeks, melting_h / weeks, (*missing, *further))


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


def _missing(business: Business, world: World, free_h: float, may_be_lit: bool) -> list[str]:
    """Causes; an unsafe place to melt is told as the limit that it is."""
    found = []
    if free_h <= 0.0:
        whose = (
            "none of the free hours (owner.hours) lies in the days that are played (calendar.start, calendar.days)"
            if any(business.owner.hours)
            else "there are no free hours (owner.hours)"
        )
        found.append(f"{whose}, so nothing is ever fetched, melted or sold")
    elif business.melting.on and not may_be_lit:
        found.append(
            "nothing can ever be melted: in none of the free hours do melting.days, daylight, rain, wind and cold "
            "allow to light up where the pot stands"
        )
    every = [shop for supply in world.supplies for shop in supply.shops]
    shops = [shop for shop in every if shop.mass_kg.size]
    if not shops:
        in_time = " in the days that are played (supply, calendar.days)" if every else " (supply)"
        left = (
            ": what is in stock is all there is"
            if business.stock.lots
            else " and there are none in stock: there is nothing to melt"
        )
        found.append(f"no shop fills a bucket{in_time}{left}")
    elif business.fetching.on and not any(_affordable(business, shop) for shop in shops):
        found.append(
            "every bucket is dearer than you pay at most (fetching.most_price): none is ever fetched"
        )
    if not any(crowd.gap_h.shape[0] for crowd in world.crowds):
        found.append("nobody buys (demand): only the yard takes what is cast")
    elif not any(crowd.known for crowd in world.crowds):
        found.append(
            "no buyer knows of the business (demand: known), and word of mouth has nobody to begin with"
        )
    return [*found, *_free(business, world)]


def _affordable(business: Business, shop: Shop) -> bool:
    """Is any bucket of a shop worth its price to the owner, or owed by contract?"""
    most = business.fetching.most_price
    return most is None or shop.bound or bool((shop.price <= most).any())


def _free(business: Business, world: World) -> Iterator[str]:
    """What costs or brings nothing, so that figures hide something."""
    if business.cash.opening <= 0.0:
        yield "there is no cash at the start (cash.opening): what costs money waits until something is sold"
    if not any(bool(np.any(prices)) for prices in world.rates.per_kg.values()):
        yield "the yard pays nothing for anything (rates): what is left in stock counts nothing"
    if business.owner.hour_price_per_h == 0.0:
        yield "your hour has no price (owner.hour_price): an option that saves hours gains nothing by it"
