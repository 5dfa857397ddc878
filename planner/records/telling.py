"""What records can tell of a business, and what else would tell more.

In: records. Out: a sentence a table. Must not know: how anything is estimated, how it is shown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, Final, NamedTuple

from planner.records.records import Records
from planner.records.tables import TABLES

if TYPE_CHECKING:
    from pandas import DataFrame


class Told(NamedTuple):
    """One table: how many rows, what they would tell, what would tell more (empty where nothing would)."""

    table: str
    rows: int
    would_tell: str
    more: str


More = tuple[tuple[str, ...], str]
"""Columns, by key, and what they would tell if one of them were filled."""

WOULD_TELL: Final[Mapping[str, tuple[str, tuple[More, ...]]]] = {
    "melts": (
        "hours of a melt, ingots out of weights",
        (
            (("fuel_kg",), "with fuel, how well the burner heats the pot"),
            (("air_c", "wind_m_s"), "with air and wind, what the weather costs"),
        ),
    ),
    "sales": (
        "how often buyers come and how much they take",
        (
            (("buyers",), "with buyers, each class by itself"),
            (("who",), "with who, how often the same come back"),
        ),
    ),
    "asked": (
        "what buyers would pay, and what is lost for lack of stock",
        (
            (
                ("too_dear", "no_stock", "did_not_come"),
                "with too dear, no stock and did not come, why they did not buy",
            ),
            (("price_per_kg",), "with price, at what price"),
        ),
    ),
    "pickups": (
        "mass of a bucket, how fast each shop fills one",
        (
            (("paid",), "with paid, what a bucket costs"),
            (("stood_ready",), "with stood ready, what a shop would have given more often"),
            (
                ("clip-on_kg", "stick-on_kg", "zinc_kg", "steel_kg"),
                "with its parts after sorting, the mix",
            ),
        ),
    ),
    "yard": ("what the yard pays", ()),
    "expenses": ("what is spent besides", ()),
    "hours": (
        "hours of each activity",
        ((("moved_kg",), "with moved, hours a kilogram"), (("stops",), "with stops, hours a stop")),
    ),
}
"""What a table tells, and what some of its columns add."""


def telling(records: Records) -> tuple[Told, ...]:
    """What each table would tell, in the order of the tables."""
    return tuple(_told(records))


def _told(records: Records) -> Iterator[Told]:
    for name, table in TABLES.items():
        frame = records[name]
        tells, columns = WOULD_TELL[name]
        if not len(frame):
            yield Told(name, 0, "", f"{tells} ({table.grain})")
        else:
            more = "; ".join(words for keys, words in columns if not any(map(_filled(frame), keys)))
            yield Told(name, len(frame), tells, more)


def _filled(frame: DataFrame) -> Callable[[str], bool]:
    """Does any row of a frame say something in a column?"""
    return lambda key: bool((frame[key].notna() & (frame[key].astype(str) != "")).any())
