"""What is in the pot as heat: capacities, latent heat, and how warm and how molten it is.

In: heat capacities [J/K], latent heat [J], temperatures [degC]. Out: the same after loads were joined, dropped in
or taken out, with every joule accounted for. It must not know metals, fuel, weather or time.

Pot and contents share one temperature. Below the melting point they hold `capacity_solid_j_per_k`, above it
`capacity_liquid_j_per_k`; pot, clips and zinc that stay solid count in both.
"""

from __future__ import annotations

from typing import Final


class Charge:
    """Pot and contents, or a load on its way into the pot.

    Parameters
    ----------
    capacity_solid_j_per_k, capacity_liquid_j_per_k : float
        Heat capacity of all of it below and above the melting point [J/K].
    latent_j : float
        Heat that melts all that melts [J].
    melting_c : float
        Melting point of what melts [degC].
    """

    __slots__ = ("capacity_liquid_j_per_k", "capacity_solid_j_per_k", "latent_j", "melting_c")

    def __init__(
        self, capacity_solid_j_per_k: float, capacity_liquid_j_per_k: float, latent_j: float, melting_c: float
    ) -> None:
        self.capacity_solid_j_per_k: Final = capacity_solid_j_per_k
        self.capacity_liquid_j_per_k: Final = capacity_liquid_j_per_k
        self.latent_j: Final = latent_j
        self.melting_c: Final = melting_c


class Heat:
    """How warm a charge is.

    Parameters
    ----------
    temperature_c : float
        Temperature of pot and contents [degC].
    latent_in_j : float
        Latent heat absorbed so far [J]: 0 below the melting point, all of it above.
    pool : bool
        Whether the contents touch the pot well: a pool has formed, or a heel, molten or frozen, fits its bottom.
    """

    __slots__ = ("latent_in_j", "pool", "temperature_c")

    def __init__(self, temperature_c: float, latent_in_j: float, pool: bool) -> None:
        self.temperature_c: Final = temperature_c
        self.latent_in_j: Final = latent_in_j
        self.pool: Final = pool


def joined(a: Charge, b: Charge) -> Charge:
    """Two charges as one; where melting points differ, their mean weighted with latent heat [degC]."""
    melting_c, latent_j = a.melting_c, a.latent_j + b.latent_j
    if melting_c != b.melting_c and latent_j != 0.0:
        melting_c = (a.latent_j * melting_c + b.latent_j * b.melting_c) / latent_j
    return Charge(
        a.capacity_solid_j_per_k + b.capacity_solid_j_per_k,
        a.capacity_liquid_j_per_k + b.capacity_liquid_j_per_k,
        latent_j,
        melting_c,
    )


def enthalpy_j(charge: Charge, heat: Heat, reference_c: float = 0.0) -> float:
    """Heat in a charge above the same charge, solid, at a reference temperature.

    Parameters
    ----------
    charge : Charge
        Pot and contents.
    heat : Heat
        How warm they are.
    reference_c : float
        Where the count starts, at or below the melting point [degC].

    Returns
    -------
    float
        Heat [J].
    """
    temperature_c, melting_c = heat.temperature_c, charge.melting_c
    solid_c = temperature_c if temperature_c < melting_c else melting_c
    solid_j = charge.capacity_solid_j_per_k * (solid_c - reference_c)
    return solid_j + heat.latent_in_j + charge.capacity_liquid_j_per_k * (temperature_c - solid_c)


def heat_at(charge: Charge, enthalpy: float, pool: bool, reference_c: float = 0.0) -> Heat:
    """How warm a charge is that holds some heat [J] above a reference; the inverse of `enthalpy_j`."""
    solid, latent_j, melting_c = charge.capacity_solid_j_per_k, charge.latent_j, charge.melting_c
    beyond_j = enthalpy - solid * (melting_c - reference_c)
    if beyond_j < 0.0:
        return Heat(reference_c + enthalpy / solid, 0.0, pool)
    if beyond_j <= latent_j:
        return Heat(melting_c, beyond_j, pool)
    return Heat(melting_c + (beyond_j - latent_j) / charge.capacity_liquid_j_per_k, latent_j, pool)


def mixed(hot: Charge, heat: Heat, cold: Charge, cold_c: float) -> tuple[Charge, Heat]:
    """A cold, solid load dropped into the pot, with no heat lost or made.

    Parameters
    ----------
    hot : Charge
        Pot and what is in it.
    heat : Heat
        How warm that is.
    cold : Charge
        The load.
    cold_c : float
        Its temperature, below its melting point [degC].

    Returns
    -------
    Charge, Heat
        Both together. The load may freeze a molten pool; the contact with the pot stays as good as it was.
    """
    if cold_c > cold.melting_c:
        raise ValueError(f"a load at {cold_c} degC is above its melting point of {cold.melting_c} degC")
    solid, cold_solid = hot.capacity_solid_j_per_k, cold.capacity_solid_j_per_k
    both, cold_j = joined(hot, cold), cold_solid * cold_c
    if (
        heat.temperature_c < hot.melting_c and hot.melting_c == cold.melting_c
    ):  # both stay solid: a plain mean
        return both, Heat((solid * heat.temperature_c + cold_j) / (solid + cold_solid), 0.0, heat.pool)
    return both, heat_at(both, enthalpy_j(hot, heat) + cold_j, heat.pool)


def without(charge: Charge, heat: Heat, taken: Charge) -> tuple[Charge, Heat]:
    """What is left after something was taken out at the temperature of the pot: skimmed, or poured.

    Parameters
    ----------
    charge : Charge
        Pot and contents.
    heat : Heat
        How warm they are.
    taken : Charge
        What leaves; it takes its share of the latent heat along, and the temperature stays.

    Returns
    -------
    Charge, Heat
        What stays.
    """
    solid = _rest(charge.capacity_solid_j_per_k, taken.capacity_solid_j_per_k)
    liquid = _rest(charge.capacity_liquid_j_per_k, taken.capacity_liquid_j_per_k)
    latent = _rest(charge.latent_j, taken.latent_j)
    left = Charge(solid, liquid, latent, charge.melting_c)
    latent_in_j = heat.latent_in_j * latent / charge.latent_j if charge.latent_j > 0.0 else 0.0
    return left, Heat(heat.temperature_c, latent_in_j, heat.pool)


def _rest(of: float, taken: float) -> float:
    rest = of - taken
    if rest < -1e-9 * of:
        raise ValueError(f"more heat capacity or latent heat is taken out ({taken}) than there is ({of})")
    return rest if rest > 0.0 else 0.0
