"""Published values that one formula of the trade gives again: lifting, heats of fusion, convection.

In: nothing. Out: rows, and the tables they are made from. Must not know: runs, chance.

NIOSH prints its examples in inches and pounds, pairs inches with centimetres at 2.5, and rounds what it multiplies: 2 %
is allowed, and half of the last printed digit. Its load constants, 51 lb and 23 kg, are not exact conversions, so
weights in pounds are compared as shares of 51 lb.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final, NamedTuple

from planner.testing.rows import Row, for_sure
from planner.trade import convection
from planner.trade.lifting import LOAD_CONSTANT_KG, Coupling, Hands, Lift, recommended_weights_kg
from planner.trade.metals import LEAD, ZINC, Metal

CM_PER_INCH: Final = 2.5
LOAD_CONSTANT_LB: Final = 51.0
ROUNDED_SHARE: Final = 0.02


def hands_in(h_in: float, v_in: float, a_deg: float = 0.0, coupling: Coupling = "fair") -> Hands:
    """Hands at so many inches from the ankles and above the floor."""
    return Hands(h_in * CM_PER_INCH, v_in * CM_PER_INCH, a_deg, coupling)


def recommended_lb(lift: Lift) -> tuple[float, float]:
    """Recommended weights at origin and destination [lb, as NIOSH counts them]."""
    origin_kg, destination_kg = recommended_weights_kg(lift)
    each_lb = LOAD_CONSTANT_LB / LOAD_CONSTANT_KG
    return origin_kg * each_lb, destination_kg * each_lb


class Example(NamedTuple):
    """A worked example of the NIOSH manual: a load at one end of a lift, the printed weight limit and index."""

    name: str
    lift: Lift
    end: int
    """0 origin, 1 destination."""
    load_lb: float
    printed_lb: float
    printed_index: float
    where: str


PUNCH_PRESS: Final = Lift(hands_in(23, 15), hands_in(23, 63), 0.1, 1.0)
BAGS: Final = Lift(hands_in(18, 15, 45), hands_in(10, 36), 0.1, 1.0)
"""Origin only, 21 in of travel."""
PACKAGES: Final = Lift(hands_in(10, 22), hands_in(20, 59), 3.0, 1.0)
"""H 20 in, 3 lifts a minute and 1 h follow from the printed products."""
NIOSH_EXAMPLES: Final = (
    Example("punch press stock, origin", PUNCH_PRESS, 0, 44, 16.3, 2.7, "example 1, pp. 35-36, from memory"),
    Example("punch press stock, end", PUNCH_PRESS, 1, 44, 14.5, 3.0, "example 1, pp. 35-36, from memory"),
    Example("bags into a hopper, origin", BAGS, 0, 40, 18.9, 2.1, "example 3, p. 43, from memory"),
    Example("package inspection, origin", PACKAGES, 0, 26, 34.9, 0.7, "example 4, p. 46"),
    Example("package inspection, end", PACKAGES, 1, 26, 15.2, 1.7, "example 4, p. 46"),
)

FUSION_J_PER_KG: Final[tuple[tuple[Metal, float, float, str], ...]] = (
    (LEAD, 4774.0, 207.2, "CRC Handbook, 4774 J/mol over 207.2 g/mol"),
    (ZINC, 7068.0, 65.38, "CRC Handbook, 7068 J/mol over 65.38 g/mol"),
    (LEAD, 23070.0, 1000.0, "OECD/NEA Handbook on lead and lead-bismuth, 2015, 23070 J/kg"),
)
"""Metal, heat of fusion [J/mol], molar mass [g/mol], source; the last is printed by mass."""
FUSION_SHARE: Final = (0.001, 0.001, 0.003)
"""How far apart sources are that were measured apart."""

BERGMAN: Final = "Bergman, Lavine, Incropera, DeWitt, Introduction to Heat Transfer, 6th ed."
RUN_IN_HT: Final = "run in the library ht 1.2.0, Pr 0.7"
CONVECTION: Final[tuple[tuple[str, Callable[[float], float], float, float, str], ...]] = (
    (
        "a cylinder in the wind, Re 6071",
        convection.nu_cylinder_wind,
        6071.0,
        40.63708594,
        f"{BERGMAN}, ex. 7.3",
    ),
    ("a cylinder in the wind, Re 2000", convection.nu_cylinder_wind, 2000.0, 22.677171, RUN_IN_HT),
    ("a cylinder in the wind, Re 10000", convection.nu_cylinder_wind, 10000.0, 53.327789, RUN_IN_HT),
    ("an upright plate in still air, Ra 7e5", convection.nu_plate_upright, 0.7e6, 15.044471, RUN_IN_HT),
    ("an upright plate in still air, Ra 7e8", convection.nu_plate_upright, 0.7e9, 109.866277, RUN_IN_HT),
    ("a plate facing up in still air, Ra 7e5", convection.nu_plate_up, 0.7e6, 15.619541, RUN_IN_HT),
    ("a plate facing up in still air, Ra 7e8", convection.nu_plate_up, 0.7e9, 133.1856, RUN_IN_HT),
    ("a plate facing down in still air, Ra 7e5", convection.nu_plate_down, 0.7e6, 7.809771, RUN_IN_HT),
    ("a plate facing down in still air, Ra 7e8", convection.nu_plate_down, 0.7e9, 43.917567, RUN_IN_HT),
)
"""What, Nusselt number of a Reynolds or Rayleigh number, that number, printed value, source."""
LAST_DIGIT_SHARE: Final = 1e-6
SHOWN_CONVECTION: Final = (0, 4, 6, 8)


def rows() -> Iterator[Row]:
    """A handful of each table; the tests go through all of them."""
    for example in NIOSH_EXAMPLES:
        found = recommended_lb(example.lift)[example.end]
        allowed = ROUNDED_SHARE * example.printed_lb + 0.05
        source = f"NIOSH 94-110, {example.where}"
        case = f"recommended weight, {example.name}"
        yield for_sure("lifting", case, "lb", example.printed_lb, found, allowed, source)
    for (metal, molar, gram, source), share in zip(FUSION_J_PER_KG, FUSION_SHARE, strict=True):
        expected = 1000.0 * molar / gram
        case = f"heat of fusion of {metal.name}"
        yield for_sure("heat", case, "J/kg", expected, metal.fusion_j_per_kg, share * expected, source)
    for i in SHOWN_CONVECTION:
        what, nusselt, number, printed, source = CONVECTION[i]
        case = f"Nusselt number of {what}"
        yield for_sure("heat", case, "", printed, nusselt(number), LAST_DIGIT_SHARE * printed, source)
