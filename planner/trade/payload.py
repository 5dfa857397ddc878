"""What a vehicle may still take, and what an accepted overload costs.

In: the vehicle's ratings [kg], what is loaded [kg], distance [km]. Out: masses [kg], which rating binds, cost of wear
[currency]. Must not know: scenarios, trips, shops.

Definitions: the gross vehicle weight rating is the maker's value for the loaded weight of a single vehicle, the gross
axle weight rating that for one axle (49 CFR 571.3). Payload is the gross vehicle weight rating less the empty vehicle:
people and cargo together, as on the placard at the door. 49 CFR 567.4(g)(3) counts 150 lb (68 kg) for each seat.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Final, Literal

OCCUPANT_KG: Final = 68.0  # kg; 150 lb a seat, 49 CFR 567.4(g)(3)
OVERLOAD_MOST_SHARE: Final = 0.25  # -; furthest beyond a rating that is ever played, assumed

Bound = Literal["payload", "rear axle"]


@dataclass(frozen=True, slots=True)
class Vehicle:
    """A vehicle's ratings and how it is used.

    Parameters
    ----------
    payload_kg : float
        People and cargo that it may carry [kg].
    driver_kg : float
        Driver and whoever else rides along [kg].
    rear_axle_spare_kg : float
        Rear axle rating less what rests on that axle with the driver aboard and no cargo [kg]; infinite where it
        is not known.
    rear_share : float
        Share of the cargo's weight that rests on the rear axle [-]; above 1 behind the axle.
    overload_accepted : bool
        Whether the owner takes an overload on himself.
    overload_most_share : float
        If so, how far beyond the ratings at most [-]; assumed.
    overload_wear_per_kg_km : float
        Wear of tyres, springs and brakes for each kilogram too much and kilometre [currency/kg/km]; assumed.
    """

    payload_kg: float
    driver_kg: float
    rear_axle_spare_kg: float
    rear_share: float
    overload_accepted: bool = False
    overload_most_share: float = OVERLOAD_MOST_SHARE
    overload_wear_per_kg_km: float = 0.0

    def __post_init__(self) -> None:
        for name in (
            "payload_kg", "driver_kg", "rear_axle_spare_kg", "rear_share", "overload_most_share",
            "overload_wear_per_kg_km",
        ):  # fmt: skip
            value = getattr(self, name)
            if not (value >= 0.0 and (isfinite(value) or name == "rear_axle_spare_kg")):
                raise ValueError(f"{name} is {value}; a finite number from 0 up is needed")


def rated_cargo_kg(vehicle: Vehicle) -> tuple[float, Bound]:
    """Cargo that the ratings allow with the driver aboard.

    Parameters
    ----------
    vehicle : Vehicle
        Ratings [kg].

    Returns
    -------
    cargo_kg : float
        Cargo [kg]; 0 where the driver alone is too much.
    bound : {"payload", "rear axle"}
        The rating that is reached first.

    Notes
    -----
    Gross vehicle and gross axle weight ratings, 49 CFR 571.3.
    """
    by_payload_kg = max(vehicle.payload_kg - vehicle.driver_kg, 0.0)
    if vehicle.rear_share * by_payload_kg > vehicle.rear_axle_spare_kg:
        return vehicle.rear_axle_spare_kg / vehicle.rear_share, "rear axle"
    return by_payload_kg, "payload"


def may_still_load_kg(vehicle: Vehicle, loaded_kg: float = 0.0) -> float:
    """Cargo [kg] that may still be loaded on top of what is loaded; with an accepted overload, up to its end."""
    return max(_most_kg(vehicle) - loaded_kg, 0.0)


def overload_kg(vehicle: Vehicle, load_kg: float) -> float:
    """Cargo [kg] beyond what the ratings allow; 0 within them."""
    return max(load_kg - rated_cargo_kg(vehicle)[0], 0.0)


def wear_cost(vehicle: Vehicle, load_kg: float, distance_km: float) -> float:
    """Cost of the wear that an overload adds to a drive [currency].

    Parameters
    ----------
    vehicle : Vehicle
        Ratings [kg] and wear for each kilogram too much [currency/kg/km], assumed by the scenario.
    load_kg : float
        Cargo [kg].
    distance_km : float
        Distance with that cargo aboard [km].

    Returns
    -------
    float
        Cost [currency]; 0 within the ratings.
    """
    return overload_kg(vehicle, load_kg) * distance_km * vehicle.overload_wear_per_kg_km


def _most_kg(vehicle: Vehicle) -> float:
    """The most cargo that is ever driven [kg]."""
    beyond_share = vehicle.overload_most_share if vehicle.overload_accepted else 0.0
    return rated_cargo_kg(vehicle)[0] * (1.0 + beyond_share)
