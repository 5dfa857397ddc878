"""The revised NIOSH lifting equation: what one person may lift with two hands.

In: where the hands are at both ends of a lift [cm, deg], how often [1/min], for how long [h], the grip.
Out: recommended weights [kg], the lifting index, the share of hours that the equation does not cover.
Must not know: scenarios, trips, who lifts. A pot of molten metal is no input to it: such a pot is never moved.

Source, unless a line says otherwise: Waters, Putz-Anderson, Garg, Applications Manual for the Revised NIOSH Lifting
Equation, DHHS (NIOSH) Publication 94-110, revised September 2021, called NIOSH 94-110 below. Its metric form is used
throughout; its inches are its centimetres over 2.5, its 51 lb are not exactly its 23 kg.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, isfinite
from typing import Final, Literal, get_args

import numpy as np

from planner.trade.lifting_frequency import WAIST_CM, frequency_multiplier

Coupling = Literal["good", "fair", "poor"]
End = Literal["origin", "destination"]

LOAD_CONSTANT_KG: Final = 23.0  # kg; NIOSH 94-110 section 1.3
RAISED_RISK_INDEX: Final = 1.0  # -; NIOSH 94-110 section 1.4.3: above it some are at raised risk
REFUSED_INDEX: Final = 3.0  # -; this project's rule, not NIOSH's (94-110 p. 20: nearly all at raised risk)

SCOPE_C: Final = (19.0, 26.0)  # degC; NIOSH 94-110 section 1.2

# NIOSH 94-110 table 7: CM below and from WAIST_CM up.
COUPLING_TABLE: Final[dict[Coupling, tuple[float, float]]] = {
    "good": (1.00, 1.00),
    "fair": (0.95, 1.00),
    "poor": (0.90, 0.90),
}

# A 20 L bucket from the floor to a tailgate or boot sill, feet turned with the load.
BUCKET_WIDTH_CM: Final = 30.0  # cm; 20 L bucket, common practice, no published source
BUCKET_GRIP_CM: Final = 40.0  # cm; hands on the raised handle above the bucket's bottom, assumed
TAILGATE_CM: Final = 75.0  # cm; assumed
REACH_OVER_SILL_CM: Final = 5.0  # cm; further from the body than at the floor, assumed


@dataclass(frozen=True, slots=True)
class Hands:
    """Where the hands are at one end of a lift.

    Parameters
    ----------
    horizontal_cm : float
        From the middle between the ankles to the hands [cm].
    vertical_cm : float
        From the floor to the hands [cm].
    asymmetry_deg : float
        Turn of the load away from straight ahead [deg].
    coupling : {"good", "fair", "poor"}
        Grip.
    """

    horizontal_cm: float
    vertical_cm: float
    asymmetry_deg: float = 0.0
    coupling: Coupling = "fair"

    def __post_init__(self) -> None:
        for name in ("horizontal_cm", "vertical_cm", "asymmetry_deg"):
            _check_not_negative(name, getattr(self, name))
        if self.coupling not in get_args(Coupling):
            raise ValueError(f"coupling is {self.coupling!r}; allowed: {', '.join(get_args(Coupling))}")


@dataclass(frozen=True, slots=True)
class Lift:
    """One lift with two hands, done again and again.

    Parameters
    ----------
    origin, destination : Hands
        Both ends.
    lifts_per_min : float
        How often, averaged over 15 minutes [1/min].
    duration_h : float
        How long the lifting goes on [h].
    """

    origin: Hands
    destination: Hands
    lifts_per_min: float
    duration_h: float

    def __post_init__(self) -> None:
        _check_not_negative("lifts_per_min", self.lifts_per_min)
        _check_not_negative("duration_h", self.duration_h)

    @property
    def travel_cm(self) -> float:
        """How far the hands rise or sink [cm]."""
        return abs(self.destination.vertical_cm - self.origin.vertical_cm)


@dataclass(frozen=True, slots=True)
class Multipliers:
    """The six factors [-] of the equation at one end of a lift, each from 0 to 1."""

    horizontal: float
    vertical: float
    distance: float
    asymmetry: float
    frequency: float
    coupling: float

    @property
    def product(self) -> float:
        """Share of the load constant that may be lifted [-]."""
        return (
            self.horizontal * self.vertical * self.distance * self.asymmetry * self.frequency * self.coupling
        )


def multipliers(lift: Lift, end: End) -> Multipliers:
    """The six multipliers at one end of a lift.

    Parameters
    ----------
    lift : Lift
        Hand positions [cm], travel [cm], turn [deg], lifts a minute [1/min], duration [h], grip.
    end : {"origin", "destination"}
        Where the equation is evaluated.

    Returns
    -------
    Multipliers
        Factors [-].

    Notes
    -----
    NIOSH 94-110 section 1.3. The frequency multiplier takes the height of the hands at the origin for both ends
    (p. 15); the coupling multiplier takes it at the end that is evaluated (figure 14).
    """
    hands = lift.origin if end == "origin" else lift.destination
    return Multipliers(
        horizontal=_horizontal(hands.horizontal_cm),
        vertical=_vertical(hands.vertical_cm),
        distance=_distance(lift.travel_cm),
        asymmetry=_asymmetry(hands.asymmetry_deg),
        frequency=frequency_multiplier(lift.lifts_per_min, lift.duration_h, lift.origin.vertical_cm),
        coupling=COUPLING_TABLE[hands.coupling][int(hands.vertical_cm >= WAIST_CM)],
    )


def recommended_weights_kg(lift: Lift) -> tuple[float, float]:
    """Recommended weight limit at the origin and at the destination [kg]; 0 where the equation allows no lift.

    Notes
    -----
    NIOSH 94-110 section 1.3.
    """
    return (
        LOAD_CONSTANT_KG * multipliers(lift, "origin").product,
        LOAD_CONSTANT_KG * multipliers(lift, "destination").product,
    )


def recommended_weight_kg(lift: Lift) -> float:
    """Recommended weight limit of one two-handed lift, at its worse end.

    Parameters
    ----------
    lift : Lift
        Hand positions [cm], travel [cm], turn [deg], lifts a minute [1/min], duration [h], grip.

    Returns
    -------
    float
        Recommended weight [kg]; 0 where the equation allows no lift.

    Notes
    -----
    NIOSH 94-110 section 1.3.
    """
    return min(recommended_weights_kg(lift))


def lifting_index(load_kg: float, recommended_kg: float) -> float:
    """Load over the recommended weight.

    Parameters
    ----------
    load_kg : float
        What one person lifts [kg].
    recommended_kg : float
        Recommended weight limit of that lift at its worse end, from :func:`recommended_weight_kg` [kg].

    Returns
    -------
    float
        Index [-]: above 1 the risk is raised; infinite where no load is recommended; 0 for no load.

    Notes
    -----
    NIOSH 94-110 sections 1.1.2 and 1.4.
    """
    _check_not_negative("load_kg", load_kg)
    if load_kg == 0.0:
        return 0.0
    return load_kg / recommended_kg if recommended_kg > 0.0 else inf


def outside_scope_share(air_c: Sequence[float] | np.ndarray) -> float:
    """Share of some hours whose air temperature [degC] the equation does not cover; 0 for no hours.

    Notes
    -----
    NIOSH 94-110 section 1.2 (19 to 26 degC; also 35 to 50 % humidity, which no weather here tells). Outside, its result
    is a hint, not a clearance.
    """
    air = np.asarray(air_c, float)
    low_c, high_c = SCOPE_C
    return float(np.mean((air < low_c) | (air > high_c))) if air.size else 0.0


def _horizontal(horizontal_cm: float) -> float:
    """HM of NIOSH 94-110 table 1: 25/H, 1 below 25 cm, 0 beyond 63 cm."""
    return 0.0 if horizontal_cm > 63.0 else 25.0 / max(horizontal_cm, 25.0)


def _vertical(vertical_cm: float) -> float:
    """VM of NIOSH 94-110 table 2: 1 - 0.003 |V - 75|, 0 above 175 cm."""
    return 0.0 if vertical_cm > 175.0 else 1.0 - 0.003 * abs(vertical_cm - WAIST_CM)


def _distance(travel_cm: float) -> float:
    """DM of NIOSH 94-110 table 3: 0.82 + 4.5/D, 1 below 25 cm, 0 beyond 175 cm."""
    return 0.0 if travel_cm > 175.0 else 0.82 + 4.5 / max(travel_cm, 25.0)


def _asymmetry(asymmetry_deg: float) -> float:
    """AM of NIOSH 94-110 table 4: 1 - 0.0032 A, 0 beyond 135 deg."""
    return 0.0 if asymmetry_deg > 135.0 else 1.0 - 0.0032 * asymmetry_deg


def _check_not_negative(name: str, value: float) -> None:
    if not (isfinite(value) and value >= 0.0):
        raise ValueError(f"{name} is {value}; a finite number from 0 up is needed")
