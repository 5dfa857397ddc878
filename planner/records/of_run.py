"""What an owner who wrote everything down would have kept of a simulated run.

In: a run, its business and its world. Out: ``Records``, as if read from the owner's tables.
Must not know: files, what is estimated from them.

The simulated owner asks by telephone before setting off, so no visit is in vain: ``pickups`` has no row without a mass.
What the run knows and no owner would (what a buyer would have paid, when a bucket was full) is left out.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import groupby, pairwise
from math import floor, fsum, inf, nan
from typing import Any, Final

import numpy as np

from planner.records.records import Records, filled
from planner.records.tables import TABLES
from planner.scenario.business import Business
from planner.workshop.fetch import UNFETCHED
from planner.workshop.result import OPENING, HoursRow, LotRow, MeltRow, Run, SaleRow, TripRow
from planner.world.parts import Shop, World

ACTIVITY_OF: Final = {
    "selling": "serve",
    "messages": "serve",
    "fetching": "fetch",
    "yard": "yard",
    "setting up": "melt",
    "melting": "melt",
    "cleaning up": "melt",
    "sorting": "sort",
    "asking around": "ask",
}
"""What the owner's time is spent on, by the word of the table of hours."""
IN_OTHER_TABLES: Final = ("weights", "sales: private", "sales: bulk", "sales: post")
"""Movements of money that pickups and sales hold; what the yard pays is in its own table."""
SAME_H: Final = 1e-9

Row = dict[str, Any]


def records_of(run: Run, business: Business, world: World, *, weighs_mix: bool = False) -> Records:
    """The owner's tables of a run.

    Parameters
    ----------
    run : Run
        What was played.
    business : Business
        What it was played with.
    world : World
        What it was played in: air and wind of each melt, how many buckets stood at a shop.
    weighs_mix : bool
        Does the owner weigh what each bucket holds, so that the columns of its mix are filled?

    Returns
    -------
    Records
        Lines are 0, for there is no file; there is nothing to remark.

    Notes
    -----
    Money adds up: opening cash, and what sales and yard brought, less what was paid for buckets and the expenses, is
    the cash at the end. What came in otherwise (tin sold, gear sold) is an expense below zero.
    """
    days = _Days(world)
    rows = {
        "melts": _melts(run, business, world, days),
        "sales": _sales(run, days),
        "asked": _asked(run, world, days),
        "pickups": _pickups(run, world, days, weighs_mix),
        "yard": _yard(run, days),
        "expenses": _expenses(run, days),
        "hours": _hours(run, days),
    }
    return Records({name: filled(TABLES[name], list(found)) for name, found in rows.items()})


class _Days:
    """Dates of a horizon."""

    def __init__(self, world: World) -> None:
        self.start = world.horizon.start
        self.last = self.start + timedelta(days=world.horizon.days - 1)

    def of(self, t_h: float) -> date:
        """The day that an hour belongs to; what is booked at the very end belongs to the last day."""
        return min(self.start + timedelta(days=floor(t_h / 24.0)), self.last)

    def months(self) -> Iterator[date]:
        """Last day of each month, the last one as far as it was played."""
        first = self.start.replace(day=1)
        while first <= self.last:
            following = (first + timedelta(days=32)).replace(day=1)
            yield min(following - timedelta(days=1), self.last)
            first = following


def _melts(run: Run, business: Business, world: World, days: _Days) -> Iterator[Row]:
    """Melts that burned. What was filled into a pot that stayed cold is told with the melt that melts it."""
    packed_h = {row.t_h: row.end_h for row in run.hours if row.who == "owner" and row.what == "cleaning up"}
    lit = sorted((melt for melt in run.melts if melt.lit), key=lambda melt: melt.t_h)
    cold = sorted((melt.t_h, melt.charged_kg) for melt in run.melts if not melt.lit)
    befores = [-inf, *(melt.t_h for melt in lit)]
    for i, melt in enumerate(lit):
        follows_h = lit[i + 1].t_h if i + 1 < len(lit) else inf
        ends_h = min(packed_h.get(melt.end_h, inf), follows_h)
        air_c, wind_m_s = _weather(world, melt)
        yield {
            "date": days.of(melt.t_h),
            "weights_kg": melt.charged_kg + fsum(kg for t_h, kg in cold if befores[i] < t_h < melt.t_h),
            "ingots_kg": melt.poured_kg,
            "hours_h": (melt.end_h if ends_h == inf else ends_h) - melt.t_h,
            "lit_at_h": melt.t_h % 24.0,
            "fuel_kg": melt.fuel_kg,
            "alloy": melt.alloy,
            "skimmed_kg": melt.clip_kg + melt.zinc_kg + melt.steel_kg,
            "dross_kg": melt.dross_kg,
            "air_c": air_c,
            "wind_m_s": wind_m_s,
            "note": melt.cause,
        }


def _weather(world: World, melt: MeltRow) -> tuple[float, float]:
    """Mean air and wind of the hours of a melt."""
    last = world.weather.temperature_c.size - 1
    first, end = min(floor(melt.t_h), last), min(floor(melt.end_h), last)
    hours = np.arange(first, end + 1)
    shares = np.minimum(hours + 1.0, melt.end_h) - np.maximum(hours, melt.t_h)
    if shares.sum() <= 0.0:
        shares = np.ones(hours.size)
    return (
        float(np.average(world.weather.temperature_c[first : end + 1], weights=shares)),
        float(np.average(world.weather.wind_m_s[first : end + 1], weights=shares)),
    )


def _sales(run: Run, days: _Days) -> Iterator[Row]:
    spent = {
        row.end_h: row.end_h - row.t_h for row in run.hours if row.who == "owner" and row.what == "selling"
    }
    lacked = _lacked(run)
    for sale in run.sales:
        more = lacked.get(_whose(sale.t_h, sale.buyers, sale.person))
        yield {
            "date": days.of(sale.t_h),
            "sold_kg": sale.mass_kg,
            "price_per_kg": sale.price_per_kg,
            "money": sale.money,
            "buyers": sale.buyers,
            "who": f"{sale.buyers} {sale.person + 1}",
            "alloy": sale.alloy,
            "wanted_kg": nan if more is None else sale.mass_kg + more,
            "asked_on": days.of(sale.t_h - sale.waited_h),
            "time_h": spent.get(sale.t_h, nan),
        }


def _whose(t_h: float, buyers: str, person: int) -> tuple[float, str, int]:
    return t_h, buyers, person


def _lacked(run: Run) -> dict[tuple[float, str, int], float]:
    """What was lacking of orders that were served in part [kg], by hour, class and person."""
    served = {_whose(sale.t_h, sale.buyers, sale.person) for sale in run.sales}
    return {
        key: lost.mass_kg
        for lost in run.lost
        if (key := _whose(lost.t_h, lost.buyers, lost.person)) in served
    }


def _asked(run: Run, world: World, days: _Days) -> Iterator[Row]:
    """One row a month and class, those without anybody included."""
    part_served = _lacked(run)
    counted: dict[tuple[str, tuple[int, int]], Counter[str]] = defaultdict(Counter)
    for lost in run.lost:
        if _whose(lost.t_h, lost.buyers, lost.person) not in part_served:
            counted[lost.buyers, _month(days.of(lost.t_h))][lost.cause] += 1
    for name in dict.fromkeys(crowd.name for crowd in world.crowds):
        sales = [sale for sale in run.sales if sale.buyers == name]
        for last in days.months():
            causes = counted[name, _month(last)]
            yield {
                "month": last,
                "did_not_buy": causes.total(),
                "buyers": name,
                "too_dear": causes["price"],
                "no_stock": causes["stock"],
                "did_not_come": causes["no-show"],
                "price_per_kg": _price_asked(sales, last, days),
            }


def _month(day: date) -> tuple[int, int]:
    return day.year, day.month


def _price_asked(sales: list[SaleRow], last: date, days: _Days) -> float:
    """Mean price of this month's sales; in a month without one that of the nearest sale, the earlier of two."""
    if not sales:
        return nan
    here = [sale.price_per_kg for sale in sales if _month(days.of(sale.t_h)) == _month(last)]
    if here:
        return fsum(here) / len(here)
    return min(sales, key=lambda sale: abs((days.of(sale.t_h) - last).days)).price_per_kg


def _pickups(run: Run, world: World, days: _Days, weighs_mix: bool) -> Iterator[Row]:
    trips = {trip.end_h: trip for trip in run.trips if trip.kind == "shops"}
    shops = [shop for supply in world.supplies for shop in supply.shops]
    names = Counter(shop.name for shop in shops)
    bought = [(lot, trips[lot.t_h]) for lot in run.lots if lot.source != OPENING]
    standing: dict[tuple[str, float], int] = {}
    for shop in shops:
        if names[shop.name] == 1:
            standing |= _stood_ready(
                shop, [(lot, trip) for lot, trip in bought if lot.source == shop.name], run
            )
    for lot, trip in bought:
        row: Row = {
            "date": days.of(trip.t_h),
            "shop": lot.source,
            "bucket_kg": lot.mass_kg,
            "paid": lot.cost,
            "stood_ready": standing.get((lot.source, trip.t_h), nan),
            "wet": float(lot.wet),
        }
        if weighs_mix:
            row |= {
                "clip-on_kg": lot.hard_kg + lot.clip_kg,
                "stick-on_kg": lot.soft_kg,
                "zinc_kg": lot.zinc_kg,
                "steel_kg": lot.steel_kg,
                "rubbish_kg": lot.rubbish_kg,
            }
        yield row


def _stood_ready(shop: Shop, bought: list[tuple[LotRow, TripRow]], run: Run) -> dict[tuple[str, float], int]:
    """Full buckets at a shop when the owner set off for it, by shop and hour of setting off.

    Of a shop that was found by asking around only what was full from then on counts; when it was found is told by the
    diary, without which nothing is known of it.
    """
    found_h = (
        [0.0] if shop.known else [n.t_h for n in run.notes if (n.what, n.who) == ("new shop", shop.name)]
    )
    if not found_h:
        return {}
    ready_h, gone_h = shop.ready_h, shop.ready_h + shop.gone_after_h
    there = ready_h >= (-inf if shop.known else found_h[0])
    taken = np.zeros(ready_h.size, bool)
    ready: dict[tuple[str, float], int] = {}
    for t_h, on_trip in groupby(bought, key=lambda pair: pair[1].t_h):
        waiting = there & ~taken & (ready_h <= t_h) & (gone_h > t_h)
        ready[shop.name, t_h] = int(waiting.sum())
        for lot, _ in on_trip:
            alike = np.flatnonzero(waiting & ~taken & (shop.mass_kg == lot.mass_kg))
            taken[alike[:1]] = True
    return ready


def _yard(run: Run, days: _Days) -> Iterator[Row]:
    """One row a good and price of a visit: a receipt does not say which melt an ingot came from."""
    sums: dict[tuple[float, str, float], list[float]] = defaultdict(list)
    for row in run.yard:
        sums[row.t_h, row.good, row.price_per_kg].append(row.mass_kg)
    for (t_h, good, price), masses in sums.items():
        mass_kg = fsum(masses)
        yield {
            "date": days.of(t_h),
            "good": good,
            "mass_kg": mass_kg,
            "price_per_kg": price,
            "money": mass_kg * price,
        }


def _expenses(run: Run, days: _Days) -> Iterator[Row]:
    for entry in run.ledger:
        if entry.kind not in IN_OTHER_TABLES and not entry.kind.startswith("yard: "):
            note = entry.note if entry.kind in ("driving", UNFETCHED) else ""
            yield {"date": days.of(entry.t_h), "what": entry.kind, "amount": -entry.amount, "note": note}


def _hours(run: Run, days: _Days) -> Iterator[Row]:
    """One row a spell of the owner; a melting session from setting up to cleaning up is one spell."""
    moved = _moved(run)
    stops = _stops(run)
    for spell in _spells(run):
        t_h, end_h, what = spell[0].t_h, spell[-1].end_h, spell[0].what
        melted = [melt.charged_kg for melt in run.melts if t_h - SAME_H <= melt.t_h < end_h]
        yield {
            "date": days.of(t_h),
            "activity": ACTIVITY_OF[what],
            "hours_h": fsum(row.end_h - row.t_h for row in spell),
            "moved_kg": fsum(melted) if ACTIVITY_OF[what] == "melt" else moved.get((what, end_h), nan),
            "stops": stops.get(end_h, nan) if what == "fetching" else nan,
            "note": what if ACTIVITY_OF[what] == "serve" else "",
        }


def _spells(run: Run) -> Iterator[list[HoursRow]]:
    """What the owner's time was spent on, in order, parts of a melting session together."""
    rows = sorted((row for row in run.hours if row.who == "owner"), key=lambda row: row.t_h)
    spell = rows[:1]
    for before, row in pairwise(rows):
        goes_on = ACTIVITY_OF[row.what] == ACTIVITY_OF[before.what] == "melt" and row.what != "setting up"
        if goes_on:
            spell.append(row)
        else:
            yield spell
            spell = [row]
    if spell:
        yield spell


def _moved(run: Run) -> dict[tuple[str, float], float]:
    """Mass of what a spell was about [kg], by what it was and the hour at which it ended."""
    return (
        {("sorting", row.end_h): row.mass_kg for row in run.sorts}
        | {("selling", sale.t_h): sale.mass_kg for sale in run.sales}
        | {("fetching" if trip.kind == "shops" else "yard", trip.end_h): trip.mass_kg
           for trip in run.trips if trip.kind in ("shops", "yard")}
    )  # fmt: skip


def _stops(run: Run) -> dict[float, int]:
    """Shops at which something was loaded, by the hour at which the trip ended."""
    shops: dict[float, set[str]] = defaultdict(set)
    for lot in run.lots:
        shops[lot.t_h].add(lot.source)
    return {t_h: len(names) for t_h, names in shops.items()}
