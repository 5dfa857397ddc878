"""Headings of a table: which column each is, and in which unit.

In: the headings as they are written. Out: a ``Place`` for each column that is there, remarks, problems.
Must not know: rows.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from planner.records.grids import Grid
from planner.records.numbers import scale, spelt
from planner.records.records import Remark
from planner.records.tables import TABLES, Column, Kind, Table
from planner.scenario.errors import Problem
from planner.scenario.wording import close, listed, nearest, quoted, shown

SYMBOLS: Final[Mapping[Kind, str]] = {
    "mass": "kg",
    "duration": "h",
    "money": "money",
    "price": "money/kg",
    "temperature": "degC",
    "speed": "m/s",
}
"""What each kind is counted in, as a key of `KINDS`."""
ALSO: Final[Mapping[str, Mapping[str, str]]] = {
    "melts": {
        "bucket": "weights", "bucket mass": "weights", "scrap": "weights", "ingot": "ingots",
        "ingot mass": "ingots", "propane": "fuel", "time": "hours",
    },
    "sales": {"mass": "sold", "kg": "sold", "name": "who", "buyer": "who", "total": "money", "amount": "money"},
    "asked": {"date": "month", "asked": "did not buy", "how many asked and did not buy": "did not buy"},
    "pickups": {"mass": "bucket", "price": "paid", "cost": "paid"},
    "yard": {"what": "good", "kg": "mass", "amount": "money"},
    "expenses": {"money": "amount", "cost": "amount", "for": "what"},
    "hours": {"what": "activity", "time": "hours", "kg": "moved"},
}  # fmt: skip
"""Other names that mean a column and nothing else in its table."""

_BRACKETS: Final = re.compile(r"\s*(.*?)\s*(?:\[([^\]]*)\]|\(([^)]*)\))\s*")


@dataclass(frozen=True, slots=True)
class Place:
    """Where a column stands.

    Parameters
    ----------
    column : Column
        Which it is.
    at : int
        Number of its cell in a row, from 0.
    heading : str
        As it is written, for messages.
    unit : str
        Of its cells, where they have none of their own, in this program's spelling; empty where the kind has none.
    """

    column: Column
    at: int
    heading: str
    unit: str


@dataclass
class Headings:
    """What the headings of a table say."""

    places: dict[str, Place] = field(default_factory=dict)
    """By the column's name."""
    remarks: list[Remark] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Named:
    """A heading taken apart: the column it names, by which name it was known, its unit as it is written."""

    column: Column | None
    name: str
    unit: str
    how: str = ""


def mass_unit(grids: Iterable[Grid]) -> str:
    """The unit of masses where a heading says none: the one that the headings of the folder say, if all say the same.

    Else kg.
    """
    units = set()
    for grid in grids:
        for heading in grid.headings:
            one = _named(heading, TABLES[grid.table])
            if one.column is not None and one.column.kind == "mass" and one.unit:
                units.add(spelt(one.unit, None))
    return units.pop() if len(units) == 1 else "kg"


def headings_of(grid: Grid, currency: str | None, mass: str) -> Headings:
    """Read the headings of one table.

    Parameters
    ----------
    grid : Grid
        The table.
    currency : str, optional
        The only one that amounts may be in; None takes any.
    mass : str
        Unit of masses where a heading says none.
    """
    table, found = TABLES[grid.table], Headings()
    unknown = []
    for at, heading in enumerate(grid.headings):
        if not heading:
            continue
        one = _named(heading, table)
        if one.column is None:
            unknown.append(heading)
            _tell_unknown(grid, heading, table, found)
        elif one.column.name in found.places:
            other = found.places[one.column.name].heading
            words = f"{quoted(heading)} and {quoted(other)} are both the column {one.column.name}; keep one"
            found.problems.append(Problem(grid.source, grid.line, at + 1, "", words))
        else:
            if one.how:
                found.remarks.append(
                    Remark(
                        grid.source,
                        grid.line,
                        shown(heading),
                        one.how,
                        f"read as the column {one.column.name}",
                    )
                )
            _place(grid, at, heading, one, currency, mass, found)
    _needed(grid, table, unknown, found)
    return found


def _named(heading: str, table: Table) -> _Named:
    """Which column a heading names; None for any that is not of this table."""
    bracketed = _BRACKETS.fullmatch(heading)
    name, unit = (bracketed[1], bracketed[2] or bracketed[3] or "") if bracketed else (heading, "")
    one = _by_name(name, table)
    if one is None and not bracketed and " " in name.strip():
        before, _, last = name.strip().rpartition(" ")
        short = _by_name(before, table)
        if short is not None and short[0].kind in SYMBOLS and _is_unit(last, SYMBOLS[short[0].kind]):
            one, unit = short, last
    if one is None:
        return _Named(None, name, unit)
    return _Named(one[0], name, unit.strip(), one[1])


def _by_name(name: str, table: Table) -> tuple[Column, str] | None:
    """The column of a name, and how it is another name than its own."""
    key = _key(name)
    names = {_key(one.name): one for one in table.columns}
    if key in names:
        return names[key], ""
    if key in ALSO[table.name]:
        return table.column(ALSO[table.name][key]), "is another name"
    slip = close(key, names)
    if slip is not None:
        return names[slip], f"is no column of {table.name}"
    return None


def _key(name: str) -> str:
    return " ".join(re.sub(r"[_-]", " ", name).casefold().split())


def _is_unit(text: str, symbol: str) -> bool:
    try:
        scale(spelt(text, None), symbol, None)
    except ValueError:
        return False
    return True


def _place(
    grid: Grid, at: int, heading: str, one: _Named, currency: str | None, mass: str, found: Headings
) -> None:
    column = one.column
    assert column is not None
    symbol, unit = SYMBOLS.get(column.kind), ""
    if symbol is not None and one.unit:
        unit = spelt(one.unit, currency)
        if symbol == "money/kg" and "/" not in unit:
            unit = (
                f"{unit}/{mass}"
                if unit not in ("kg", "lb", "g", "t", "oz")
                else f"{currency or 'money'}/{unit}"
            )
        try:
            scale(unit, symbol, currency)
        except ValueError as error:
            found.problems.append(
                Problem(grid.source, grid.line, at + 1, "", f"column {quoted(heading)}: {error}")
            )
            return
    elif symbol is not None:
        unit = {"kg": mass, "money/kg": f"{currency or 'money'}/{mass}", "money": currency or "money"}.get(
            symbol, symbol
        )
        if mass != "kg" and symbol in ("kg", "money/kg"):
            words = f"has no unit, and where the folder says one it is {mass}"
            found.remarks.append(Remark(grid.source, grid.line, shown(heading), words, f"read as {unit}"))
    found.places[column.name] = Place(column, at, shown(heading), unit)


def _tell_unknown(grid: Grid, heading: str, table: Table, found: Headings) -> None:
    name = _BRACKETS.sub(r"\1", heading)
    near = nearest(name, [one.name for one in table.columns])
    guess = f"; did you mean {near}?" if near else ""
    words = f"is no column of {table.name}{guess}"
    found.remarks.append(Remark(grid.source, grid.line, shown(heading), words, "left alone"))


def _needed(grid: Grid, table: Table, unknown: Sequence[str], found: Headings) -> None:
    """Columns without which no row is of any use."""
    wrong = {problem.column for problem in found.problems}
    for column in table.columns:
        if column.needed and column.name not in found.places and not _spoken_of(column, grid, table, wrong):
            found.problems.append(
                Problem(grid.source, grid.line, 1, "", _missing(column.name, column, unknown))
            )
    if table.either and not any(
        name in found.places or _spoken_of(table.column(name), grid, table, wrong) for name in table.either
    ):
        words = _missing(" or ".join(table.either), table.column(table.either[0]), unknown)
        found.problems.append(Problem(grid.source, grid.line, 1, "", words))


def _spoken_of(column: Column, grid: Grid, table: Table, wrong: set[int]) -> bool:
    """Is something said of its heading already?"""
    return any(
        at + 1 in wrong and _named(heading, table).column == column
        for at, heading in enumerate(grid.headings)
    )


def _missing(names: str, column: Column, unknown: Sequence[str]) -> str:
    near = nearest(column.name, [_BRACKETS.sub(r"\1", one) for one in unknown])
    guess = f"; is {quoted(near)} meant? Then call it so" if near else ""
    has = f"; not understood here: {listed(map(shown, unknown))}" if unknown and not near else ""
    return f"the column {names} is missing ({column.meaning[0].lower()}{column.meaning[1:].rstrip('.')}){guess}{has}"
