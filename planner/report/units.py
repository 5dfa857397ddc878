"""Numbers as the reader wants them: metric or US units, a currency, no more digits than matter.

In: kg, km, degC, m/s, h and money. Out: short texts. Must not know: what they belong to.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Final, Literal

KG_PER_LB: Final = 0.45359237  # exact, international pound
KM_PER_MILE: Final = 1.609344  # exact, international mile
NOTHING: Final = "n/a"


def number(value: float, decimals: int = 0) -> str:
    """A number with its thousands set apart; ``n/a`` where there is none; never "-0"."""
    if not isfinite(value):
        return NOTHING
    return f"{round(value, decimals) + 0.0:,.{decimals}f}"


def signed(value: float, decimals: int = 0) -> str:
    """A number with its sign."""
    text = number(value, decimals)
    return f"+{text}" if isfinite(value) and round(value, decimals) > 0 else text


@dataclass(frozen=True, slots=True)
class Reader:
    """Whom the numbers are written for.

    Parameters
    ----------
    currency : str
        Code of the currency.
    units : str
        ``metric`` or ``us``.
    period : str
        What a figure "a year" stands for: less than a year is not scaled up to one.
    """

    currency: str
    units: str
    period: str = "a year"

    @property
    def us(self) -> bool:
        """Pounds, miles and Fahrenheit?"""
        return self.units == "us"

    def money(self, value: float, decimals: int = 0) -> str:
        """An amount with its currency; nothing has none."""
        text = number(value, decimals)
        return text if text == NOTHING else f"{text} {self.currency}"

    @property
    def mass_unit(self) -> Literal["kg", "lb"]:
        """Unit of masses."""
        return "lb" if self.us else "kg"

    def mass_value(self, kg: float) -> float:
        """A mass as a number in the reader's unit."""
        return kg / KG_PER_LB if self.us else kg

    def mass(self, kg: float, decimals: int = 1) -> str:
        """A mass, without its unit."""
        return number(self.mass_value(kg), decimals)

    def per_mass(self, per_kg: float, decimals: int = 2) -> str:
        """A price by mass, without its unit."""
        return number(per_kg * KG_PER_LB if self.us else per_kg, decimals)

    def air(self, celsius: float) -> str:
        """An air temperature."""
        return f"{number(celsius * 1.8 + 32.0)} degF" if self.us else f"{number(celsius)} degC"

    def wind(self, m_s: float) -> str:
        """A wind speed."""
        return f"{number(m_s * 3.6 / KM_PER_MILE)} mph" if self.us else f"{number(m_s, 1)} m/s"

    def measured(self, value: float, unit: str) -> tuple[str, str]:
        """A figure of the table of measures and its unit, both as this reader reads them."""
        plain = unit.removesuffix("a year").rstrip()
        per_year = f" {self.period}" if unit.endswith("a year") else ""
        if plain.startswith("currency"):
            return number(value, 2 if "/" in plain else 0), plain.replace(
                "currency", self.currency
            ) + per_year
        if plain == "kg":
            return self.mass(value), self.mass_unit + per_year
        if plain == "km" and self.us:
            return number(value / KM_PER_MILE), f"miles{per_year}"
        decimals = {"share": 3, "index": 2, "h": 1}.get(plain, 0 if plain == "km" else 1)
        return number(value, decimals), f"{plain}{per_year}".lstrip()
