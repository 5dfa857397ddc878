"""Fetching buckets: one drive past some shops, bounded by stops, payload, lifting, hours and cash.

In: the floor and the time left. Out: a step, or what held the trip back. Must not know: other tasks.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from itertools import pairwise
from math import floor as whole
from math import fsum, hypot, inf
from typing import Final, NamedTuple

from planner.trade.payload import may_still_load_kg, rated_cargo_kg, wear_cost
from planner.workshop import drying, sort
from planner.workshop.calendar import Openings, openings
from planner.workshop.crew import Crew
from planner.workshop.floor import WAGE_H, Floor, Held, Lot, Step
from planner.workshop.result import LotRow, TripRow
from planner.workshop.shops import ShopState

UNFETCHED: Final = "owed, not fetched"
"""What the ledger calls a bucket that was owed by contract and paid for in vain."""


class Bought(NamedTuple):
    """A bucket on the trip."""

    shop: ShopState
    bucket: int
    mass_kg: float
    price: float
    portions: int


@dataclass(slots=True)
class Trip:
    """A trip as planned: it goes as planned, for what a shop has is known by asking."""

    crew: Crew
    helped: bool
    cash: float
    """That may be spent on it."""
    lifts_left: int
    owed_only: bool
    """There are weights enough: only what is owed by contract is taken."""
    end_h: float = 0.0
    km: float = 0.0
    load_kg: float = 0.0
    spent: float = 0.0
    lifts: int = 0
    index: float = 0.0
    stops: list[str] = field(default_factory=list)
    bought: list[Bought] = field(default_factory=list)
    refused: list[tuple[str, str, str]] = field(default_factory=list)
    """(limit, shop, why) of each bucket left behind."""
    opens_h: float = inf
    """When to leave for the first of the shops that are shut."""


def next_step(f: Floor, t_h: float, until_h: float) -> Step | Held | None:
    """Drive past the shops that have something, if a trip is due."""
    fetching = f.business.fetching
    if not fetching.on or t_h >= f.stopped_h:
        return None
    if f.weekday(t_h) not in fetching.days:
        return Held("hours")
    due = f.last_trip_h + fetching.every_days * 24.0
    if t_h < due - 1e-9:
        return Held("pickups", due)
    for refusal in f.known.refusals:
        if refusal.limit in ("lifting", "payload"):
            return Held(refusal.limit)
    enough = f.weights_kg() >= fetching.scrap_at_most_kg
    if enough and not any(state.owed for state in f.shops):
        return Held("weights enough")
    ready = _ready(f, t_h)
    if enough:
        ready = [state for state in ready if any(state.owes(k) > 0.0 for k in state.waiting)]
        if not ready:
            return Held("weights enough", min([state.next_full_h() for state in f.shops if state.owed]))
    if sum(len(s.waiting) for s in ready) < fetching.least_buckets:
        return Held("supply", min((s.next_full_h() for s in f.shops if s.known), default=inf))
    trip = _plan(f, ready, t_h, until_h, enough)
    if not trip.bought:
        limit = trip.refused[0][0] if trip.refused else "hours"
        for what, shop, why in trip.refused:
            f.note(t_h, "bucket left", shop, f"{what}: {why}")
        return Held(limit, trip.opens_h)

    for item in trip.bought:
        item.shop.taken.add(item.bucket)

    def done() -> None:
        _home(f, trip, t_h)

    f.last_trip_h = 24.0 * whole(t_h / 24.0 + 1e-9)
    return Step(trip.end_h, "fetching", done)


def _ready(f: Floor, t_h: float) -> list[ShopState]:
    """Known shops with full buckets now."""

    def missed(when_h: float, shop: str, gives: bool) -> None:
        cause = "waited too long" if gives else "waited too long, and too often: the shop gives no more"
        f.note(when_h, "bucket went elsewhere", shop, cause)

    ready = []
    for state in f.shops:
        if state.known and state.alive:
            state.update(t_h, missed)
            if state.waiting:
                ready.append(state)
    return ready


def dues(f: Floor) -> list[tuple[float, Callable[[], None]]]:
    """When each bucket that is owed by contract has waited its time, and what happens then."""
    return [
        (due_h, partial(_due, f, state, bucket, due_h))
        for state in f.shops
        for bucket, due_h in state.dues()
        if due_h < f.horizon_h
    ]


def _due(f: Floor, state: ShopState, bucket: int, due_h: float) -> None:
    """Pay for an owed bucket that nobody came for: no limit of the owner's excuses from it."""
    if bucket in state.taken:
        return
    charged = state.owes(bucket)
    f.book(due_h, UNFETCHED, -charged, f"{state.mass_kg[bucket]:.1f} kg from {state.shop.name}")
    f.note(
        due_h, "owed bucket not fetched", state.shop.name, f"waited too long: {charged:.2f} paid by contract"
    )


def _plan(f: Floor, ready: list[ShopState], t_h: float, until_h: float, owed_only: bool) -> Trip:
    """The drive: nearest shop first, straightened, until something runs out."""
    b, known = f.business, f.known
    helped = f.helped(t_h)
    crew = known.crew(helped)
    wage = crew.wage_per_h + (b.helper.wage_per_h if helped and b.helper is not None else 0.0)
    cash = f.spendable() - f.cost_of("trip") - WAGE_H * wage
    trip = Trip(crew, helped, cash, f.lifts_left(t_h), owed_only)
    x = y = 0.0
    now = t_h
    unload_h = crew.ready_h
    worth = [state for state in ready if _worth_a_stop(f, state, trip, t_h)]
    for state in _route(worth, b.fetching.stops):
        leg = hypot(state.shop.x_km - x, state.shop.y_km - y)
        back = hypot(state.shop.x_km, state.shop.y_km)
        arrive = now + leg / b.vehicle.speed_km_h
        closes = _open(f, state).closes(arrive)
        if closes <= arrive:
            trip.opens_h = min(trip.opens_h, _open(f, state).opens(arrive) - (arrive - t_h))
            trip.refused.append(("shops shut", state.shop.name, "shut on arrival"))
            continue
        leave = arrive + b.fetching.stop_min / 60.0
        taken = 0
        for bucket in state.waiting:
            item = _judge(f, state, bucket, trip, trip.km + (0.0 if taken else leg) + back)
            if isinstance(item, str):
                trip.refused.append((item.partition(":")[0], state.shop.name, item.partition(": ")[2]))
                continue
            work = crew.at_shop_h(item.portions) + (0.0 if taken else crew.ready_h)
            unload = unload_h + crew.at_home_h(item.portions)
            home = leave + work + back / b.vehicle.speed_km_h + unload
            if home > until_h + 1e-9 or leave + work > closes + 1e-9:
                trip.refused.append(("hours", state.shop.name, "not enough time left"))
                break
            leave += work
            unload_h = unload
            taken += 1
            trip.bought.append(item)
            trip.load_kg += item.mass_kg
            trip.spent += item.price + f.cost_of("bucket")
            trip.lifts += 2 * item.portions
            trip.index = max(trip.index, crew.lifting_index(item.mass_kg / item.portions))
            if taken == 1:
                trip.stops.append(state.shop.name)
                trip.km += leg
        if taken:
            now, x, y = leave, state.shop.x_km, state.shop.y_km
    if trip.bought:
        back = hypot(x, y)
        trip.km += back
        trip.end_h = now + back / b.vehicle.speed_km_h + unload_h
    return trip


def _worth_a_stop(f: Floor, state: ShopState, trip: Trip, t_h: float) -> bool:
    """Would it be open, and is there a bucket that may be taken, on a drive there alone? If not, it is told why."""
    away = hypot(state.shop.x_km, state.shop.y_km)
    arrive = t_h + away / f.business.vehicle.speed_km_h
    opens = _open(f, state)
    if opens.closes(arrive) <= arrive:
        trip.opens_h = min(trip.opens_h, opens.opens(arrive) - (arrive - t_h))
        trip.refused.append(("shops shut", state.shop.name, "shut on arrival"))
        return False
    told = []
    for bucket in state.waiting:
        item = _judge(f, state, bucket, trip, 2.0 * away)
        if not isinstance(item, str):
            return True
        told.append(item.partition(": "))
    trip.refused += [(limit, state.shop.name, why) for limit, _, why in told]
    return False


def _judge(f: Floor, state: ShopState, bucket: int, trip: Trip, km: float) -> Bought | str:
    """A bucket that may be taken on a drive of so many km, or ``limit: why`` not."""
    b = f.business
    mass = state.mass_kg[bucket]
    price = state.price(bucket)
    most, owed = b.fetching.most_price, state.owes(bucket) > 0.0
    if trip.owed_only and not owed:
        return "weights enough: no room for more than what is owed"
    if most is not None and price > most and not owed:
        return f"price: {price:.2f} is more than {most:.2f}"
    wear = wear_cost(trip.crew.vehicle, trip.load_kg + mass, km / 2.0)
    if trip.spent + price + f.cost_of("bucket") + km * b.vehicle.cost_per_km + wear > trip.cash:
        return "cash: not enough money"
    portions = trip.crew.portions(mass)
    index = trip.crew.lifting_index(mass / portions)
    if index > b.lifting.limit_index + 1e-9:
        return f"lifting: index {index:.1f} for {mass / portions:.0f} kg at once, {trip.crew.method}"
    if trip.lifts + 2 * portions > trip.lifts_left:
        return "lifting: the day's lifts are used up"
    if mass > may_still_load_kg(trip.crew.vehicle, trip.load_kg) + 1e-9:
        return (
            f"payload: {mass:.0f} kg more would overload the vehicle ({rated_cargo_kg(trip.crew.vehicle)[1]})"
        )
    return Bought(state, bucket, mass, price, portions)


def _route(ready: list[ShopState], stops: int) -> list[ShopState]:
    """Nearest neighbour from home over at most ``stops`` shops, then straightened by reversing stretches (2-opt)."""
    left = list(ready)
    route: list[ShopState] = []
    x = y = 0.0
    while left and len(route) < stops:
        here = min(left, key=lambda s: (hypot(s.shop.x_km - x, s.shop.y_km - y), s.shop.name))
        left.remove(here)
        route.append(here)
        x, y = here.shop.x_km, here.shop.y_km
    better = len(route) > 2
    while better:
        better = False
        for i in range(len(route) - 1):
            for j in range(i + 1, len(route)):
                other = route[:i] + route[i : j + 1][::-1] + route[j + 1 :]
                if _length(other) < _length(route) - 1e-9:
                    route, better = other, True
    return route


def _length(route: list[ShopState]) -> float:
    points = [(0.0, 0.0), *((s.shop.x_km, s.shop.y_km) for s in route), (0.0, 0.0)]
    return fsum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points))


def _open(f: Floor, state: ShopState) -> Openings:
    return openings(f.world.horizon, state.shop.open_hours)


def _home(f: Floor, trip: Trip, start_h: float) -> None:
    """Buckets are home: pay, count lifts, put the lots where they belong."""
    b = f.business
    f.spend_trip(start_h, trip.end_h, "fetching", trip.helped)
    f.book(trip.end_h, "driving", -trip.km * b.vehicle.cost_per_km, ", ".join(trip.stops))
    wear, over = f.overloaded(trip.load_kg, trip.km / 2.0, trip.helped)
    f.book(trip.end_h, "wear by overload", -wear, "overloaded")
    f.costs(trip.end_h, "trip")
    f.lifted(start_h, trip.lifts)
    f.run.trips.append(
        TripRow(
            start_h,
            trip.end_h,
            "shops",
            trip.km,
            ", ".join(trip.stops),
            trip.load_kg,
            trip.lifts,
            trip.index,
            trip.crew.method,
            over,
        )
    )
    how = f"{trip.lifts} lifts, {trip.crew.method}"
    f.note(
        start_h, "trip", ", ".join(trip.stops), f"{len(trip.bought)} buckets, {trip.load_kg:.0f} kg; {how}"
    )
    for limit, shop, why in trip.refused:
        f.note(start_h, "bucket left", shop, f"{limit}: {why}")
    for item in trip.bought:
        _arrive(f, item, trip.end_h)


def _arrive(f: Floor, item: Bought, t_h: float) -> None:
    shop, k = item.shop.shop, item.bucket
    item.shop.fetched(k)
    shares = tuple(shop.shares[k].tolist())
    lot = store(
        f, t_h, shop.name, item.mass_kg, item.price, bool(shop.wet[k]), float(shop.missed_u[k]), shares
    )
    f.book(t_h, "weights", -item.price, f"{item.mass_kg:.1f} kg from {shop.name}", lot)
    f.costs(t_h, "bucket", lot=lot)


def store(
    f: Floor,
    t_h: float,
    source: str,
    mass_kg: float,
    cost: float,
    wet: bool,
    missed_u: float,
    shares: tuple[float, ...],
) -> int:
    """A lot comes in: give it a number and put it where weights wait. Returns its number."""
    number = f.next_lot
    f.next_lot += 1
    m = f.business.melting
    dry_h = t_h if not wet else (drying.dry_h(f.world, m, t_h) if m.dry_first else inf)
    hard, clip, soft, zinc, steel, rubbish = shares
    lot = Lot(number, mass_kg, (hard, clip, soft, zinc, steel, rubbish), cost / mass_kg, missed_u, dry_h)
    f.lot_cost[number] = cost / mass_kg
    f.run.lots.append(LotRow(number, t_h, source, mass_kg, cost, wet, *(mass_kg * s for s in lot.shares)))
    f.note(t_h, "bucket home", source, f"{mass_kg:.1f} kg{_wetness(f, wet)}", number)
    if f.business.sorting.on and f.business.melting.on:
        f.raw.append(lot)
    else:
        sort.unsorted(f, lot)
    return number


def _wetness(f: Floor, wet: bool) -> str:
    """What becomes of a wet lot, for the diary."""
    if not wet:
        return ""
    return ", wet: dries first" if f.business.melting.dry_first else ", wet: refused, never near molten metal"
