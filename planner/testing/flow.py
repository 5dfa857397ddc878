"""Everything that waits in a business: when it came, when it left, and how much of it is seen at a moment.

In: the rows of a run, its world; or the floor itself. Out: for each queue the area under its length, by rows; its
length, by sight. Must not know: what the two are compared for.

Rows and sight are kept apart: an area is what came and what left, each with its time, as ledgers and diaries tell; a
length is counted on the floor while the run lasts.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator
from math import fsum, inf
from typing import Final, NamedTuple

import numpy as np

from planner.scenario.business import Business
from planner.workshop.floor import Floor
from planner.workshop.result import MeltRow, Run
from planner.workshop.shops import ShopState
from planner.world.parts import Shop, World

GOODS_SEEN: Final = ("clips", "zinc", "steel", "dross")
Events = list[tuple[float, float]]
"""(hour, how much) of what comes or leaves."""


class Passed(NamedTuple):
    """What came into a queue, and what left it again."""

    came: Events
    left: Events

    def area(self, end_h: float) -> float:
        """Time spent in the queue up to the end, by all that came."""
        return fsum(q * (end_h - t) for t, q in self.came) - fsum(q * (end_h - t) for t, q in self.left)

    @property
    def still_there(self) -> float:
        """What came and did not leave."""
        return fsum(q for _, q in self.came) - fsum(q for _, q in self.left)


class Queue(NamedTuple):
    """One queue: its name and unit, what passed through it by rows, how long it is by sight."""

    name: str
    unit: str
    passed: Callable[[Business, World, Run], Passed]
    seen: Callable[[float, Floor], float]


def _buckets(business: Business, world: World, run: Run) -> Passed:
    """Buckets that stand full at a shop that gives, until they are home or elsewhere."""
    del business
    came, left = [], []
    for supply in world.supplies:
        for shop in supply.shops:
            if shop.known:
                for ready_h, gone_h in _stood(shop, world, run):
                    came.append((ready_h, 1.0))
                    left += [(gone_h, 1.0)] if gone_h < world.horizon.hours else []
    return Passed(came, left)


def _stood(shop: Shop, world: World, run: Run) -> Iterator[tuple[float, float]]:
    """From when to when each bucket of a shop stood there; a shop that is left waiting too often stops giving."""
    home_h = _fetched(shop, run)
    gone_h = (shop.ready_h + shop.gone_after_h).tolist()
    told = [(left_h, 1, k) for k, (left_h, _) in home_h.items()]
    told += [(gone, 0, k) for k, gone in enumerate(gone_h) if k not in home_h]
    misses, stops_h = 0, inf
    for when_h, fetched, _ in sorted(told):
        misses = 0 if fetched else misses + 1
        if misses > shop.misses_borne and not shop.bound:
            stops_h = when_h
            break
    for k, ready_h in enumerate(shop.ready_h.tolist()):
        if ready_h < min(stops_h, float(world.horizon.hours)):
            yield ready_h, min(home_h.get(k, (inf, inf))[1], gone_h[k], stops_h)


def _fetched(shop: Shop, run: Run) -> dict[int, tuple[float, float]]:
    """Buckets of a shop that were fetched: when the owner left for them, and when they were home."""
    left_h = {trip.end_h: trip.t_h for trip in run.trips if trip.kind == "shops"}
    found: dict[int, tuple[float, float]] = {}
    for lot in run.lots:
        if lot.source == shop.name:
            alike = np.flatnonzero((shop.mass_kg == lot.mass_kg) & (shop.ready_h <= left_h[lot.t_h])).tolist()
            k = next((k for k in alike if k not in found), None)
            if k is not None:  # else it came from a shop of the same name
                found[k] = left_h[lot.t_h], lot.t_h
    return found


def _buckets_seen(t_h: float, f: Floor) -> float:
    return float(sum(_standing(state, t_h) for state in f.shops if state.shop.known))


def _standing(state: ShopState, t_h: float) -> int:
    """Full buckets at a shop now; the owner learns of it when asking there."""
    if not state.alive:
        return 0
    shop, next_h = state.shop, state.next_full_h()
    first = bisect_left(shop.ready_h, next_h) if next_h < inf else shop.ready_h.size
    there = [*state.waiting, *(k for k in range(first, shop.ready_h.size) if shop.ready_h[k] <= t_h)]
    lost = sum(shop.ready_h[k] + shop.gone_after_h[k] <= t_h for k in there)
    gave_up = state.misses + lost > shop.misses_borne and not shop.bound
    return 0 if gave_up else len(there) - int(lost)


def _weights(business: Business, world: World, run: Run) -> Passed:
    """Weights at home until they are in the pot, sorted out, or at the yard."""
    del world
    left = [(end_h, melt.charged_kg) for melt, end_h in _melts(business, run)]
    left += [(row.end_h, row.zinc_out_kg + row.steel_out_kg + row.rubbish_out_kg) for row in run.sorts]
    return Passed([(lot.t_h, lot.mass_kg) for lot in run.lots], left + _to_yard(run, ("weights",)))


def _skimmings(business: Business, world: World, run: Run) -> Passed:
    """Clips, zinc, steel and dross until they are at the yard."""
    del world
    came = [
        (end_h, melt.clip_kg + melt.zinc_kg + melt.steel_kg + melt.dross_kg)
        for melt, end_h in _melts(business, run)
    ]
    came += [(row.end_h, row.zinc_out_kg + row.steel_out_kg) for row in run.sorts]
    return Passed(came, _to_yard(run, GOODS_SEEN))


def _ingots(business: Business, world: World, run: Run) -> Passed:
    """Ingots until they are sold or at the yard."""
    del world
    stock = business.stock
    came = [(0.0, stock.hard_kg + stock.soft_kg + stock.mixed_kg)]
    came += [(end_h, melt.poured_kg) for melt, end_h in _melts(business, run)]
    return Passed(came, [(sale.t_h, sale.mass_kg) for sale in run.sales] + _to_yard(run, ("lead",)))


def _buyers(business: Business, world: World, run: Run) -> Passed:
    """Buyers from asking until the owner turns to them, or they give up."""
    del business, world
    turned_to = {row.end_h: row.t_h for row in run.hours if row.who == "owner" and row.what == "selling"}
    ends = [sale.t_h for sale in run.sales] + [row.t_h for row in run.lost if row.cause == "no-show"]
    left = [turned_to.get(end_h, end_h) for end_h in ends]
    left += [note.t_h for note in run.notes if note.what == "order lost"]
    return Passed([(note.t_h, 1.0) for note in run.notes if note.what == "order"], [(t, 1.0) for t in left])


def _melts(business: Business, run: Run) -> Iterator[tuple[MeltRow, float]]:
    """Each melt, and when its session ended: only then are ingots and skimmings put where they belong."""
    ends = [row.end_h for row in run.hours if row.who == "owner" and row.what == "cleaning up"]
    for i, melt in enumerate(run.melts):
        if business.melting.clean_up_min > 0.0:
            yield melt, ends[bisect_left(ends, melt.end_h)]
            continue
        last = i
        while last + 1 < len(run.melts) and run.melts[last + 1].t_h <= run.melts[last].end_h + 1e-9:
            last += 1
        yield melt, run.melts[last].end_h


def _to_yard(run: Run, goods: Iterable[str]) -> Events:
    """What went to the yard, when the owner is home again."""
    trips = [(trip.t_h, trip.end_h) for trip in run.trips if trip.kind == "yard"]
    home_h = {
        row.t_h: next(end_h for begun_h, end_h in trips if begun_h <= row.t_h <= end_h) for row in run.yard
    }
    return [(home_h[row.t_h], row.mass_kg) for row in run.yard if row.good in set(goods)]


QUEUES: Final = (
    Queue("full buckets at shops", "", _buckets, _buckets_seen),
    Queue("weights at home", "kg", _weights, lambda _, f: f.weights_kg()),
    Queue("skimmings and dross", "kg", _skimmings, lambda _, f: fsum(f.goods.values())),
    Queue("ingots in stock", "kg", _ingots, lambda _, f: f.ingot_total_kg()),
    Queue("buyers who wait", "", _buyers, lambda _, f: float(len(f.orders))),
)
"""Every queue of a business: shops known from the start, home, yard corner, stock, buyers."""
