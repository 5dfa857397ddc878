"""Serving buyers: messages, appointments, weighing, parcels, bulk; a sale takes time.

In: the floor and the time left. Out: a step, or why nobody can be served. Must not know: other tasks.
"""

from __future__ import annotations

from math import floor as whole
from math import fsum, inf
from typing import Final, NamedTuple

from planner.trade.payload import may_still_load_kg
from planner.workshop.enquiries import Enquiries
from planner.workshop.floor import Batch, Floor, Held, Order, Step
from planner.workshop.result import LostRow, SaleRow, TripRow
from planner.world.parts import Alloy, Crowd

MESSAGES_FROM_H: Final = 0.25
"""Messages are answered together once they add up to this (assumed)."""
STOCK, LIFTING, HOURS = Held("stock"), Held("lifting"), Held("hours")
NO_SHOW_SHARE: Final = 0.5
"""An appointment that is not kept costs this share of a sale's time (assumed)."""


class Offer(NamedTuple):
    """What could be handed over now: alloy, price [currency/kg], kg, and lifts if it is driven to the buyer."""

    alloy: Alloy
    price: float
    mass_kg: float
    lifts: int


def next_step(f: Floor, enquiries: Enquiries, t_h: float, until_h: float) -> Step | Held | None:
    """Serve the buyer who has waited longest and can be served now."""
    if f.messages_h >= MESSAGES_FROM_H:
        answer_h = min(f.messages_h, until_h - t_h)

        def answered() -> None:
            f.messages_h -= answer_h
            f.spend_time(t_h, t_h + answer_h, "messages")

        return Step(t_h + answer_h, "messages", answered)
    held = None
    for order in f.orders:
        offer = _offer(f, enquiries, order, t_h)
        if offer is None:
            held = held or STOCK
            continue
        if offer.lifts > f.lifts_left(t_h):
            held = LIFTING
            continue
        crowd = f.world.crowds[order.crowd]
        hours = crowd.sale_h + crowd.trip_km / f.business.vehicle.speed_km_h
        if offer.lifts:
            crew = f.known.crew(f.helped(t_h))
            hours += 2.0 * crew.ready_h + offer.lifts * crew.lift_h
        comes = enquiries.columns[order.crowd].shows_up[order.person][order.need]
        if not comes:
            hours *= NO_SHOW_SHARE
        else:
            hours += crowd.packing_h(offer.mass_kg)
        if t_h + hours > until_h + 1e-9:
            held = HOURS
            continue
        order.open = False
        f.orders.remove(order)
        return _sale(f, enquiries, order, offer, t_h, t_h + hours, comes)
    return held


def _offer(f: Floor, enquiries: Enquiries, order: Order, t_h: float) -> Offer | None:
    """The alloy of which most could be handed over now; of equals the one they would take first.

    A part of an order is taken if it is as much as brings the buyer back; for less they would rather wait.
    """
    crowd = f.world.crowds[order.crowd]
    selling = f.business.selling
    keep = selling.bulk_keeps_kg if crowd.channel == "bulk" else 0.0
    returns_at_share = enquiries.columns[order.crowd].returns_at_share[order.person]
    enough = max(crowd.least_kg, returns_at_share * order.mass_kg)
    room = may_still_load_kg(f.known.crew(f.helped(t_h)).vehicle) if crowd.trip_km > 0 else inf
    best: Offer | None = None
    for alloy, price in order.choices:
        kg = min(order.mass_kg, f.ingots_kg[alloy] - keep, room)
        if crowd.parcel_kg > 0:
            kg = whole(kg / crowd.parcel_kg + 1e-9) * crowd.parcel_kg
        if kg < order.mass_kg - 1e-9 and not selling.part_orders:
            continue
        if kg <= 1e-6 or kg < min(enough, order.mass_kg) - 1e-9:
            continue
        if best is None or kg > best.mass_kg + 1e-9:
            lifts = f.known.lifts(f.business, kg) if crowd.trip_km > 0 else 0
            best = Offer(alloy, price, kg, lifts)
    return best


def _sale(
    f: Floor,
    enquiries: Enquiries,
    order: Order,
    offer: Offer,
    start_h: float,
    end_h: float,
    comes: bool,
) -> Step:
    crowd = f.world.crowds[order.crowd]
    helped = f.helped(start_h) and crowd.trip_km > 0

    def done() -> None:
        if crowd.trip_km <= 0:
            f.spend_time(start_h, end_h, "selling")
        else:
            f.spend_trip(start_h, end_h, "selling", helped)
            _drive(f, crowd, offer, start_h, end_h, helped)
        if not comes:
            f.run.lost.append(LostRow(end_h, crowd.name, order.person, order.mass_kg, "no-show"))
            f.note(end_h, "appointment not kept", crowd.name, f"{order.mass_kg:.1f} kg stay in stock")
            enquiries.ended(order, end_h, 1.0)
            return
        taken = f.take(offer.alloy, offer.mass_kg)
        bad = _hand_over(f, order, offer.alloy, offer.price, taken, end_h)
        served = fsum(kg for _, kg in taken)
        if served < order.mass_kg - 1e-9:
            f.run.lost.append(LostRow(end_h, crowd.name, order.person, order.mass_kg - served, "stock"))
        enquiries.served += 1
        enquiries.ended(order, end_h, served / order.mass_kg, bad)

    return Step(end_h, "selling", done)


def _drive(f: Floor, crowd: Crowd, offer: Offer, start_h: float, end_h: float, helped: bool) -> None:
    """To the buyer and back."""
    f.book(end_h, "driving", -crowd.trip_km * f.business.vehicle.cost_per_km, f"to {crowd.name}")
    kg, lifts = offer.mass_kg, offer.lifts
    wear, over = f.overloaded(kg, crowd.trip_km / 2.0, helped)
    f.book(end_h, "wear by overload", -wear, f"to {crowd.name}")
    f.lifted(start_h, lifts)
    crew, km = f.known.crew(helped), crowd.trip_km
    index = crew.lifting_index(kg / (lifts / 2))
    f.run.trips.append(TripRow(start_h, end_h, "buyer", km, crowd.name, kg, lifts, index, crew.method, over))


def _hand_over(
    f: Floor, order: Order, alloy: Alloy, price: float, taken: list[tuple[Batch, float]], t_h: float
) -> bool:
    """Book a sale; true if the metal was spoiled and sold as good."""
    crowd = f.world.crowds[order.crowd]
    mass = fsum(kg for _, kg in taken)
    money = mass * price
    premium = fsum(kg * batch.tin_share for batch, kg in taken)
    if premium > 0 and crowd.tin_most_per_kg > 0:
        money += premium * min(crowd.tin_most_per_kg, f.pricing.tin(f.view(t_h, alloy)))
    cost = fsum(kg * batch.cost_per_kg for batch, kg in taken)
    tin = min(order.tin_kg, f.tin_kg) if f.business.pewter.use == "beside" else 0.0
    tin_money = tin * order.tin_price
    if tin > 0:
        share = tin / f.tin_kg
        cost += f.pewter_cost * share
        f.pewter_cost *= 1.0 - share
        f.pewter_kg *= 1.0 - share
        f.tin_kg -= tin
    f.sold_kg += mass
    f.sold_recent.append((t_h, mass))
    f.book(t_h, f"sales: {crowd.channel}", money, f"{mass:.2f} kg {alloy} to {crowd.name}")
    f.book(t_h, "sales: tin", tin_money, f"{tin:.2f} kg tin to {crowd.name}")
    if crowd.parcel_kg > 0:
        f.book(t_h, "postage", -round(mass / crowd.parcel_kg) * crowd.parcel_fee, crowd.name)
    melts = tuple((batch.melt, kg) for batch, kg in taken)
    f.run.sales.append(
        SaleRow(
            t_h, crowd.name, order.person, crowd.channel, alloy, mass, price, money, tin, tin_money, cost, melts,
            t_h - order.t_h,
        )
    )  # fmt: skip
    asked = order.choices[0][0]
    other = f", for lack of {asked}" if asked != alloy else ""
    less = f" of {order.mass_kg:.2f} kg asked for" if mass < order.mass_kg - 1e-9 else ""
    f.note(t_h, "sold", crowd.name, f"{mass:.2f} kg {alloy}{less} at {price:.2f} a kg{other}")
    return alloy != "zinced" and any(batch.zinced for batch, _ in taken)
