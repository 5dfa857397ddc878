"""Trips to the scrap yard with what nobody else buys.

In: the floor and the time left. Out: a step, or why nothing is driven there. Must not know: other tasks.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import ceil
from math import floor as whole

from planner.trade.payload import may_still_load_kg, overload_kg, wear_cost
from planner.workshop.floor import Floor, Held, Step
from planner.workshop.result import TripRow
from planner.world.parts import Alloy, Good

YARD_PORTION_KG = 20.0
"""Goods for the yard are carried in portions of this mass where none is set (assumed)."""
LEAD_ORDER: tuple[Alloy, ...] = ("zinced", "mixed", "soft", "hard")


@dataclass(slots=True)
class Load:
    """What goes to the yard."""

    goods: dict[Good, float] = field(default_factory=dict)
    lead: dict[Alloy, float] = field(default_factory=dict)
    weights_kg: float = 0.0

    @property
    def mass_kg(self) -> float:
        """All of it [kg]."""
        return sum(self.goods.values()) + sum(self.lead.values()) + self.weights_kg


def next_step(f: Floor, t_h: float, until_h: float) -> Step | Held | None:
    """Drive to the yard, if it is open, due and worth a trip."""
    y, v = f.business.yard, f.business.vehicle
    if t_h < f.last_yard_h + y.every_days * 24.0 - 1e-9:
        return None
    load = _load(f, t_h)
    if load.mass_kg < max(y.least_kg, 1e-6):
        return None
    drive_h = y.distance_km / v.speed_km_h
    lifts = _lifts(f, load.mass_kg)
    work_h = lifts / 2 * f.known.lift_h
    arrive = t_h + work_h + drive_h
    leave = arrive + y.visit_min / 60.0
    closes = f.open["yard"].closes(arrive)
    if closes <= arrive:
        return Held("yard shut", max(t_h, f.open["yard"].opens(arrive) - drive_h - work_h))
    if leave > closes + 1e-9 or leave + drive_h > until_h + 1e-9:
        return Held("hours")
    if lifts > f.lifts_left(t_h):
        return Held("lifting")
    end_h = leave + drive_h
    helped = f.helped(t_h)

    def done() -> None:
        _sold(f, load, t_h, leave, end_h, lifts, helped)

    f.last_yard_h = t_h
    return Step(end_h, "yard", done)


def _load(f: Floor, t_h: float) -> Load:
    """Clips, zinc, steel, dross, surplus ingots and weights, up to the payload."""
    y = f.business.yard
    room = may_still_load_kg(f.known.vehicle)
    load = Load()
    for good, kg in f.goods.items():
        if good == "clips" and not y.takes_leaded_clips:
            continue
        if f.yard_price(t_h, good) > 0 and kg > 1e-6:
            load.goods[good] = min(kg, room)
            room -= load.goods[good]
    promised = sum(order.mass_kg for order in f.orders)
    stopped = t_h >= f.stopped_h
    if y.lead_above_kg is not None and not stopped:
        surplus = f.ingot_total_kg() - max(y.lead_above_kg, promised)
        for alloy in LEAD_ORDER:
            kg = min(max(surplus, 0.0), f.ingots_kg[alloy], room)
            if kg > 1e-6:
                load.lead[alloy] = kg
                surplus -= kg
                room -= kg
    load.weights_kg = min(_weights(f, stopped), room)
    return load


def _weights(f: Floor, stopped: bool) -> float:
    """Weights that are sold as they came [kg]."""
    y = f.business.yard
    have = sum(p.mass_kg for p, _ in f.piles["mixed"]) + sum(lot.mass_kg for lot in f.raw)
    if y.weights == "all" or stopped:
        return have
    if y.weights == "surplus":
        return max(0.0, have - f.business.fetching.scrap_at_most_kg / 2.0)
    return 0.0


def _lifts(f: Floor, mass_kg: float) -> int:
    portion = f.business.lifting.portion_kg or YARD_PORTION_KG
    return 2 * ceil(mass_kg / min(portion, f.known.portion_at_most_kg) - 1e-9)


def _sold(f: Floor, load: Load, start_h: float, t_h: float, end_h: float, lifts: int, helped: bool) -> None:
    y, v = f.business.yard, f.business.vehicle
    f.spend_time(start_h, end_h, "yard", helped)
    day = min(whole(t_h / 24.0), f.world.horizon.days - 1)
    downgraded = f.world.marks.downgraded[day] < y.downgraded_share
    for good, kg in load.goods.items():
        f.goods[good] -= kg
        f.book(t_h, f"yard: {good}", kg * f.yard_price(t_h, good), f"{kg:.1f} kg")
    if load.weights_kg > 0:
        kg = _take_weights(f, load.weights_kg)
        f.book(t_h, "yard: weights", kg * f.yard_price(t_h, "weights"), f"{kg:.1f} kg untouched")
    for alloy, kg in load.lead.items():
        taken = sum(part for _, part in f.take(alloy, kg))
        f.run.yard_lead_kg += taken
        price: Good = "weights" if downgraded or alloy == "zinced" else "lead"
        f.book(
            t_h,
            "yard: lead",
            taken * f.yard_price(t_h, price),
            f"{taken:.1f} kg {alloy} at the price of {price}",
        )
    mass = load.mass_kg
    f.yard_kg += mass
    f.book(end_h, "driving", -2.0 * y.distance_km * v.cost_per_km, "yard")
    f.book(end_h, "wear by overload", -wear_cost(f.known.vehicle, mass, y.distance_km), "yard")
    f.lifted(start_h, lifts)
    over = overload_kg(f.known.vehicle, mass) / max(mass, 1e-9)
    index = f.known.lifting_index(mass / (lifts / 2), helped) if lifts else 0.0
    f.run.trips.append(TripRow(start_h, end_h, "yard", 2.0 * y.distance_km, "yard", mass, lifts, index, over))
    f.note(t_h, "yard", "", f"{mass:.0f} kg{', ingots downgraded' if downgraded and load.lead else ''}")


def _take_weights(f: Floor, mass_kg: float) -> float:
    """Take weights from the piles and lots, oldest first; returns kg taken."""
    left = mass_kg
    pile = f.piles["mixed"]
    while left > 1e-9 and pile:
        portion, dry = pile[0]
        kg = min(left, portion.mass_kg)
        left -= kg
        if portion.mass_kg - kg > 1e-9:
            pile[0] = (portion._replace(mass_kg=portion.mass_kg - kg), dry)
        else:
            pile.pop(0)
    while left > 1e-9 and f.raw:
        lot = f.raw[0]
        kg = min(left, lot.mass_kg)
        left -= kg
        lot.mass_kg -= kg
        if lot.mass_kg <= 1e-9:
            f.raw.pop(0)
    return mass_kg - left
