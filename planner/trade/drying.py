"""How fast wet weights dry: water that sun and warmth take off a wet surface.

In: air temperature [degC], sun on level ground [W/m^2]. Out: depth of water [mm/h].
Must not know: weights, lots, rain, hours of the day.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

MAKKINK: Final = 0.65
"""Share of the sun's heat in Makkink's formula; H. A. R. de Bruin 1987, after G. F. Makkink, J. Inst. Water Eng. 11
(1957) 277. Fitted to short grass that lacks no water; taken for wet metal here (assumed)."""
PSYCHROMETRIC_KPA_PER_K: Final = 0.0665
"""gamma at 1 atm; FAO Irrigation and Drainage Paper 56 (1998), equation 8, from memory."""
LATENT_J_PER_KG: Final = 2.45e6
"""Latent heat of water at about 20 degC; FAO Irrigation and Drainage Paper 56 (1998), from memory."""
FREEZING_C: Final = 0.0


def slope_kpa_per_k(temperature_c: ArrayLike) -> NDArray[np.float64]:
    """Slope of the saturation vapour pressure of water against temperature.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature [degC].

    Returns
    -------
    ndarray
        Slope [kPa/K].

    Notes
    -----
    FAO Irrigation and Drainage Paper 56 (1998), equation 13, from memory.
    """
    above_c = np.asarray(temperature_c, dtype=np.float64)
    pressure_kpa = 0.6108 * np.exp(17.27 * above_c / (above_c + 237.3))
    slope: NDArray[np.float64] = 4098.0 * pressure_kpa / (above_c + 237.3) ** 2
    return slope


def evaporation_mm_per_h(temperature_c: ArrayLike, sun_w_m2: ArrayLike) -> NDArray[np.float64]:
    """Water that evaporates from a wet surface in the sun.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature [degC].
    sun_w_m2 : array_like
        Sun on level ground [W/m^2].

    Returns
    -------
    ndarray
        Depth [mm/h], which is litres a square metre and hour; 0 in frost (assumed: ice does not dry).

    Notes
    -----
    Makkink's formula: 0.65 slope / (slope + gamma) x sun / latent heat.
    """
    slope = slope_kpa_per_k(temperature_c)
    share = MAKKINK * slope / (slope + PSYCHROMETRIC_KPA_PER_K)
    mm_per_h = share * np.asarray(sun_w_m2, dtype=np.float64) * 3600.0 / LATENT_J_PER_KG
    thawed = np.asarray(temperature_c) > FREEZING_C
    dried: NDArray[np.float64] = np.where(thawed, mm_per_h, 0.0)
    return dried
