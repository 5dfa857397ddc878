"""The kinds of quantities: how each is called, written in a file, and named in the code.

In: nothing. Out: one table by internal unit; "money" stands for the scenario's currency.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of quantity: how it is called, written, and named in the code."""

    what: str
    example: str
    others: tuple[str, ...] = ()
    suffixes: tuple[str, ...] = ()


KINDS: dict[str, Kind] = {
    "kg": Kind("a mass", "60 kg", ("g", "t", "lb", "oz"), ("kg",)),
    "m": Kind("a length", "1.2 m", ("cm", "mm", "ft", "in"), ("m",)),
    "cm": Kind("a length", "40 cm", ("m", "mm", "ft", "in"), ("cm",)),
    "km": Kind("a distance", "12 km", ("m", "miles"), ("km",)),
    "mm": Kind("a depth of water", "0.2 mm", ("cm", "in"), ("mm",)),
    "m^2": Kind("an area", "0.5 m^2", ("cm^2", "ft^2"), ("m2",)),
    "L": Kind("a volume", "20 L", ("m^3", "cm^3", "gallon", "quart"), ("l",)),
    "h": Kind("a duration", "1.5 h", ("min", "s", "day", "week"), ("h",)),
    "min": Kind("a duration", "20 min", ("h", "s", "day"), ("min",)),
    "day": Kind("a duration", "10 days", ("h", "week", "month", "year"), ("days",)),
    "W": Kind("a power", "9 kW", ("kW", "BTU/h"), ("w",)),
    "degC": Kind("a temperature", "-5 degC", ("degF", "K"), ("c",)),
    "K": Kind("a difference of temperatures", "4 K", ("degC", "degF"), ("k",)),
    "km/h": Kind("a speed", "50 km/h", ("m/s", "mph"), ("km_h", "km_per_h", "kmh")),
    "m/s": Kind("a speed", "3 m/s", ("km/h", "mph"), ("m_s", "m_per_s", "ms")),
    "J/kg": Kind("a heat per mass", "46.3 MJ/kg", ("MJ/kg", "kWh/kg", "BTU/lb"), ("j_per_kg",)),
    "W/m^2": Kind("a power per area", "400 W/m^2", ("kW/m^2",), ("w_m2", "w_per_m2")),
    "W/m^2/K": Kind("a heat transfer coefficient", "10 W/m^2/K", (), ("w_per_m2k", "w_per_m2_k")),
    "kg/m^3": Kind("a density", "11340 kg/m^3", ("kg/L", "g/cm^3", "lb/ft^3"), ("kg_per_m3",)),
    "kg/h": Kind("a rate", "40 kg/h", ("kg/day", "lb/h", "kg/month", "kg/year"), ("kg_per_h",)),
    "1/month": Kind("a number per month", "2 per month", ("per week", "per year"), ("per_month",)),
    "1/year": Kind("a number per year", "5 per year", ("per week", "per month"), ("per_year",)),
    "deg": Kind("an angle", "45 deg", ("rad",), ("deg",)),
    "money": Kind("an amount of money", "25 EUR"),
    "money/kg": Kind("a price per mass", "0.85 EUR/kg", ("EUR/t", "EUR/lb"), ("per_kg",)),
    "money/h": Kind("money per hour", "15 EUR/h", (), ("per_h",)),
    "money/km": Kind("money per distance", "0.30 EUR/km", ("EUR/mile",), ("per_km",)),
    "money/month": Kind("money per month", "20 EUR/month", ("EUR/year",), ("per_month",)),
    "share": Kind("a share between 0 and 1", "0.25"),
    "count": Kind("a whole number", "12"),
    "number": Kind("a plain number", "1.5"),
}
BARE = frozenset({"share", "count", "number"})
