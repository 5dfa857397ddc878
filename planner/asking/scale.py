"""How somebody counts: in which currency, and in kilograms or pounds.

In: an amount as it is usual, in euro and internal units. Out: the same as this person would write it. Must not know:
questions.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, log10
from typing import Final

from planner.report.units import KG_PER_LB, KM_PER_MILE
from planner.scenario.units import found_number

PAR: Final = frozenset({"EUR", "USD", "GBP", "CHF"})
"""Currencies of which one is worth about a euro: amounts that are usual in euro are about right in these (assumed)."""


def rounded(value: float, digits: int = 3) -> str:
    """A number to so many digits that count, as a file holds it."""
    if value == 0.0:
        return "0"
    places = max(digits - 1 - floor(log10(abs(value))), 0)
    return found_number(round(value, places))


@dataclass(frozen=True, slots=True)
class Scale:
    """Currency and units of one person.

    Parameters
    ----------
    currency : str
        Its code.
    us : bool
        Pounds, miles, inches, degrees Fahrenheit and BTU/h?
    euro_is : float
        What a euro is worth, about: 1 for currencies that are about at par.
    """

    currency: str = "EUR"
    us: bool = False
    euro_is: float = 1.0

    @property
    def foreign(self) -> bool:
        """Are amounts that are usual in euro wrong as they stand?"""
        return self.currency not in PAR

    def money(self, euro: float) -> str:
        """An amount that is usual in euro."""
        return self.amount(euro * self.euro_is)

    def amount(self, value: float) -> str:
        """An amount of this currency."""
        return f"{rounded(value)} {self.currency}"

    def money_per_h(self, euro: float) -> str:
        """A price by the hour that is usual in euro."""
        return f"{self.money(euro)}/h"

    def money_per_km(self, euro: float) -> str:
        """A price by distance that is usual in euro."""
        per_km = euro * self.euro_is
        return f"{rounded(per_km * KM_PER_MILE if self.us else per_km)} {self.currency}/{'mile' if self.us else 'km'}"

    def money_per_mass(self, euro_per_kg: float) -> str:
        """A price by mass that is usual in euro."""
        return self.per_mass(euro_per_kg * self.euro_is)

    def per_mass(self, per_kg: float) -> str:
        """A price by mass in this currency."""
        return f"{rounded(per_kg * (KG_PER_LB if self.us else 1.0))} {self.currency}/{self.mass_unit}"

    def mass(self, kg: float) -> str:
        """A mass."""
        return f"{rounded(kg / KG_PER_LB if self.us else kg)} {self.mass_unit}"

    def distance(self, km: float) -> str:
        """A distance."""
        return f"{rounded(km / KM_PER_MILE if self.us else km)} {self.distance_unit}"

    @property
    def mass_unit(self) -> str:
        """Unit of masses."""
        return "lb" if self.us else "kg"

    @property
    def distance_unit(self) -> str:
        """Unit of distances."""
        return "miles" if self.us else "km"

    def unit_of(self, symbol: str) -> str:
        """The unit that a bare number is taken in, by the internal unit of the answer; empty where there is none."""
        found = (_US if self.us else _METRIC).get(symbol, "")
        return found.replace("money", self.currency)


_METRIC: Final = {
    "kg": "kg", "km": "km", "km/h": "km/h", "cm": "cm", "W": "kW", "degC": "degC", "h": "h", "min": "min",
    "day": "days", "deg": "deg", "1/month": "per month", "money": "money", "money/kg": "money/kg",
    "money/h": "money/h", "money/km": "money/km",
}  # fmt: skip
_US: Final = _METRIC | {
    "kg": "lb", "km": "miles", "cm": "in", "W": "BTU/h", "degC": "degF", "money/kg": "money/lb",
    "money/km": "money/mile",
}  # fmt: skip
