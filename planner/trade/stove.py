"""A pot on a burner: what the fire gives it and what it loses, at one temperature of pot and contents.

In: a `Stove`, temperatures [degC], wind at 10 m [m/s], how full the cylinder is [share]. Out: powers [W]. It must
not know what is in the pot, what hour it is, or how long anything takes. Efficiency is on the NET heating value
of propane. The same functions take a float or a numpy array of pot temperatures.

Useful power falls in a straight line with the temperature of the pot, because what drives it is the difference to
the gas. While the burner is on, its gases wash the bottom and most of the side, which then lose nothing; the top
and the rest of the side lose by convection and radiation. With the burner off all of the pot loses.

Loose weights touch the pot and each other in points. Until a pool has formed that slows the heat on its way in
and on its way up to the surface that loses it, so both are multiplied by `contact_share`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import pi
from typing import Generic, NamedTuple

import numpy as np

from planner.trade.convection import (
    N,
    Still,
    bottom_w_m2_k,
    larger,
    radiation_w_m2,
    side_w_m2_k,
    still,
    top_w_m2_k,
    windy,
)
from planner.trade.cylinder import Cylinder, draw_limit_w


@dataclass(frozen=True, slots=True)
class Stove:
    """One pot on one burner in one place; each number an input of the scenario.

    Parameters
    ----------
    pot_diameter_m, pot_height_m : float
        Size of the pot [m].
    burner_w : float
        Fire at full setting, net heating value [W].
    efficiency_share : float
        Heat into a pot at `reference_c` in still air over net heating value [share], skirt and wide bottom counted.
    gas_c : float
        Temperature of the gas that washes the pot, at which a pot would take up nothing more [degC].
    reference_c : float
        Temperature of the pot at which the efficiency was measured [degC]; a boiling test runs from 20 to 100.
    wind_half_m_s : float
        Wind at the pot that halves the useful power [m/s].
    wind_at_pot_share : float
        Wind at the pot over wind at 10 m [share]: height, place and screen.
    contact_share : float
        Flow of heat through loose weights over flow once a pool has formed [share].
    pool_share : float
        Part of the latent heat after which a pool has formed [share].
    gas_cover_share : float
        Part of the side that burner gases cover [share].
    lid_share : float
        Loss from the top with the lid on over loss without [share].
    emissivity_top, emissivity_side : float
        Of what is seen from above, and of the pot's outside [share].
    cylinder : Cylinder
        What feeds the burner.
    """

    pot_diameter_m: float
    pot_height_m: float
    burner_w: float
    efficiency_share: float
    gas_c: float
    reference_c: float
    wind_half_m_s: float
    wind_at_pot_share: float
    contact_share: float
    pool_share: float
    gas_cover_share: float
    lid_share: float
    emissivity_top: float
    emissivity_side: float
    cylinder: Cylinder = field(default_factory=Cylinder)

    def __post_init__(self) -> None:
        for name in ("pot_diameter_m", "pot_height_m", "burner_w", "wind_half_m_s", "contact_share"):
            if not getattr(self, name) > 0.0:
                raise ValueError(f"Stove.{name} must be above zero, is {getattr(self, name)!r}")
        for name in (
            *("efficiency_share", "wind_at_pot_share", "contact_share", "pool_share", "gas_cover_share"),
            *("lid_share", "emissivity_top", "emissivity_side"),
        ):
            if not 0.0 <= getattr(self, name) <= 1.0:
                raise ValueError(f"Stove.{name} must lie between 0 and 1, is {getattr(self, name)!r}")
        if not self.gas_c > self.reference_c:
            raise ValueError(
                f"Stove.gas_c must be above reference_c, is {self.gas_c!r} <= {self.reference_c!r}"
            )


def fire_w(stove: Stove, air_c: float, fill_share: float) -> float:
    """Fire that burns [W, net heating value]: the burner at full, or less where the cylinder cannot feed it."""
    return min(stove.burner_w, draw_limit_w(stove.cylinder, fill_share, air_c))


def wind_factor(stove: Stove, wind_m_s: float) -> float:
    """Useful power in wind over useful power in still air [share].

    Notes
    -----
    1/(1 + w/w_half) with the wind at the pot: assumed, no instrumented figure was found. A stated rule says a
    moderate breeze (5.5 to 7.9 m/s at 10 m) may double a camp stove's time and fuel.
    """
    return 1.0 / (1.0 + wind_at_pot_m_s(stove, wind_m_s) / stove.wind_half_m_s)


def useful_power_w(
    stove: Stove, temperature_c: N, air_c: float, wind_m_s: float, fill_share: float, pool: bool
) -> N:
    """Heat that the fire puts into the pot.

    Parameters
    ----------
    stove : Stove
        Pot, burner, place.
    temperature_c : float or array
        Temperature of pot and contents [degC].
    air_c : float
        Air [degC].
    wind_m_s : float
        Wind at 10 m [m/s].
    fill_share : float
        Propane left over propane when full [share].
    pool : bool
        Whether the contents touch the pot well: a pool has formed, or a heel fits its bottom.

    Returns
    -------
    float or array
        Power [W], never below zero.
    """
    fire = fire_w(stove, air_c, fill_share)
    return useful_w_per_k(stove, fire, wind_m_s, pool) * cooler_than_gas_k(stove, temperature_c)


def useful_w_per_k(stove: Stove, fire: float, wind_m_s: float, pool: bool) -> float:
    """Heat that a fire [W] puts into a pot for each kelvin below the gas [W/K]; the rest as in `useful_power_w`."""
    at_reference_w = fire * stove.efficiency_share * wind_factor(stove, wind_m_s)
    if not pool:
        at_reference_w *= stove.contact_share
    return at_reference_w / (stove.gas_c - stove.reference_c)


def cooler_than_gas_k(stove: Stove, temperature_c: N) -> N:
    """By how much the pot [degC] is cooler than the gas [K], never below zero."""
    cooler_k = stove.gas_c - temperature_c
    return larger(cooler_k, 0.0 * cooler_k)


class Outside(NamedTuple):
    """A pot from outside: of all that a stove is, what its losses in a weather hang on."""

    diameter_m: float
    height_m: float
    emissivity_top: float
    emissivity_side: float


class Calm(NamedTuple, Generic[N]):
    """A pot in still air: all of its losses that does not hang on the wind."""

    still: Still[N]
    warmer_k: N
    """Than the air."""
    radiation_top_w_m2: N
    radiation_side_w_m2: N


def outside_of(stove: Stove) -> Outside:
    """The stove's pot from outside."""
    return Outside(stove.pot_diameter_m, stove.pot_height_m, stove.emissivity_top, stove.emissivity_side)


def calm(pot: Outside, temperature_c: N, air_c: float) -> Calm[N]:
    """A pot [degC] in still air [degC]."""
    return Calm(
        still(temperature_c, air_c, pot.diameter_m, pot.height_m),
        temperature_c - air_c,
        radiation_w_m2(temperature_c, air_c, pot.emissivity_top),
        radiation_w_m2(temperature_c, air_c, pot.emissivity_side),
    )


def losses_in_wind_w(pot: Outside, in_calm: Calm[N], wind_at_pot_m_s: float) -> tuple[N, N, N]:
    """Losses of an open pot from its top, all of its side and its bottom [W], from those in still air."""
    air, warmer_k, radiation_top, radiation_side = in_calm
    wind = windy(air.air, wind_at_pot_m_s, pot.diameter_m)
    disc_m2 = pi / 4.0 * pot.diameter_m**2
    top = disc_m2 * (top_w_m2_k(air, wind) * warmer_k + radiation_top)
    side = (pi * pot.diameter_m * pot.height_m) * (side_w_m2_k(air, wind) * warmer_k + radiation_side)
    bottom = disc_m2 * (bottom_w_m2_k(air, wind) * warmer_k + radiation_side)
    return top, side, bottom


def wind_at_pot_m_s(stove: Stove, wind_m_s: float) -> float:
    """Wind at the pot [m/s] from that at 10 m [m/s]."""
    return wind_m_s * stove.wind_at_pot_share


def loss_parts_w(stove: Stove, temperature_c: N, air_c: float, wind_m_s: float) -> tuple[N, N, N]:
    """Losses of the open pot from its top, all of its side and its bottom [W]; arguments as in `loss_w`."""
    pot = outside_of(stove)
    return losses_in_wind_w(pot, calm(pot, temperature_c, air_c), wind_at_pot_m_s(stove, wind_m_s))


def loss_w(
    stove: Stove,
    temperature_c: N,
    air_c: float,
    wind_m_s: float,
    burning: bool,
    lid: bool,
    pool: bool = True,
) -> N:
    """Heat that the pot loses.

    Parameters
    ----------
    stove : Stove
        Pot and place.
    temperature_c : float or array
        Temperature of pot and contents [degC].
    air_c : float
        Air [degC].
    wind_m_s : float
        Wind at 10 m [m/s].
    burning : bool
        Whether the burner is on: its gases then cover the bottom and part of the side.
    lid : bool
        Whether the lid is on.
    pool : bool
        As in `useful_power_w`; counts only while the burner is on, a pot left alone loses as if it had a pool.

    Returns
    -------
    float or array
        Power [W]; below zero when the pot is colder than the air.
    """
    top, side, bottom = loss_parts_w(stove, temperature_c, air_c, wind_m_s)
    lid_share = stove.lid_share if lid else 1.0
    if not burning:
        return lid_share * top + side + bottom
    return lid_share * _contact(stove, pool) * top + (1.0 - stove.gas_cover_share) * side


def net_power_w(
    stove: Stove,
    temperature_c: N,
    air_c: float,
    wind_m_s: float,
    fill_share: float,
    *,
    burning: bool,
    pool: bool,
    lid: bool,
) -> N:
    """Heat that stays in pot and contents [W], exact; arguments as in `useful_power_w` and `loss_w`."""
    loss = loss_w(stove, temperature_c, air_c, wind_m_s, burning, lid, pool)
    if not burning:
        return -loss
    return useful_power_w(stove, temperature_c, air_c, wind_m_s, fill_share, pool) - loss


def net_powers_w(
    stove: Stove, useful_w: np.ndarray, losses_w: tuple[np.ndarray, np.ndarray, np.ndarray], lid: bool
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Net powers [W] at many temperatures: burning on loose weights, burning with a pool, burner off.

    The same numbers as `net_power_w`, from useful power with a pool and the losses that `loss_parts_w` gives.
    """
    top, side, bottom = losses_w
    if lid:
        top = stove.lid_share * top
    upward, bare_side = useful_w - top, (1.0 - stove.gas_cover_share) * side
    return stove.contact_share * upward - bare_side, upward - bare_side, -(top + side + bottom)


def _contact(stove: Stove, pool: bool) -> float:
    return 1.0 if pool else stove.contact_share
