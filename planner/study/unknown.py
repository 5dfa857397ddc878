"""An input that is an estimate, as a study found it: how sure it is, what it does to the gain, what would tell more.

In: numbers that were told elsewhere. Out: ``Unknown``, ``Unknowns``. Must not know: how they were told, words.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Record = Literal["melts", "sales", "asked", "pickups", "yard", "expenses", "hours", ""]
"""Which of the owner's tables would tell an input; empty where none does."""
RECORDS: Final[tuple[tuple[str, Record], ...]] = (
    ("melting", "melts"),
    ("weather", "melts"),
    ("supply", "pickups"),
    ("rates", "yard"),
    ("yard", "yard"),
    ("costs", "expenses"),
    ("pewter", "expenses"),
    ("pricing", "sales"),
    ("selling", "sales"),
    ("owner", "hours"),
    ("helper", "hours"),
    ("sorting", "hours"),
    ("lifting", "hours"),
    ("fetching", "hours"),
    ("vehicle", "hours"),
)
"""By the first key of a path; of demand, what buyers would pay is told by who did not buy, all else by sales."""

Told = Literal["worth it", "hardly", "cannot tell"]
"""Would it be worth knowing: more than chance feigns and than the owner cares about; surely less than that; or worlds
are too few to say."""
ORDER: Final[tuple[Told, ...]] = ("worth it", "cannot tell", "hardly")


@dataclass(frozen=True, slots=True)
class Unknown:
    """One input that is an estimate.

    Parameters
    ----------
    name, path, way, unit : str
        As the scenario has it; the unit is that of what is added.
    records : int
        How many records told it; 0: a guess.
    method : str
        How, in words.
    low, high : float
        Between these nine times in ten: factors on what the scenario says, or what is added to it.
    record : str
        The table of records that would tell more.
    share : float
        Of the variance of the gain, what goes along with it, about; nan where that cannot be told.
    worth : float
        What it would be worth to know it for sure before choosing, of the time that a figure stands for; nan where
        worlds are too few.
    noise : float
        What chance would feign.
    told : str
        Is it worth knowing?
    """

    name: str
    path: str
    way: str
    unit: str
    records: int
    method: str
    low: float
    high: float
    record: Record
    share: float
    worth: float
    noise: float
    told: Told


@dataclass(frozen=True, slots=True)
class Unknowns:
    """All inputs that are estimates.

    Parameters
    ----------
    option : str
        Whose gain is meant: the one chosen or ahead, or of "as today" the next in line; empty where there is no other.
    worlds : int
        In which its gain was told.
    share : float
        Of the variance of the gain from world to world, what comes from not knowing the inputs, about; the rest is
        chance. nan where worlds are too few, or it does not vary.
    ranked : tuple of Unknown
        What is most worth knowing first; of what is not surely worth it, what more of the spread comes from.
    """

    option: str
    worlds: int
    share: float
    ranked: tuple[Unknown, ...]


def record_of(path: str) -> Record:
    """The table of records that would tell the input at a path."""
    if path.startswith("demand."):
        return "asked" if ".most" in path else "sales"
    first = path.partition(".")[0]
    return next((table for key, table in RECORDS if key == first), "")
