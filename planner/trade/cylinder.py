"""What a propane cylinder holds and how much fire it can feed.

In: a cylinder, how full it is [share], the air's temperature [degC]. Out: the fire it can keep up [W], fuel
burnt [kg]. It must not know burners, pots or hours of the day. Every power and efficiency of this program is on
the NET heating value (the water in the burnt gas leaves as steam).

Liquid propane needs heat to evaporate. That heat comes through the wall that liquid wets, driven by the
difference between the air and the coldest liquid that still gives enough pressure, and out of the liquid itself
as it cools down during a run. A cold or half-empty cylinder therefore starves a strong burner.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pi
from typing import Final, NamedTuple

NET_HEATING_J_PER_KG: Final = 46.338e6
"""Net heating value of propane gas [J/kg], from Hf(g) = -104,390 J/mol at 298.15 K (`chemicals` library)."""

GROSS_HEATING_J_PER_KG: Final = 50.33e6
"""Gross heating value of propane gas [J/kg], same source; never mixed with the net one."""

HEAT_OF_VAPORISATION_J_PER_KG: Final = 425591.6
"""Heat of vaporisation of propane at its normal boiling point [J/kg], equation of state of Lemmon, McLinden and
Wagner (2009). At the temperatures in a cylinder it is up to a tenth less, so draws are slightly too low."""

LIQUID_DENSITY_KG_M3: Final = 507.503
"""Saturated liquid propane at 15 degC [kg/m3], same equation of state."""

LIQUID_HEAT_CAPACITY_J_PER_KG_K: Final = 2500.0
"""Liquid propane between -30 and 15 degC [J/kg/K], from memory; 2,721 at 25 degC in Poling, Prausnitz and
O'Connell, 5th ed. 2001."""


@dataclass(frozen=True, slots=True)
class Cylinder:
    """An upright propane cylinder; the defaults are a common one of 20 lb.

    Parameters
    ----------
    content_kg : float
        Propane when full [kg]; 20 lb.
    diameter_m, height_m : float
        Inside, as a plain upright cylinder [m]; chosen to hold the published 48 lb of water, otherwise assumed.
    u_w_per_m2_k : float
        Heat transfer from the air into the liquid through the wetted wall [W/m2/K]. Tables of the continuous
        draw from 100 lb cylinders, printed in installation guides for gas-fired standby generators, come to 13.5
        to 15.7 at 21 degC, 15 to 17.5 at 4 degC and 24 to 30 at -18 degC; taken from the low end.
    liquid_min_c : float
        Coldest liquid that still feeds the regulator [degC]; those tables let it cool to -20 degF. A regulator
        for a high-pressure burner needs it warmer: an input.
    run_h : float
        Length of a run over which the liquid gives up its own warmth [h]; assumed.
    number : int
        Cylinders alike, joined side by side: each gives its share.
    """

    content_kg: float = 9.07
    diameter_m: float = 0.31
    height_m: float = 0.29
    u_w_per_m2_k: float = 14.0
    liquid_min_c: float = -28.9
    run_h: float = 2.0
    number: int = 1

    def __post_init__(self) -> None:
        for name in ("content_kg", "diameter_m", "height_m", "u_w_per_m2_k", "run_h", "number"):
            if not getattr(self, name) > 0.0:
                raise ValueError(f"Cylinder.{name} must be above zero, is {getattr(self, name)!r}")


class Propane(NamedTuple):
    """What there is to burn for one pot [kg]: in the cylinders joined to its burner, and that can be paid for."""

    left_kg: float = inf
    full_kg: float = inf
    """When all of them are full."""
    paid_kg: float = inf


ENDLESS: Final = Propane()


def wetted_area_m2(cylinder: Cylinder, fill_share: float) -> float:
    """Wall that liquid touches [m2]: the bottom and the side up to the liquid; 0 when empty."""
    if fill_share <= 0.0:
        return 0.0
    floor_m2 = pi / 4.0 * cylinder.diameter_m**2
    depth_m = cylinder.content_kg * fill_share / (LIQUID_DENSITY_KG_M3 * floor_m2)
    return floor_m2 + pi * cylinder.diameter_m * min(depth_m, cylinder.height_m)


def draw_limit_w(cylinder: Cylinder, fill_share: float, air_c: float) -> float:
    """Fire that a cylinder can keep up through a run, on the net heating value.

    Parameters
    ----------
    cylinder : Cylinder
        Size, wall and run.
    fill_share : float
        Propane left over propane when full [share].
    air_c : float
        Air around the cylinder [degC].

    Returns
    -------
    float
        Power of the fire [W]; 0 when empty or when the air is too cold to evaporate any.
    """
    warmer_k = air_c - cylinder.liquid_min_c
    if fill_share <= 0.0 or warmer_k <= 0.0:
        return 0.0
    through_wall_w = cylinder.u_w_per_m2_k * wetted_area_m2(cylinder, fill_share) * warmer_k
    liquid_kg = cylinder.content_kg * fill_share
    stored_w = liquid_kg * LIQUID_HEAT_CAPACITY_J_PER_KG_K * warmer_k / (cylinder.run_h * 3600.0)
    return (
        cylinder.number * (through_wall_w + stored_w) / HEAT_OF_VAPORISATION_J_PER_KG * NET_HEATING_J_PER_KG
    )


def fuel_kg(fire_w: float, hours_h: float) -> float:
    """Propane burnt [kg] by a fire [W, net heating value] in some hours [h]."""
    return fire_w * hours_h * 3600.0 / NET_HEATING_J_PER_KG
