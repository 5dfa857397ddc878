"""Trips to the scrap yard with what nobody else buys.

In: the floor and the time left. Out: a step, or why nothing is driven there. Must not know: other tasks.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import floor as whole
from math import fsum
from typing import Final

from planner.trade.payload import may_still_load_kg
from planner.workshop.floor import Floor, Held, Step
from planner.workshop.result import TripRow, YardRow
from planner.world.parts import Alloy, Good

LEAD_ORDER: Final[tuple[Alloy, ...]] = ("zinced", "mixed", "soft", "hard")


@dataclass(slots=True)
class Load:
    """What goes to the yard."""

    goods: dict[Good, float] = field(default_factory=dict)
    lead: dict[Alloy, float] = field(default_factory=dict)
    weights_kg: float = 0.0

    @property
    def mass_kg(self) -> float:
        """All of it [kg]."""
        return fsum(self.goods.values()) + fsum(self.lead.values()) + self.weights_kg


def next_step(f: Floor, t_h: float, until_h: float) -> Step | Held | None:
    """Drive to the yard, if it is open and due, and pays for the drive."""
    y, v = f.business.yard, f.business.vehicle
    if t_h < f.last_yard_h + y.every_days * 24.0 - 1e-9:
        return None
    if _at_most_kg(f, t_h) < y.least_kg - 1e-9:
        return None
    helped = f.helped(t_h)
    load = _load(f, t_h, helped)
    if load.mass_kg < max(y.least_kg, 1e-6):
        return None
    drive_h = y.distance_km / v.speed_km_h
    lifts, crew = f.known.lifts(f.business, load.mass_kg), f.known.crew(helped)
    work_h = crew.ready_h + lifts / 2 * crew.lift_h
    wages = (work_h + 2.0 * drive_h + y.visit_min / 60.0) * crew.wage_per_h
    wear, _ = f.overloaded(load.mass_kg, y.distance_km, helped)
    if _worth(f, load, t_h) <= 2.0 * y.distance_km * v.cost_per_km + wages + wear:
        return None
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

    def done() -> None:
        _sold(f, load, t_h, leave, end_h, lifts, helped)

    f.last_yard_h = 24.0 * whole(t_h / 24.0 + 1e-9)
    return Step(end_h, "yard", done)


def _at_most_kg(f: Floor, t_h: float) -> float:
    """No load is heavier, whatever the yard pays for: all goods, ingots and weights that could go."""
    above_kg = f.business.yard.lead_above_kg
    lead_kg = 0.0 if above_kg is None else max(0.0, f.ingot_total_kg() - above_kg)
    return fsum(f.goods.values()) + lead_kg + _weights(f, t_h >= f.stopped_h)


def _load(f: Floor, t_h: float, helped: bool) -> Load:
    """Clips, zinc, steel, dross, surplus ingots and weights, up to the payload and the lifts of a day."""
    b = f.business
    y = b.yard
    room = min(
        may_still_load_kg(f.known.crew(helped).vehicle), f.known.most_in_lifts_kg(b, b.lifting.most_a_day)
    )
    load = Load()
    for good, kg in f.goods.items():
        if good == "clips" and not y.takes_leaded_clips:
            continue
        if f.yard_price(t_h, good) > 0 and kg > 1e-6:
            load.goods[good] = min(kg, room)
            room -= load.goods[good]
    promised = f.promised_kg()
    stopped = t_h >= f.stopped_h
    if y.lead_above_kg is not None and f.yard_price(t_h, "lead") > 0:
        surplus = f.ingot_total_kg() - max(y.lead_above_kg, promised)
        for alloy in LEAD_ORDER:
            kg = min(max(surplus, 0.0), f.ingots_kg[alloy], room)
            if kg > 1e-6:
                load.lead[alloy] = kg
                surplus -= kg
                room -= kg
    if f.yard_price(t_h, "weights") > 0:
        load.weights_kg = min(_weights(f, stopped), room)
    return load


def _worth(f: Floor, load: Load, t_h: float) -> float:
    """What the yard would pay for a load, nothing downgraded."""
    weights, lead = f.yard_price(t_h, "weights"), f.yard_price(t_h, "lead")
    ingots = fsum(kg * (weights if alloy == "zinced" else lead) for alloy, kg in load.lead.items())
    goods = fsum(kg * f.yard_price(t_h, good) for good, kg in load.goods.items())
    return goods + ingots + load.weights_kg * weights


def _weights(f: Floor, stopped: bool) -> float:
    """Weights that are sold as they came [kg]."""
    y = f.business.yard
    if y.weights == "all" or stopped:
        return f.weights_kg()
    if y.weights == "surplus":
        as_they_came = fsum([p.mass_kg for p, _ in f.piles["mixed"]]) + fsum([lot.mass_kg for lot in f.raw])
        return max(0.0, as_they_came - f.business.fetching.scrap_at_most_kg / 2.0)
    return 0.0


def _sold(f: Floor, load: Load, start_h: float, t_h: float, end_h: float, lifts: int, helped: bool) -> None:
    y, v = f.business.yard, f.business.vehicle
    f.spend_trip(start_h, end_h, "yard", helped)
    day = min(whole(t_h / 24.0), f.world.horizon.days - 1)
    downgraded = f.world.marks.downgraded[day] < y.downgraded_share
    for good, kg in load.goods.items():
        f.goods[good] -= kg
        _sell(f, YardRow(t_h, good, kg, f.yard_price(t_h, good), 0, 0), f"{kg:.1f} kg")
    for lot, kg in _take_weights(f, load.weights_kg).items():
        f.run.untouched_kg += kg
        row = YardRow(t_h, "weights", kg, f.yard_price(t_h, "weights"), lot, 0)
        _sell(f, row, f"{kg:.1f} kg as they came")
    for alloy, wanted in load.lead.items():
        price: Good = "weights" if downgraded or alloy == "zinced" else "lead"
        for batch, kg in f.take(alloy, wanted):
            f.run.yard_lead_kg += kg
            row = YardRow(t_h, "lead", kg, f.yard_price(t_h, price), 0, batch.melt)
            _sell(f, row, f"{kg:.1f} kg {alloy} at the price of {price}")
    mass = load.mass_kg
    f.yard_kg += mass
    f.book(end_h, "driving", -2.0 * y.distance_km * v.cost_per_km, "yard")
    wear, over = f.overloaded(mass, y.distance_km, helped)
    f.book(end_h, "wear by overload", -wear, "yard")
    f.lifted(start_h, lifts)
    crew, km = f.known.crew(helped), 2.0 * y.distance_km
    index = crew.lifting_index(mass / (lifts / 2)) if lifts else 0.0
    f.run.trips.append(TripRow(start_h, end_h, "yard", km, "yard", mass, lifts, index, crew.method, over))
    f.note(t_h, "yard", "", f"{mass:.0f} kg{', ingots downgraded' if downgraded and load.lead else ''}")


def _sell(f: Floor, row: YardRow, note: str) -> None:
    f.run.yard.append(row)
    f.book(row.t_h, f"yard: {row.good}", row.mass_kg * row.price_per_kg, note, row.lot, row.melt)


def _take_weights(f: Floor, mass_kg: float) -> dict[int, float]:
    """Take weights from the mixed pile and the lots, then from what was sorted, oldest first: kg by lot."""
    left, taken = mass_kg, dict[int, float]()

    def from_pile(alloy: Alloy) -> None:
        nonlocal left
        pile = f.piles[alloy]
        while left > 1e-9 and pile:
            portion, dry = pile[0]
            kg = min(left, portion.mass_kg)
            left -= kg
            taken[portion.key] = taken.get(portion.key, 0.0) + kg
            if portion.mass_kg - kg > 1e-9:
                pile[0] = (portion.less(kg), dry)
            else:
                pile.pop(0)

    from_pile("mixed")
    while left > 1e-9 and f.raw:
        lot = f.raw[0]
        kg = min(left, lot.mass_kg)
        left -= kg
        taken[lot.lot] = taken.get(lot.lot, 0.0) + kg
        lot.mass_kg -= kg
        if lot.mass_kg <= 1e-9:
            f.raw.pop(0)
    from_pile("hard")
    from_pile("soft")
    return taken
