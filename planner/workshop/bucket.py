"""What follows for one bucket without playing a year: hours, propane, money.

In: settings and a drawn world, for a typical bucket and typical buyers. Out: plain rows for ``planner check``.
Must not know: how they are printed.
"""

from __future__ import annotations

from math import inf, nan
from typing import Final, NamedTuple

import numpy as np

from planner.scenario.business import Business
from planner.scenario.clock import days_of
from planner.trade.cylinder import NET_HEATING_J_PER_KG, Propane
from planner.trade.melting import melt
from planner.trade.pot import Contents, Portion
from planner.workshop.calendar import windows
from planner.workshop.crew import Crew
from planner.workshop.premises import Premises, Tables, kit_of
from planner.world.parts import PARTS, Alloy, Channel, PriceView, Pricing, World

LONGEST_H: Final = 48.0
"""A bucket that takes longer than this is said not to melt."""
LOW, HIGH = 0.1, 0.9


class Bucket(NamedTuple):
    """A typical bucket: the mean of all that the shops would fill in one drawn world."""

    mass_kg: float
    price: float
    shares: tuple[float, ...]
    """In the order of PARTS."""
    buckets: int

    @property
    def lead_share(self) -> float:
        """Lead in it, hard and soft."""
        return self.shares[0] + self.shares[2]


class BucketHours(NamedTuple):
    """One row a kind of hour: what a bucket takes in such weather, if it lasts."""

    weather: str
    air_c: float
    wind_m_s: float
    melts: bool
    stove_h: float
    """From lighting to solid, all pots full of it one after another [h]; nan if it never melts."""
    fuel_kg: float
    ingots_kg: float
    useful_share: float
    """Heat in the charge over net heat of the fuel."""


class ChannelMoney(NamedTuple):
    """One row a way of selling: what a bucket brings that way. Currency and hours a bucket."""

    channel: str
    per_kg: float
    income: float
    cost: float
    """Bucket, propane, driving, postage, and the wage of a second person who lifts."""
    hours_h: float
    """Fetching, melting, selling; the trip shared by the buckets it would bring."""
    per_hour: float


def typical_bucket(business: Business, world: World) -> Bucket | None:
    """The mean bucket of a world, or of the opening stock; None where there is neither."""
    shops = [shop for supply in world.supplies for shop in supply.shops if shop.mass_kg.size]
    if shops:
        mass = np.concatenate([shop.mass_kg for shop in shops])
        price = np.concatenate([shop.price for shop in shops])
        parts = np.concatenate([shop.shares * shop.mass_kg[:, None] for shop in shops]).sum(axis=0)
        shares = tuple((parts / mass.sum()).tolist())
        return Bucket(float(mass.mean()), float(price.mean()), shares, int(mass.size))
    lots = business.stock.lots
    if not lots:
        return None
    total = sum(lot.mass_kg for lot in lots)
    shares = tuple(sum(lot.mass_kg * lot.shares[i] for lot in lots) / total for i in range(len(PARTS)))
    return Bucket(total / len(lots), sum(lot.cost for lot in lots) / len(lots), shares, len(lots))


def free_weather(business: Business, world: World) -> tuple[np.ndarray, np.ndarray]:
    """Temperature [degC] and wind [m/s] of the hours in which the owner is free."""
    hours = np.zeros(world.horizon.hours, dtype=bool)
    owner = business.owner
    for start, end in windows(world.horizon, owner.hours, days_of(owner.holidays), owner.other_hours):
        hours[int(start) : max(int(np.ceil(end)), int(start) + 1)] = True
    if not hours.any():
        hours[:] = True
    return world.weather.temperature_c[hours], world.weather.wind_m_s[hours]


def bucket_hours(
    business: Business, known: Premises, tables: Tables, bucket: Bucket, world: World
) -> tuple[BucketHours, ...]:
    """A bucket in still and windy, warm and cold hours of the owner's free time, and in the middle one.

    Still and windy, cold and warm are the lowest and highest tenth of those hours.
    """
    air, wind = free_weather(business, world)
    cold, middle_c, warm = (float(np.quantile(air, q)) for q in (LOW, 0.5, HIGH))
    still, middle, windy = (float(np.quantile(wind, q)) for q in (LOW, 0.5, HIGH))
    kinds = (
        ("still and warm", warm, still),
        ("still and cold", cold, still),
        ("ordinary", middle_c, middle),
        ("windy and warm", warm, windy),
        ("windy and cold", cold, windy),
    )
    return tuple(one_bucket(business, known, tables, bucket, *kind) for kind in kinds)


def one_bucket(
    business: Business,
    known: Premises,
    tables: Tables,
    bucket: Bucket,
    weather: str,
    air_c: float,
    wind_m_s: float,
) -> BucketHours:
    """Melt a whole bucket, sorted or not as the scenario says, in weather that lasts."""
    kit = kit_of(business, known, tables)
    row = kit.table.hour(air_c, wind_m_s, 1.0)
    pile, contents = _pile(business, bucket), Contents(lead_kg=kit.heel_kg * kit.pots)
    content_kg = business.melting.cylinder.content_kg * business.melting.cylinder.number
    full = Propane(content_kg, content_kg)
    stove = fuel = ingots = useful = 0.0
    while sum(p.mass_kg for p in pile) > 1e-6:
        got = melt(kit, lambda *_: row, pile, contents, air_c, 0.0, LONGEST_H, propane=full)
        if isinstance(got, str):
            break
        stove, fuel, ingots = stove + got.lit_h, fuel + got.fuel_kg, ingots + got.poured_kg
        useful += got.useful_j
        contents = got.contents
        used = sum(kg for _, kg in got.used)
        pile = [p.less(used) for p in pile if p.mass_kg - used > 1e-6]
    melts = ingots > 0
    share = useful / (fuel * NET_HEATING_J_PER_KG) if fuel > 0 else nan
    return BucketHours(
        weather, air_c, wind_m_s, melts, stove if melts else nan, fuel if melts else nan, ingots, share
    )


def _pile(business: Business, bucket: Bucket) -> list[Portion]:
    hard, clip, soft, zinc, steel, rubbish = (bucket.mass_kg * s for s in bucket.shares)
    if business.sorting.on:
        missed = business.sorting.missed_share.mean
        zinc, steel, rubbish = zinc * missed, steel * missed, rubbish * missed
    lead = hard + soft
    total = lead + clip + zinc + steel + rubbish
    return [Portion(1, total, lead / total, clip / total, zinc / total, steel / total, rubbish / total)]


def lifting_h(crew: Crew, mass_kg: float, stops: int = 1) -> float:
    """Time to split a bucket, lift it into the vehicle and out at home, where each of so many stops has one [h]."""
    portions = crew.portions(mass_kg)
    return crew.at_shop_h(portions) + crew.at_home_h(portions) + crew.ready_h * (1.0 + 1.0 / stops)


def channel_money(
    business: Business, known: Premises, bucket: Bucket, hours: BucketHours, world: World, pricing: Pricing
) -> tuple[ChannelMoney, ...]:
    """What a bucket brings: each class of buyers, the yard as ingots, the yard untouched."""
    y, v, m = business.yard, business.vehicle, business.melting
    stops = [shop for supply in world.supplies for shop in supply.shops if shop.known]
    near = sorted(stops, key=lambda shop: abs(shop.x_km) + abs(shop.y_km))[: business.fetching.stops]
    km = 2.0 * max((float(np.hypot(shop.x_km, shop.y_km)) for shop in near), default=0.0)
    each = max(1, len(near))
    crew = known.alone
    fetch_h = km / v.speed_km_h / each + business.fetching.stop_min / 60.0
    fetch_h += lifting_h(crew, bucket.mass_kg, each)
    sort_h = bucket.mass_kg / business.sorting.rate_kg_per_h if business.sorting.on else 0.0
    session_h = (m.set_up_min + m.clean_up_min) / 60.0
    melt_h = hours.stove_h + session_h if m.on and hours.melts else nan
    before = bucket.price + km * v.cost_per_km / each + fetch_h * crew.wage_per_h
    melted = before + hours.fuel_kg * m.fuel_price_per_kg
    kg = hours.ingots_kg
    alloy: Alloy = "hard" if business.sorting.on and business.sorting.apart else "mixed"
    rates = {good: float(prices[0]) for good, prices in world.rates.per_kg.items()}
    clips = bucket.mass_kg * sum(bucket.shares[i] for i in (1, 3, 4)) * rates["clips"]
    horizon = world.horizon
    view = PriceView(0.0, {}, rates["lead"], 0.0, 0.0, horizon.start, float(horizon.days), rates["weights"])
    shared = max(1.0, y.least_kg / bucket.mass_kg)
    yard_h = (2.0 * y.distance_km / v.speed_km_h + y.visit_min / 60.0 + crew.ready_h) / shared
    yard_h += known.lifts(business, bucket.mass_kg) / 2 * crew.lift_h
    yard_cost = 2.0 * y.distance_km * v.cost_per_km / shared + yard_h * crew.wage_per_h
    rows = []
    for crowd in world.crowds:
        channel: Channel = crowd.channel
        size = max(float(np.mean(crowd.size_kg)), crowd.least_kg, crowd.parcel_kg, 1e-9)
        price = pricing.quote(view, alloy, size, channel)
        each_h = crowd.sale_h + crowd.trip_km / v.speed_km_h
        if crowd.trip_km > 0:
            each_h += 2.0 * crew.ready_h + known.lifts(business, size) * crew.lift_h
        sell_h = each_h * kg / size
        fees = kg / crowd.parcel_kg * crowd.parcel_fee if crowd.parcel_kg > 0 else 0.0
        if crowd.trip_km > 0:
            fees += kg / size * crowd.trip_km * v.cost_per_km + sell_h * crew.wage_per_h
        rows.append(
            _row(
                crowd.name,
                price,
                kg * price + clips,
                melted + fees,
                fetch_h + sort_h + melt_h + sell_h + crowd.packing_h(kg),
            )
        )
    if m.on and hours.melts:
        income = kg * rates["lead"] + clips
        rows.append(
            _row(
                "yard, as ingots",
                rates["lead"],
                income,
                melted + yard_cost,
                fetch_h + sort_h + melt_h + yard_h,
            )
        )
    income = bucket.mass_kg * rates["weights"]
    rows.append(_row("yard, untouched", rates["weights"], income, before + yard_cost, fetch_h + yard_h))
    return tuple(rows)


def _row(channel: str, per_kg: float, income: float, cost: float, hours_h: float) -> ChannelMoney:
    per_hour = (income - cost) / hours_h if 0 < hours_h < inf else nan
    return ChannelMoney(channel, per_kg, income, cost, hours_h, per_hour)
