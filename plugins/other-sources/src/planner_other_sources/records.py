"""Pickup records as the owner wrote them down: a CSV with a line for each bucket.

In: a path, the scenario's currency. Out: ``Record``s in the file's order; or a ``ValueError`` that names file and line
of each that is wrong, with what would be right. Must not know: when they are played. Nothing is guessed.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Final, NamedTuple

from planner.scenario.business import SUM_TOLERANCE
from planner.scenario.clock import read_day
from planner.scenario.section import checked_name
from planner.scenario.units import quantity
from planner.scenario.wording import listed, nearest, shown

MOST_BYTES: Final = 5_000_000
MOST_RECORDS: Final = 20_000
MOST_KG: Final = 1000.0
"""A bucket heavier than this is taken for a mistake (assumed)."""
ERRORS_TOLD: Final = 5
"""So many wrong lines are told at once; the rest are counted."""

UNITS: Final[Mapping[str, str]] = {"mass": "kg", "price": "money", "x": "km", "y": "km"}
MIX: Final = ("clip_on_share", "stick_on_share", "zinc_share", "steel_share", "rubbish_share")
COLUMNS: Final = ("date", "shop", "mass", "price", "wet", *MIX, "clip_share", "x", "y", "note")
NEEDED: Final = ("date", "shop", "mass", "price")
_HEAD: Final = re.compile(r"([a-z_]+)(?:\s*\[([^\]]+)\])?")
_NUMBER: Final = re.compile(r"[+-]?\d+(\.\d+)?")
_WET: Final = {"yes": True, "no": False}


class Record(NamedTuple):
    """One bucket that was fetched. None: the record does not say."""

    line: int
    day: date
    shop: str
    mass_kg: float
    price: float
    wet: bool | None
    weights: tuple[float, ...] | None
    """Clip-on, stick-on, zinc, steel, rubbish as shares."""
    clip_share: float | None
    place_km: tuple[float, float] | None
    """East and north of the owner's place."""


class _Head(NamedTuple):
    """The columns of a file: name and unit of each, in order."""

    names: tuple[str, ...]
    units: tuple[str, ...]


def read(path: Path, currency: str) -> tuple[Record, ...]:
    """Every record of a file.

    Parameters
    ----------
    path : Path
        The CSV: a header, then a line a bucket.
    currency : str
        That of the scenario; empty accepts any.

    Raises
    ------
    ValueError
        With file and line of what is wrong; the first few where much is.
    """
    rows = csv.reader(_text(path).splitlines(), strict=True)
    found, wrong = list[Record](), list[str]()
    head: _Head | None = None
    try:
        for row in rows:
            if not any(cell.strip() for cell in row):
                continue
            cells = [cell.strip() for cell in row]
            try:
                if head is None:
                    head = _head(cells, currency)
                else:
                    found.append(_record(rows.line_num, cells, head, currency))
            except ValueError as error:
                wrong.append(f"{path.name}:{rows.line_num}: {error}")
                if head is None:
                    break
            if len(found) + len(wrong) > MOST_RECORDS:
                wrong = [f"{path.name} has more than {MOST_RECORDS:,} records; leave out what is not played"]
                break
    except csv.Error:
        words = "a cell begins here that is too long or has no end"
        wrong.append(f"{path.name}:{rows.line_num}: {words}; write plain cells with commas between them")
    wrong = wrong or _empty(path, found)
    if wrong:
        more = f"; and {len(wrong) - ERRORS_TOLD} lines more" if len(wrong) > ERRORS_TOLD else ""
        raise ValueError("; ".join(wrong[:ERRORS_TOLD]) + more)
    return tuple(found)


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise ValueError(
                f"{path.name} has more than {MOST_BYTES:,} bytes; a year of pickups has a few thousand"
            )
        return path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise ValueError(
            f"{path.name} cannot be read: {error.strerror}; check the path after `file:`"
        ) from error
    except UnicodeDecodeError as error:
        raise ValueError(f"{path.name} is not text in UTF-8; save it as CSV in UTF-8") from error


def _empty(path: Path, found: list[Record]) -> list[str]:
    return [] if found else [f"{path.name} has no records; write a header and a line for each bucket"]


def _head(cells: list[str], currency: str) -> _Head:
    """Names and units of the columns."""
    if len(cells) == 1 and (";" in cells[0] or "\t" in cells[0]):
        raise ValueError(
            "the columns are not divided by commas; save it with commas, and with points in numbers"
        )
    names, units = list[str](), list[str]()
    for cell in cells:
        found = _HEAD.fullmatch(cell)
        name, unit = found.groups(default="") if found else (cell, "")
        if name not in COLUMNS:
            near = nearest(name, COLUMNS)
            guess = f"did you mean {near}? " if near else ""
            raise ValueError(
                f"the column '{shown(cell)}' is not known; {guess}possible are {listed(COLUMNS)}"
            )
        if name in names:
            raise ValueError(f"the column {name} is there twice; leave one out")
        names.append(name)
        units.append(_unit(name, unit, currency))
    if missing := [name for name in NEEDED if name not in names]:
        raise ValueError(f"the header must name {listed(missing)} too, such as date,shop,mass [kg],price")
    for together in (MIX, ("x", "y")):
        lacking = [name for name in together if name not in names]
        if 0 < len(lacking) < len(together):
            raise ValueError(
                f"{listed(lacking)} missing; {listed(together)} are given together or not at all"
            )
    return _Head(tuple(names), tuple(units))


def _unit(name: str, unit: str, currency: str) -> str:
    """The unit of a column's cells, looked at once."""
    symbol = UNITS.get(name)
    if symbol is None:
        if unit:
            raise ValueError(f"{name} has no unit; write {name} without [{shown(unit)}]")
        return ""
    if symbol == "money":
        unit = unit or currency or "EUR"
    elif not unit:
        raise ValueError(f"{name} needs its unit in the header, such as {name} [{symbol}]")
    quantity(f"1 {unit}", symbol, currency or None)
    return unit


def _record(line: int, row: list[str], head: _Head, currency: str) -> Record:
    if len(row) != len(head.names):
        raise ValueError(
            f"it has {len(row)} cells, the header {len(head.names)}; write a cell for each column"
        )
    cells, units = (dict(zip(head.names, of, strict=True)) for of in (row, head.units))

    def measured(name: str) -> float:
        if not _NUMBER.fullmatch(cells[name]):
            raise ValueError(
                f"{name} is '{shown(cells[name])}'; write a number such as 57.2, without its unit"
            )
        return quantity(f"{cells[name]} {units[name]}", UNITS[name], currency or None)

    mass_kg, price = measured("mass"), measured("price")
    if not 0.0 < mass_kg <= MOST_KG:
        raise ValueError(f"mass is {mass_kg:g} kg; a bucket has more than 0 and at most {MOST_KG:g} kg")
    if price < 0.0:
        raise ValueError(f"price is {price:g}; write what was paid, 0 if it was given away")
    placed = [cells.get(name, "") for name in ("x", "y")]
    if any(placed) and not all(placed):
        raise ValueError("x or y is empty; write both, or neither")
    return Record(
        line,
        read_day(cells["date"]),
        checked_name(cells["shop"]),
        mass_kg,
        price,
        _wet(cells.get("wet", "")),
        _weights([cells.get(name, "") for name in MIX]),
        _share("clip_share", cells["clip_share"]) if cells.get("clip_share") else None,
        (measured("x"), measured("y")) if all(placed) else None,
    )


def _wet(cell: str) -> bool | None:
    if cell and cell.lower() not in _WET:
        raise ValueError(f"wet is '{shown(cell)}'; write yes or no, or nothing where it is not known")
    return _WET[cell.lower()] if cell else None


def _weights(cells: list[str]) -> tuple[float, ...] | None:
    if not any(cells):
        return None
    if not all(cells):
        raise ValueError(
            "the mix has an empty share; write all five, 0 where there was none, or none of them"
        )
    shares = tuple(_share(name, cell) for name, cell in zip(MIX, cells, strict=True))
    if abs(math.fsum(shares) - 1.0) > SUM_TOLERANCE:
        raise ValueError(f"the five shares of the mix sum to {math.fsum(shares):.6g}; they must sum to 1")
    return shares


def _share(name: str, cell: str) -> float:
    try:
        value = float(cell)
    except ValueError:
        value = math.nan
    if not 0.0 <= value <= 1.0:
        raise ValueError(f"{name} is '{shown(cell)}'; write a share from 0 to 1, such as 0.4")
    return value


def places(path: Path, records: tuple[Record, ...]) -> Iterator[tuple[str, tuple[float, float]]]:
    """Each shop of which the records say where it is.

    Raises
    ------
    ValueError
        Two lines say different places.
    """
    first: dict[str, Record] = {}
    for record in records:
        if record.place_km is None:
            continue
        before = first.setdefault(record.shop, record)
        if before.place_km != record.place_km:
            raise ValueError(
                f"{path.name}:{record.line}: {record.shop} is at another place than in line {before.line}; "
                "write the same x and y, or another name"
            )
    for shop, record in first.items():
        if record.place_km is not None:
            yield shop, record.place_km
