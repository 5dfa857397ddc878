"""Which tables an owner may keep, and what each of their columns holds.

In: nothing. Out: ``TABLES``, by name. Must not know: files, frames, what is estimated from them.

The least notebook is ``melts`` with its first four columns, ``sales`` with mass and price, and once a month ``asked``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

Kind = Literal[
    "date",
    "time",
    "mass",
    "duration",
    "money",
    "price",
    "temperature",
    "speed",
    "count",
    "yes or no",
    "word",
    "text",
]
"""What a cell holds. A ``price`` is money a kg."""

UNITS: Final[Mapping[Kind, str]] = {
    "mass": "kg",
    "duration": "h",
    "temperature": "degC",
    "speed": "m/s",
}
"""The unit of a kind inside; money and prices are in the scenario's currency, a price a kg."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table.

    Parameters
    ----------
    name : str
        As its heading calls it, without a unit.
    kind : str
        What its cells hold.
    meaning : str
        For whoever fills it in, in a sentence.
    example : str
        A cell, as it may be written.
    needed : bool
        Is a row without it of no use?
    words : tuple of str
        What a ``word`` may be; empty where any will do.
    key : str
        Its name in a frame: with the unit inside, such as ``ingots_kg``.
    """

    name: str
    kind: Kind
    meaning: str
    example: str
    needed: bool = False
    words: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """Its name in a frame, with the unit inside."""
        suffix = {
            "mass": "_kg", "duration": "_h", "temperature": "_c", "speed": "_m_s", "price": "_per_kg", "time": "_h",
        }.get(self.kind, "")  # fmt: skip
        return self.name.replace(" ", "_") + suffix


@dataclass(frozen=True, slots=True)
class Table:
    """One table.

    Parameters
    ----------
    name : str
        Of its file (``melts.csv``), or of its sheet.
    grain : str
        What a row is.
    columns : tuple of Column
        In the order in which they are written.
    either : tuple of str
        Columns of which a row needs at least one.
    """

    name: str
    grain: str
    columns: tuple[Column, ...]
    either: tuple[str, ...] = ()

    def column(self, name: str) -> Column:
        """The column of a name.

        Raises
        ------
        KeyError
            There is none.
        """
        return {one.name: one for one in self.columns}[name]


DATE: Final = Column("date", "date", "The day, as year-month-day.", "2026-03-07", needed=True)
ALLOYS: Final = ("hard", "soft", "mixed", "zinced")
GOODS: Final = ("weights", "lead", "clips", "zinc", "steel", "dross")
ACTIVITIES: Final = ("serve", "fetch", "yard", "melt", "sort", "ask")
"""Of the owner, as in `owner.priority`."""
NOTE: Final = Column("note", "text", "Whatever you like.", "windy")

MELTS: Final = Table(
    "melts",
    "one row a melt: one pot full, lit to poured",
    (
        DATE,
        Column(
            "weights",
            "mass",
            "Weights that went into the pot: the bucket, or what you took of it.",
            "55.4",
            needed=True,
        ),
        Column("ingots", "mass", "Ingots that came out; 0 if it had to be broken off.", "36.2", needed=True),
        Column(
            "hours",
            "duration",
            "From lighting until everything is packed away; if another melt followed that day, until that was lit.",
            "3.5",
            needed=True,
        ),
        Column("lit at", "time", "When the burner was lit.", "17:30"),
        Column("fuel", "mass", "Propane burnt: the cylinder weighed before and after.", "1.1"),
        Column("alloy", "word", "What was cast.", "mixed", words=ALLOYS),
        Column("skimmed", "mass", "Clips, zinc and steel skimmed off.", "14.5"),
        Column("dross", "mass", "Oxide and dirt skimmed before pouring.", "0.6"),
        Column("air", "temperature", "Temperature of the air.", "12"),
        Column("wind", "speed", "Wind of that day as a weather station tells it (at 10 m).", "4"),
        NOTE,
    ),
)
SALES: Final = Table(
    "sales",
    "one row a sale",
    (
        DATE,
        Column("sold", "mass", "Ingots sold.", "10", needed=True),
        Column("price", "price", "Price a kg, or as the heading says.", "4.2"),
        Column("money", "money", "Or the money for all of it.", "42"),
        Column("buyers", "word", "The class of buyers, as your scenario calls it.", "casters"),
        Column("who", "text", "Who it was: initials will do. Shows who comes back.", "A. B."),
        Column("alloy", "word", "Which alloy.", "mixed", words=ALLOYS),
        Column("wanted", "mass", "How much they wanted, if more than you had.", "10"),
        Column("asked on", "date", "The day on which they asked.", "2026-03-05"),
        Column("time", "duration", "Your time for it: messages, waiting, weighing.", "0.5"),
        NOTE,
    ),
    either=("price", "money"),
)
ASKED: Final = Table(
    "asked",
    "one row a month, or a month and class of buyers: who asked and did not buy",
    (
        Column("month", "date", "Any day of the month.", "2026-03-31", needed=True),
        Column("did not buy", "count", "How many asked and did not buy.", "2", needed=True),
        Column("buyers", "word", "The class of buyers, as your scenario calls it.", "casters"),
        Column("too dear", "count", "Of these: how many found it too dear.", "1"),
        Column("no stock", "count", "Of these: how many you had nothing for.", "0"),
        Column("did not come", "count", "Of these: how many did not keep the appointment.", "1"),
        Column("price", "price", "What you asked a kg, or as the heading says.", "4.2"),
        NOTE,
    ),
)
PICKUPS: Final = Table(
    "pickups",
    "one row a bucket fetched; a visit that found none is a row without a mass",
    (
        DATE,
        Column("shop", "word", "The shop, as your scenario calls it.", "Quayside Tyres", needed=True),
        Column("bucket", "mass", "Mass of the bucket; empty if there was none.", "58.5"),
        Column("paid", "money", "What you paid for it.", "10"),
        Column("stood ready", "count", "How many full buckets stood there when you came.", "1"),
        Column("wet", "yes or no", "Was it wet?", "no"),
        Column("clip-on", "mass", "After sorting: clip-on weights, with their clips.", "31"),
        Column("stick-on", "mass", "After sorting: stick-on weights.", "7"),
        Column("zinc", "mass", "After sorting: zinc weights.", "3"),
        Column("steel", "mass", "After sorting: steel weights.", "14"),
        Column("rubbish", "mass", "After sorting: valve stems, stickers, grit.", "3.5"),
        NOTE,
    ),
)
YARD: Final = Table(
    "yard",
    "one row a good on a receipt of the scrap yard",
    (
        DATE,
        Column("good", "word", "What it was.", "clips", needed=True, words=GOODS),
        Column("mass", "mass", "How much.", "24", needed=True),
        Column("price", "price", "Price a kg, or as the heading says.", "0.2"),
        Column("money", "money", "Or the money for it.", "4.8"),
        NOTE,
    ),
    either=("price", "money"),
)
EXPENSES: Final = Table(
    "expenses",
    "one row a payment that is in no other table",
    (
        DATE,
        Column("what", "text", "What it was for.", "flux", needed=True),
        Column("amount", "money", "How much; with a minus if it came in.", "8.5", needed=True),
        NOTE,
    ),
)
HOURS: Final = Table(
    "hours",
    "one row a spell of your time",
    (
        DATE,
        Column("activity", "word", "What you did.", "fetch", needed=True, words=ACTIVITIES),
        Column("hours", "duration", "How long.", "1.5", needed=True),
        Column("moved", "mass", "How much of it: sorted, fetched, taken to the yard.", "55"),
        Column("stops", "count", "Shops visited on a trip.", "2"),
        NOTE,
    ),
)
TABLES: Final[Mapping[str, Table]] = {
    one.name: one for one in (MELTS, SALES, ASKED, PICKUPS, YARD, EXPENSES, HOURS)
}
