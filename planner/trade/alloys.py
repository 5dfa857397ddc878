"""What the weights are made of, how hard it casts, and how much pewter brings it to a wanted share of tin.

In: masses [kg] and mass shares [-]. Out: compositions, Brinell hardness [HB], masses [kg].
Must not know: prices, buyers, lots.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

PewterType = Literal[1, 2, 3]

RULE_FROM_SHARE: Final = 0.02  # -; tin and antimony together, below which the rule of thumb is left; assumed
PURE_LEAD_HB: Final = 4.0  # HB; cast lead, Metals Handbook (ASM) vol. 2, from memory; 3.9 in Saposhnikov 1908


@dataclass(frozen=True, slots=True)
class Composition:
    """Mass shares [-] of a lead alloy, and where they come from."""

    name: str
    lead_share: float
    antimony_share: float
    tin_share: float
    arsenic_share: float
    source: str


@dataclass(frozen=True, slots=True)
class Pewter:
    """Mass shares [-] of a pewter by its type, and where they come from."""

    type: PewterType
    tin_share: float
    antimony_share: float
    copper_share: float
    use: str
    source: str


CLIP_ON: Final = Composition(
    "clip-on weight", 0.95850, 0.035, 0.004, 0.0025,
    "common practice, no published source: Pb 95-96, Sb 3-4, Sn .25-.5, As .2-.3 %; middle of each, lead the rest",
)  # fmt: skip
STICK_ON: Final = Composition(
    "stick-on weight",
    1.0,
    0.0,
    0.0,
    0.0,
    "common practice, no published source: nearly pure lead, about 5 HB",
)

PEWTERS: Final[dict[PewterType, Pewter]] = {
    1: Pewter(1, 0.920, 0.075, 0.005, "castings", "ASTM B560 scope, note A (nominal)"),
    2: Pewter(2, 0.910, 0.070, 0.020, "sheet", "ASTM B560 scope, note B (nominal)"),
    3: Pewter(
        3, 0.965, 0.020, 0.015, "special purposes", "ASTM B560 table 1, middle of its ranges, from memory"
    ),
}

# Brinell hardness of lead with tin: share of tin [-], HB. Saposhnikov 1908, as quoted in a textbook on soldering.
LEAD_TIN_HB: Final = (
    (0.00, 3.9), (0.10, 10.1), (0.20, 12.16), (0.30, 14.5), (0.40, 15.8), (0.50, 15.0), (0.60, 14.6), (0.66, 16.7),
    (0.67, 15.4), (0.68, 14.6), (0.70, 15.8), (0.80, 15.2), (0.90, 13.3), (1.00, 4.1),
)  # fmt: skip

# Brinell hardness of cast lead with antimony: share of antimony [-], HB. Metals Handbook (ASM) vol. 2, from memory.
LEAD_ANTIMONY_HB: Final = (
    (0.00, 4.0), (0.01, 7.0), (0.02, 8.0), (0.03, 9.1), (0.04, 10.0), (0.05, 11.0), (0.06, 11.8), (0.07, 12.5),
    (0.08, 13.3), (0.09, 14.0), (0.10, 14.6), (0.11, 14.8),
)  # fmt: skip


def blended(parts: Sequence[tuple[float, Composition]]) -> Composition:
    """Composition of several alloys melted together.

    Parameters
    ----------
    parts : sequence of (float, Composition)
        Mass [kg] and composition of each.

    Returns
    -------
    Composition
        Their mean by mass.
    """
    total_kg = sum(mass_kg for mass_kg, _ in parts)
    if not total_kg > 0.0:
        raise ValueError("nothing to melt together: the masses add up to nothing")

    def mean(name: str) -> float:
        return float(sum(mass_kg * getattr(part, name) for mass_kg, part in parts)) / total_kg

    return Composition(
        "blend",
        mean("lead_share"),
        mean("antimony_share"),
        mean("tin_share"),
        mean("arsenic_share"),
        "mass balance",
    )


def rule_of_thumb_hb(tin_share: float, antimony_share: float) -> float:
    """Brinell hardness [HB] by 8.60 + 0.29 Sn % + 0.92 Sb %: common practice, not for nearly pure lead."""
    return 8.60 + 0.29 * 100.0 * tin_share + 0.92 * 100.0 * antimony_share


def hardness_hb(tin_share: float, antimony_share: float) -> float:
    """Brinell hardness of a lead alloy, nearly pure lead included.

    Parameters
    ----------
    tin_share, antimony_share : float
        Mass shares [-].

    Returns
    -------
    float
        Hardness [HB]: the rule of thumb from 2 % of tin and antimony on; below, straight from pure lead to it.
    """
    added_share = tin_share + antimony_share
    if added_share >= RULE_FROM_SHARE:
        return rule_of_thumb_hb(tin_share, antimony_share)
    if added_share <= 0.0:
        return PURE_LEAD_HB
    way = added_share / RULE_FROM_SHARE
    there_hb = rule_of_thumb_hb(tin_share / way, antimony_share / way)
    return PURE_LEAD_HB + way * (there_hb - PURE_LEAD_HB)


def lead_tin_hb(tin_share: float) -> float:
    """Brinell hardness [HB] of lead with tin [-], linear between the rows of Saposhnikov 1908."""
    return _interpolated("tin_share", tin_share, LEAD_TIN_HB)


def lead_antimony_hb(antimony_share: float) -> float:
    """Brinell hardness [HB] of cast lead with antimony [-] up to 11 %, linear between rows (Metals Handbook, ASM)."""
    return _interpolated("antimony_share", antimony_share, LEAD_ANTIMONY_HB)


def tin_to_blend_kg(
    lead_kg: float, tin_share_now: float, tin_share_wanted: float, pewter_tin_share: float = 1.0
) -> float:
    """Pewter, or pure tin, to melt in for a wanted share of tin.

    Parameters
    ----------
    lead_kg : float
        Metal at hand [kg].
    tin_share_now, tin_share_wanted : float
        Its share of tin and the share that is wanted in the whole [-].
    pewter_tin_share : float
        Share of tin in what is added [-]; 1 for pure tin.

    Returns
    -------
    float
        Mass to add [kg]; 0 where there is enough tin already.

    Notes
    -----
    Mass balance of tin: lead now + pewter x = wanted (lead + x).
    """
    if tin_share_now >= tin_share_wanted:
        return 0.0
    if not tin_share_wanted < pewter_tin_share <= 1.0:
        raise ValueError(
            f"what is added holds {pewter_tin_share:.3g} tin: that cannot bring the metal to {tin_share_wanted:.3g}"
        )
    return lead_kg * (tin_share_wanted - tin_share_now) / (pewter_tin_share - tin_share_wanted)


def _interpolated(name: str, share: float, rows: tuple[tuple[float, float], ...]) -> float:
    """Value between the rows of a table; refuses a share outside it."""
    shares, values = zip(*rows, strict=True)
    if not shares[0] <= share <= shares[-1]:
        raise ValueError(f"{name} is {share}; the table goes from {shares[0]:g} to {shares[-1]:g}")
    return float(np.interp(share, shares, values))
