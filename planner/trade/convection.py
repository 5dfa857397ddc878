"""How fast moving and still air carries heat off a hot plate and a hot upright cylinder.

In: surface and air temperatures [degC], wind at the surface [m/s], sizes [m]. Out: Nusselt numbers and heat
transfer coefficients [W/m2/K]. The same functions take plain floats and numpy arrays of temperatures.
It must not know what a pot, a burner or a melt is.

Properties of air are taken at the film temperature, the mean of surface and air.
"""

from __future__ import annotations

from typing import Generic, NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

N = TypeVar("N", float, NDArray[np.float64])

KELVIN = 273.15
GRAVITY_M_S2 = 9.80665
STEFAN_BOLTZMANN = 5.670374419e-8
"""Stefan-Boltzmann constant [W/m2/K4]; CODATA 2018."""

PRANDTL_AIR = 0.70
"""Prandtl number of air [-]; .68 to .72 from -20 to 400 degC, from memory."""

PRESSURE_PA = 101325.0
GAS_CONSTANT_AIR = 287.053
"""Specific gas constant of air [J/kg/K]; U.S. Standard Atmosphere 1976."""

COMBINING_EXPONENT = 3.0
"""Natural and forced convection are joined as Nu^n = Nu_forced^n + Nu_natural^n; n = 3 as in Bergman, Lavine,
Incropera and DeWitt, chapter on free convection (from memory)."""


def larger(a: N, b: N) -> N:
    """Larger of two floats, or of two arrays element by element."""
    if isinstance(a, np.ndarray):
        return np.maximum(a, b)
    return max(a, b)


def power(base: N, exponent: float) -> N:
    """Base, not negative, raised to an exponent."""
    result: N = base**exponent
    return result


def _exp10(exponent: N) -> N:
    result: N = 10.0**exponent
    return result


def air_conductivity_w_m_k(film_k: N) -> N:
    """Thermal conductivity of air [W/m/K] at the film temperature [K]; U.S. Standard Atmosphere 1976."""
    return 2.64638e-3 * power(film_k, 1.5) / (film_k + 245.4 * _exp10(-12.0 / film_k))


def air_kinematic_viscosity_m2_s(film_k: N) -> N:
    """Kinematic viscosity of air [m2/s] at sea level and the film temperature [K].

    Notes
    -----
    Sutherland's law with the constants of the U.S. Standard Atmosphere 1976 over the ideal gas density.
    """
    return 1.458e-6 * GAS_CONSTANT_AIR / PRESSURE_PA * power(film_k, 2.5) / (film_k + 110.4)


class Film(NamedTuple, Generic[N]):
    """Air between a surface and the wind: what both kinds of convection read, worked out once."""

    conductivity_w_m_k: N
    viscosity_m2_s: N
    buoyancy_m_s2: N
    """Acceleration of the warm air, with the expansion of an ideal gas."""


def film(surface_c: N, air_c: float) -> Film[N]:
    """The film at a surface [degC] in air [degC]; a surface colder than the air counts by the same difference."""
    film_k = 0.5 * (surface_c + air_c) + KELVIN
    buoyancy = GRAVITY_M_S2 * abs(surface_c - air_c) / film_k
    return Film(air_conductivity_w_m_k(film_k), air_kinematic_viscosity_m2_s(film_k), buoyancy)


def rayleigh(air: Film[N], length_m: float) -> N:
    """Rayleigh number [-] of still air at a surface of a characteristic length [m]."""
    viscosity = air.viscosity_m2_s
    return air.buoyancy_m_s2 * length_m**3 * PRANDTL_AIR / (viscosity * viscosity)


def nu_plate_up(ra: N) -> N:
    """Nusselt number [-] of natural convection above a hot horizontal plate facing up.

    Notes
    -----
    McAdams, Heat Transmission, 3rd ed. 1954: .54 Ra^(1/4) up to Ra = 1e7, .15 Ra^(1/3) above. The larger of the
    two is taken, so that there is no step: between Ra = 4.7e6 and 1e7 it lies up to 6.5 % above the printed rule.
    Length: area over perimeter.
    """
    return larger(0.54 * power(ra, 0.25), 0.15 * power(ra, 1.0 / 3.0))


def nu_plate_down(ra: N) -> N:
    """Nusselt number [-] of natural convection below a hot horizontal plate facing down.

    Notes
    -----
    McAdams, Heat Transmission, 3rd ed. 1954: .27 Ra^(1/4), Ra up to 1e10. Length: area over perimeter.
    """
    return 0.27 * power(ra, 0.25)


def nu_plate_upright(ra: N) -> N:
    """Nusselt number [-] of natural convection along a hot vertical plate, length its height.

    Notes
    -----
    Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1323-1329, all Ra.
    """
    factor: float = 0.387 * (1.0 + (0.492 / PRANDTL_AIR) ** (9.0 / 16.0)) ** (-8.0 / 27.0)
    root = 0.825 + factor * power(ra, 1.0 / 6.0)
    return root * root


def nu_plate_wind(re: N) -> N:
    """Nusselt number [-] of wind along a flat plate, mean over its length.

    Notes
    -----
    Bergman, Lavine, Incropera and DeWitt, chapter on external flow: laminar .664 Re^(1/2) Pr^(1/3), and
    (.037 Re^(4/5) - 871) Pr^(1/3) where the flow turns turbulent at Re = 5e5; there the two meet and the larger
    is the valid one on either side.
    """
    prandtl_part: float = PRANDTL_AIR ** (1.0 / 3.0)
    return prandtl_part * larger(0.664 * power(re, 0.5), 0.037 * power(re, 0.8) - 871.0)


def nu_cylinder_wind(re: N) -> N:
    """Nusselt number [-] of wind across a cylinder, mean over its circumference.

    Notes
    -----
    Churchill and Bernstein, J. Heat Transfer 99 (1977) 300-306; Re Pr above .2.
    """
    factor: float = 0.62 * PRANDTL_AIR ** (1.0 / 3.0) / (1.0 + (0.4 / PRANDTL_AIR) ** (2.0 / 3.0)) ** 0.25
    return 0.3 + factor * power(re, 0.5) * power(1.0 + power(re / 282000.0, 0.625), 0.8)


def combining_term(coefficient_w_m2_k: N) -> N:
    """A coefficient [W/m2/K] as it is joined with another one: raised to the combining exponent."""
    return power(coefficient_w_m2_k, COMBINING_EXPONENT)


def combined_w_m2_k(first_term: N, second_term: N) -> N:
    """Coefficient [W/m2/K] of natural and forced convection together, from the `combining_term` of each alone."""
    return power(first_term + second_term, 1.0 / COMBINING_EXPONENT)


class Still(NamedTuple, Generic[N]):
    """An upright cylinder in still air: all of its convection that does not hang on the wind."""

    air: Film[N]
    top_term: N
    """Of natural convection above it, as `combining_term` gives it; below it and along its side in the same way."""
    bottom_term: N
    side_term: N


class Windy(NamedTuple, Generic[N]):
    """What the wind alone carries off an upright cylinder, as `combining_term` gives it."""

    plate_term: N
    """Top and bottom; the wind is taken to run along all of the diameter."""
    side_term: N


def still(surface_c: N, air_c: float, diameter_m: float, height_m: float) -> Still[N]:
    """Natural convection at an upright cylinder [degC] in air [degC].

    Parameters
    ----------
    surface_c : float or array
        Temperature of the cylinder [degC].
    air_c : float
        Air [degC].
    diameter_m, height_m : float
        Size of the cylinder [m].

    Returns
    -------
    Still
        Air at the cylinder, and natural convection at top, bottom and side.

    Notes
    -----
    In still air the side counts as a vertical plate, allowed where D/H > 35/Gr^(1/4) (Bergman et al.); a pot of
    25 cm by 15 cm at 350 degC has 1.7 against .5.
    """
    air = film(surface_c, air_c)
    conductivity, over_perimeter_m = air.conductivity_w_m_k, 0.25 * diameter_m
    plate_ra = rayleigh(air, diameter_m / 4)
    side = nu_plate_upright(rayleigh(air, height_m)) * conductivity / height_m
    return Still(
        air,
        combining_term(nu_plate_up(plate_ra) * conductivity / over_perimeter_m),
        combining_term(nu_plate_down(plate_ra) * conductivity / over_perimeter_m),
        combining_term(side),
    )


def windy(air: Film[N], wind_m_s: float, diameter_m: float) -> Windy[N]:
    """Forced convection at an upright cylinder of a diameter [m] in wind [m/s]."""
    conductivity = air.conductivity_w_m_k
    reynolds = wind_m_s * diameter_m / air.viscosity_m2_s
    return Windy(
        combining_term(nu_plate_wind(reynolds) * conductivity / diameter_m),
        combining_term(nu_cylinder_wind(reynolds) * conductivity / diameter_m),
    )


def top_w_m2_k(calm: Still[N], wind: Windy[N]) -> N:
    """Heat transfer coefficient [W/m2/K] of the top of an upright cylinder, a round plate facing up in wind."""
    return combined_w_m2_k(calm.top_term, wind.plate_term)


def bottom_w_m2_k(calm: Still[N], wind: Windy[N]) -> N:
    """Heat transfer coefficient [W/m2/K] of its bottom, a round plate facing down in wind."""
    return combined_w_m2_k(calm.bottom_term, wind.plate_term)


def side_w_m2_k(calm: Still[N], wind: Windy[N]) -> N:
    """Heat transfer coefficient [W/m2/K] of its side in wind."""
    return combined_w_m2_k(calm.side_term, wind.side_term)


def radiation_w_m2(surface_c: N, air_c: float, emissivity: float) -> N:
    """Net radiation [W/m2] of a grey surface [degC] into surroundings as warm as the air [degC]."""
    surface_k = surface_c + KELVIN
    square = surface_k * surface_k
    return emissivity * STEFAN_BOLTZMANN * (square * square - (air_c + KELVIN) ** 4)
