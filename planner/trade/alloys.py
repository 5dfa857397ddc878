"""What pewter is made of, and how much of it brings metal to a wanted share of tin.

In: masses [kg] and mass shares [-]. Out: compositions, masses [kg]. Must not know: prices, buyers, lots.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

PewterType = Literal[1, 2, 3]


@dataclass(frozen=True, slots=True)
class Pewter:
    """Mass shares [-] of a pewter by its type, and where they come from."""

    type: PewterType
    tin_share: float
    antimony_share: float
    copper_share: float
    use: str
    source: str


PEWTERS: Final[dict[PewterType, Pewter]] = {
    1: Pewter(1, 0.920, 0.075, 0.005, "castings", "ASTM B560 scope, note A (nominal)"),
    2: Pewter(2, 0.910, 0.070, 0.020, "sheet", "ASTM B560 scope, note B (nominal)"),
    3: Pewter(
        3, 0.965, 0.020, 0.015, "special purposes", "ASTM B560 table 1, middle of its ranges, from memory"
    ),
}


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
