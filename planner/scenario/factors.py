"""What the units that people write most are in ours, so that a usual file is read without a library of units.

In: nothing. Out: one table of factors by internal unit and by the other unit as `units` spells it. Must not know: how
a quantity is read. Each factor is pint's, to the last bit: a test holds the table against it. What is not here, pint is
asked for.
"""

from __future__ import annotations

from typing import Final

FACTORS: Final[dict[str, dict[str, float]]] = {
    "kg": {"g": 0.001, "t": 1000.0, "lb": 0.4535923700000001},
    "m": {"cm": 0.01, "mm": 0.001},
    "cm": {"m": 100.0, "mm": 0.1, "in": 2.54},
    "km": {"m": 0.001, "miles": 1.609344, "mile": 1.609344},
    "h": {"min": 0.016666666666666666, "s": 0.0002777777777777778, "day": 24.0},
    "min": {"h": 60.0, "s": 0.016666666666666666},
    "day": {"h": 0.041666666666666664, "week": 7.0, "weeks": 7.0, "year": 365.25, "years": 365.25},
    "W": {"kW": 1000.0},
    "K": {"degC": 1.0},
    "km/h": {"m/s": 3.6},
    "m/s": {"km/h": 0.2777777777777778},
    "J/kg": {"MJ/kg": 1000000.0},
    "1/month": {"1/week": 4.348214285714286, "1/year": 0.08333333333333333},
    "1/year": {"1/month": 12.0},
    "money/kg": {"money/t": 0.001, "money/lb": 2.2046226218487757},
    "money/km": {"money/mile": 0.621371192237334},
}
