"""Published limits for lead and for what else a pot gives off, and how long somebody is exposed.

In: hours a day, hours by activity [h], temperatures [degC]. Out: limits as rows, permissible air lead [ug/m3], vapour
pressure [Pa], hours [h]. Must not know: scenarios, runs, how limits are shown.

None of these limits says what somebody takes in: that has to be measured, in the air and in the blood.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.trade.metals import LEAD

_OSHA_LEAD: Final = "29 CFR 1910.1025"
_ABLES: Final = "NIOSH/CDC, Adult Blood Lead Epidemiology and Surveillance, reference blood lead levels"


@dataclass(frozen=True, slots=True)
class Limit:
    """A published limit.

    Parameters
    ----------
    key : str
        Short name.
    value : float
        The number, in ``unit``.
    unit : str
        Unit as printed.
    what : str
        What it limits, in words.
    source : str
        Publication and place in it.
    """

    key: str
    value: float
    unit: str
    what: str
    source: str


LIMITS: Final = (
    Limit("permissible", 50.0, "ug/m3", "lead in air at work, mean over 8 hours", f"{_OSHA_LEAD}(c)(1)"),
    Limit("action", 30.0, "ug/m3", "lead in air at work from which testing begins, mean over 8 hours",
          f"{_OSHA_LEAD}(b)"),
    Limit("surveillance days", 30.0, "days/year", "days above the action level from which blood tests are due",
          f"{_OSHA_LEAD}(j)(1)(i), from memory"),
    Limit("recommended", 50.0, "ug/m3", "lead in air at work, mean over a shift", "NIOSH Pocket Guide"),
    Limit("removal", 60.0, "ug/dL", "blood lead from which an employee is taken off the work, one test",
          f"{_OSHA_LEAD}(k); 87 FR 38343"),
    Limit("removal mean", 50.0, "ug/dL", "blood lead from which an employee is taken off the work, mean of tests",
          f"{_OSHA_LEAD}(k)(1)"),
    Limit("return", 40.0, "ug/dL", "blood lead below which an employee may return, two tests",
          f"{_OSHA_LEAD}(k); 87 FR 38343"),
    Limit("index of exposure", 20.0, "ug/dL", "blood lead at the end of a week's work, biological exposure index",
          "ACGIH 2017, in NIOSH/CDC reference blood lead levels"),
    Limit("elevated adult", 5.0, "ug/dL", "blood lead of an adult that counts as elevated", f"{_ABLES}, 2015"),
    Limit("typical adult", 0.92, "ug/dL", "blood lead of adults in the United States 2015-16, geometric mean", _ABLES),
    Limit("child", 3.5, "ug/dL", "blood lead reference value for children of 1 to 5 years", "CDC, NHANES 2015-18"),
    Limit("carbon monoxide", 50.0, "ppm", "carbon monoxide in air at work, mean over 8 hours",
          "29 CFR 1910.1000, table Z-1"),
    Limit("carbon monoxide recommended", 35.0, "ppm", "carbon monoxide in air at work, mean over 8 hours",
          "NIOSH, Occupational Exposure to Carbon Monoxide, 1972"),
    Limit("carbon monoxide ceiling", 200.0, "ppm", "carbon monoxide in air at work at any moment",
          "NIOSH, Occupational Exposure to Carbon Monoxide, 1972"),
    Limit("zinc oxide fume", 5.0, "mg/m3", "zinc oxide fume in air at work, mean over 8 hours",
          "29 CFR 1910.1000, table Z-1"),
    Limit("zinc oxide fume short", 10.0, "mg/m3", "zinc oxide fume in air at work for a short time", "NIOSH REL"),
    Limit("waste", 5.0, "mg/L", "lead in the leaching test from which waste is hazardous (D008)",
          "40 CFR 261.24, table 1"),
    Limit("cylinder indoors", 2.7, "lb of water", "capacity of the largest propane cylinder kept in a dwelling",
          "NFPA 58, storage within residential buildings"),
)  # fmt: skip

FULL_DAY_H: Final = 8.0  # h; 29 CFR 1910.1025(c)
DOSE_UG_H_M3: Final = 400.0  # ug h/m3; 29 CFR 1910.1025(c)(2)

# Whether an activity exposes to lead. Assumed: dust when sorting and cleaning up, fume and dross at the pot.
EXPOSES: Final[Mapping[str, bool]] = {
    "sorting": True,
    "melting": True,
    "skimming": True,
    "pouring": True,
    "cleaning up": True,
    "setting up": False,
    "asking around": False,
    "fetching": False,
    "yard": False,
    "selling": False,
    "messages": False,
}

# Alcock, Itkin, Horrigan, Canadian Metallurgical Quarterly 23 (1984) 309: log10(p/atm) = A + B/T, T in K, for lead.
_VAPOUR_SOLID: Final = (5.643, -10143.0)
_VAPOUR_LIQUID: Final = (4.911, -9701.0)
_ATM_PA: Final = 101_325.0  # Pa; exact
_KELVIN: Final = 273.15  # K; exact
_GAS_J_PER_MOL_K: Final = 8.314462618  # J/mol/K; SI 2019, exact to the digits given
_LEAD_KG_PER_MOL: Final = 0.2072  # kg/mol; IUPAC


def limit(key: str) -> Limit:
    """The published limit of that key; a KeyError names the keys there are."""
    for row in LIMITS:
        if row.key == key:
            return row
    raise KeyError(f"{key!r} is no published limit; there are {', '.join(row.key for row in LIMITS)}")


def permissible_ug_m3(hours_a_day: float) -> float:
    """Lead in air that an employee may breathe on average over a working day.

    Parameters
    ----------
    hours_a_day : float
        Hours of exposure on that day [h].

    Returns
    -------
    float
        Limit [ug/m3]: 50 up to 8 h, 400 over the hours beyond.

    Notes
    -----
    29 CFR 1910.1025(c)(1) and (c)(2).
    """
    if not 0.0 <= hours_a_day <= 24.0:
        raise ValueError(f"hours_a_day is {hours_a_day}; a day has from 0 to 24")
    return DOSE_UG_H_M3 / max(hours_a_day, FULL_DAY_H)


def exposure_hours(hours_by_activity: Mapping[str, float]) -> float:
    """Hours in which somebody is exposed to lead.

    Parameters
    ----------
    hours_by_activity : Mapping
        Hours by activity [h]; the activities are those of ``EXPOSES``.

    Returns
    -------
    float
        Hours of sorting, melting, skimming, pouring and cleaning up [h].
    """
    unknown = sorted(set(hours_by_activity) - set(EXPOSES))
    if unknown:
        raise ValueError(
            f"whether {', '.join(map(repr, unknown))} exposes to lead is not known; activities are {', '.join(EXPOSES)}"
        )
    return float(sum(hours for activity, hours in hours_by_activity.items() if EXPOSES[activity]))


def lead_vapour_pressure_pa(temperature_c: ArrayLike) -> NDArray[np.float64]:
    """Saturation vapour pressure of lead.

    Parameters
    ----------
    temperature_c : array_like
        Temperature of the metal [degC].

    Returns
    -------
    ndarray
        Pressure [Pa], of the shape of the temperatures.

    Notes
    -----
    Alcock, Itkin, Horrigan, Canadian Metallurgical Quarterly 23 (1984) 309.
    """
    t_c = np.asarray(temperature_c, dtype=np.float64)
    molten = t_c > LEAD.melting_c
    a = np.where(molten, _VAPOUR_LIQUID[0], _VAPOUR_SOLID[0])
    b = np.where(molten, _VAPOUR_LIQUID[1], _VAPOUR_SOLID[1])
    pressure: NDArray[np.float64] = _ATM_PA * 10.0 ** (a + b / (t_c + _KELVIN))
    return pressure


def saturated_lead_ug_m3(temperature_c: ArrayLike) -> NDArray[np.float64]:
    """Lead vapour in air that is saturated at the temperature of the metal [ug/m3].

    Parameters
    ----------
    temperature_c : array_like
        Temperature of metal and air [degC].

    Returns
    -------
    ndarray
        Mass of lead in a volume of that hot air [ug/m3].

    Notes
    -----
    Ideal gas. A bound for the vapour alone, reached only right above the metal: 1 at 400 degC, 75 at 500 degC. Dust,
    dross and splashes are not in it.
    """
    t_k = np.asarray(temperature_c, dtype=np.float64) + _KELVIN
    return lead_vapour_pressure_pa(temperature_c) * _LEAD_KG_PER_MOL / (_GAS_J_PER_MOL_K * t_k) * 1e9
