"""Who goes along on a trip, how they lift, and what that takes: load on the hands, time, wage, payload.

In: ``Business``. Out: ``Crew``, one for days alone and one for the helper's days. Must not know: worlds, trips, chance.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, inf
from typing import Final

from planner.scenario.business import Business
from planner.scenario.hauling import Lifting
from planner.trade.lifting import Hands, Lift, lifting_index, recommended_weight_kg
from planner.trade.payload import OCCUPANT_KG, Vehicle, rated_cargo_kg
from planner.trade.ways import WAYS, Method

TWO: Final[Method] = "two people"


@dataclass(frozen=True, slots=True)
class Crew:
    """The people of a trip and their way of lifting. Masses kg, times h."""

    method: Method
    carried_share: float
    recommended_kg: float
    """Recommended weight limit of one lift between floor and tailgate, at the worse end."""
    portion_kg: float
    """Most of a bucket lifted at once; inf where buckets are never split."""
    lift_h: float
    ready_h: float
    """To set up and stow what helps: at each stop, and once at home."""
    split_h: float
    second: bool
    """Does somebody beside owner and helper come along for the lifting?"""
    wage_per_h: float
    """Of that second person; the helper's own wage is booked with the helper's hours."""
    vehicle: Vehicle
    """With all of them in it."""

    def lifting_index(self, portion_kg: float) -> float:
        """Lifting index of a portion at the worse end of the lift."""
        return lifting_index(portion_kg * self.carried_share, self.recommended_kg)

    def most_kg(self, index: float) -> float:
        """The heaviest portion under an index."""
        return index * self.recommended_kg / self.carried_share if self.carried_share > 0 else inf

    def portions(self, mass_kg: float) -> int:
        """How many lifts a bucket takes, one way."""
        return max(1, ceil(mass_kg / self.portion_kg - 1e-9))

    def at_shop_h(self, portions: int) -> float:
        """To split a bucket into portions, if it is more than one, and to lift them into the vehicle."""
        return portions * (self.lift_h + (self.split_h if portions > 1 else 0.0))

    def at_home_h(self, portions: int) -> float:
        """To lift the portions of a bucket out again."""
        return portions * self.lift_h


def crews_of(business: Business) -> tuple[Crew, Crew]:
    """The crew without and with the helper; the same where there is none."""
    helper = business.helper
    alone = _crew(business, business.lifting.method, _carried_share(business.lifting), False)
    if helper is None:
        return alone, alone
    if not helper.lifts:
        return alone, _crew(business, alone.method, alone.carried_share, True)
    method = TWO if helper.lift_share < alone.carried_share else alone.method
    return alone, _crew(business, method, min(alone.carried_share, helper.lift_share), True)


def _crew(business: Business, method: Method, carried_share: float, helped: bool) -> Crew:
    lifting, way = business.lifting, WAYS[method]
    lifts_too = helped and business.helper is not None and business.helper.lifts
    second = way.people > 1 and not lifts_too
    portion_kg = lifting.portion_kg
    if lifts_too and business.helper is not None:
        portion_kg = business.helper.portion_kg or portion_kg
    return Crew(
        method=method,
        carried_share=carried_share,
        recommended_kg=min(recommended_weight_kg(lift) for lift in lifts_of(lifting)),
        portion_kg=inf if portion_kg is None else portion_kg,
        lift_h=(way.lift_min if lifting.minutes_min is None else lifting.minutes_min) / 60.0,
        ready_h=(way.ready_min if lifting.ready_min is None else lifting.ready_min) / 60.0,
        split_h=lifting.split_min / 60.0,
        second=second,
        wage_per_h=lifting.second_wage_per_h if second else 0.0,
        vehicle=vehicle_of(business, OCCUPANT_KG * (int(helped) + int(second))),
    )


def _carried_share(lifting: Lifting) -> float:
    own = lifting.carried_share
    return WAYS[lifting.method].carried_share if own is None else own


def lifts_of(lifting: Lifting) -> tuple[Lift, Lift]:
    """Up into the vehicle and down out of it."""
    floor = Hands(lifting.reach_cm, lifting.floor_cm, lifting.turn_deg, lifting.grip)
    over_cm = lifting.reach_cm + lifting.over_sill_cm
    tail = Hands(over_cm, lifting.tailgate_cm, lifting.turn_deg, lifting.grip)
    pace, hours = lifting.lifts_per_minute, min(8.0, lifting.most_a_day / lifting.lifts_per_minute / 60.0)
    return Lift(floor, tail, pace, hours), Lift(tail, floor, pace, hours)


def vehicle_of(business: Business, along_kg: float = 0.0) -> Vehicle:
    """The vehicle as the rules of load see it, with somebody of this mass riding along."""
    v = business.vehicle
    most = v.overload_at_most_share
    rated = Vehicle(
        payload_kg=v.payload_kg,
        driver_kg=v.driver_kg + along_kg,
        rear_axle_spare_kg=v.rear_axle_spare_kg if v.rear_axle_spare_kg is not None else inf,
        rear_share=v.rear_share,
        overload_accepted=v.overload_accepted,
        overload_most_share=most,
    )
    most_over_kg = most * rated_cargo_kg(rated)[0]
    wear = v.overload_wear_per_km / most_over_kg if most_over_kg > 0 else 0.0
    return replace(rated, overload_wear_per_kg_km=wear)
