"""The metals in a pot: what it takes to heat them, what is lost as dross, what zinc dissolves.

In: masses [kg], temperatures [degC], hours in hot metal [h]. Out: properties, shares [-], masses [kg].
Must not know: pots, burners, weather, scenarios.

Heats of the solid are means from 20 degC to the melting point, or to 400 degC for metals that stay solid below it, so
that one number serves a whole melt; at 25 degC they are lower (iron 449, zinc 388, lead 130 J/kg/K).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from math import exp
from typing import Final

import numpy as np

_CRC: Final = "CRC Handbook of Chemistry and Physics, as carried by the library chemicals 1.5.2"
_WEBBOOK: Final = "NIST Chemistry WebBook (Shomate equations), as carried by the library chemicals 1.5.2"


@dataclass(frozen=True, slots=True)
class Metal:
    """One metal.

    Parameters
    ----------
    name, symbol : str
        Name and chemical symbol.
    melting_c : float
        Melting point [degC].
    fusion_j_per_kg : float
        Heat of fusion [J/kg].
    solid_j_per_kg_k : float
        Specific heat of the solid, mean from 20 degC to the melting point or to 400 degC [J/kg/K].
    liquid_j_per_kg_k : float
        Specific heat of the liquid above the melting point [J/kg/K].
    liquid_kg_per_m3 : float
        Density of the liquid at the melting point [kg/m3].
    sources : Mapping
        Source of each of these, by name.
    """

    name: str
    symbol: str
    melting_c: float
    fusion_j_per_kg: float
    solid_j_per_kg_k: float
    liquid_j_per_kg_k: float
    liquid_kg_per_m3: float
    sources: Mapping[str, str] = field(repr=False, hash=False, compare=False)


def _sources(solid: str, liquid: str) -> Mapping[str, str]:
    """Sources of one metal: those that all metals share, and those of its specific heats."""
    return {
        "melting_c": f"{_CRC}, less 273.15 K",
        "fusion_j_per_kg": f"{_CRC}, over the molar mass",
        "solid_j_per_kg_k": solid,
        "liquid_j_per_kg_k": liquid,
        "liquid_kg_per_m3": f"{_CRC}, densities of molten compounds",
    }


LEAD: Final = Metal(
    "lead", "Pb", 327.46, 23_041.0, 135.6, 147.2, 10_660.0,
    _sources(f"{_WEBBOOK}, mean 20 to 327 degC", f"{_WEBBOOK}, mean 327 to 427 degC"),
)  # fmt: skip
ZINC: Final = Metal(
    "zinc", "Zn", 419.53, 108_106.0, 419.2, 480.0, 6_570.0,
    _sources(f"{_WEBBOOK}, mean 20 to 420 degC", _WEBBOOK),
)  # fmt: skip
IRON: Final = Metal(
    "iron", "Fe", 1_538.0, 247_292.0, 525.0, 824.0, 7_035.0,
    _sources(f"{_CRC}, table of solids at 200 to 600 K, last slope kept, mean 20 to 400 degC", _WEBBOOK),
)  # fmt: skip

DROSS_BASE_SHARE: Final = 0.010  # -; share of the lead that turns to dross in any melt; common practice
DROSS_HOURLY_SHARE: Final = 0.004  # 1/h; more for each hour molten; assumed, within common practice
DROSS_AT_MOST_SHARE: Final = 0.030  # -; upper end of common practice

ZINCED_SHARE: Final = 0.001  # -; above it the pot is spoiled; common practice, no published source
ZINC_HOURLY_SHARE: Final = 0.0008  # 1/h; share of zinc weights in hot lead that dissolves each hour; assumed
ZINC_OVERHEATED_SHARE: Final = 0.03  # -; share that dissolves in an overheated cold start; assumed

# Zinc that liquid lead can hold [-] at two temperatures [degC]: eutectic and monotectic of lead and zinc; from memory.
_SOLUBLE_AT_C: Final = (318.2, 417.8)
_SOLUBLE_SHARE: Final = (0.005, 0.02)


def dross_kg(
    lead_kg: float,
    molten_h: float,
    base_share: float = DROSS_BASE_SHARE,
    hourly_share: float = DROSS_HOURLY_SHARE,
    at_most_share: float = DROSS_AT_MOST_SHARE,
) -> float:
    """Lead that is skimmed off as dross.

    Parameters
    ----------
    lead_kg : float
        Lead that was melted [kg].
    molten_h : float
        How long the metal is molten [h].
    base_share, hourly_share, at_most_share : float
        Share lost in any melt [-], more of it each hour [1/h], and the most [-]. Common practice is 1 to 3 %, more on
        long melts; no published source.

    Returns
    -------
    float
        Mass [kg].
    """
    return lead_kg * min(base_share + hourly_share * max(molten_h, 0.0), at_most_share)


@cache
def zinc_solubility_share(metal_c: float) -> float:
    """Most zinc that liquid lead can hold, as a share of the metal [-].

    Notes
    -----
    Logarithm of the share linear in temperature between the eutectic (318 degC) and the monotectic (418 degC) of lead
    and zinc, held constant outside: both from memory. It is a bound, far above what spoils a pot.
    """
    return float(np.exp(np.interp(metal_c, _SOLUBLE_AT_C, np.log(_SOLUBLE_SHARE))))


def zinc_dissolved_kg(
    zinc_kg: float,
    hot_h: float,
    overheated: bool,
    lead_kg: float,
    hourly_share: float = ZINC_HOURLY_SHARE,
    overheated_share: float = ZINC_OVERHEATED_SHARE,
    already_kg: float = 0.0,
    metal_c: float = 400.0,
) -> float:
    """Zinc that goes into solution while zinc weights lie in hot lead.

    Parameters
    ----------
    zinc_kg : float
        Zinc weights in the pot [kg].
    hot_h : float
        Hours until they are skimmed off [h].
    overheated : bool
        Whether the pot started cold without a heel under a strong burner and nobody watched its temperature.
    lead_kg : float
        Molten lead in the pot [kg].
    hourly_share, overheated_share : float
        Share of the zinc that dissolves in an hour [1/h] and in an overheated start [-]; assumed.
    already_kg : float
        Zinc in solution before, from the heel or an earlier load [kg].
    metal_c : float
        Temperature of the lead, for the bound of solubility [degC].

    Returns
    -------
    float
        Zinc newly dissolved [kg]: never more than there is, nor than the lead can hold.
    """
    if zinc_kg == 0.0:
        return 0.0
    kept_share = exp(-hourly_share * max(hot_h, 0.0)) * (1.0 - overheated_share if overheated else 1.0)
    soluble_share = zinc_solubility_share(metal_c)
    room_kg = max(lead_kg * soluble_share / (1.0 - soluble_share) - already_kg, 0.0)
    return min(zinc_kg * (1.0 - kept_share), room_kg)
