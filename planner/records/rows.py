"""Rows of one table, read column by column: values in the units inside, and a remark on all that was not plain.

In: a grid, where its columns stand. Out: rows by key, remarks, problems. Must not know: whether a row is likely.

A row whose needed cells cannot be read is left out, any other cell that cannot be read is left empty; both are told.
What is odd about the writing of every cell of a column is told once, of some cells one by one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from math import isnan
from typing import Any, Final

from planner.records.cells import is_empty, read_as, read_cell
from planner.records.days import AmbiguousError, Order, dates_of
from planner.records.grids import Cell, Grid
from planner.records.headings import SYMBOLS, Place
from planner.records.numbers import Oddity, Style, UnreadableError, style_of
from planner.records.records import LINE, Remark
from planner.records.tables import TABLES, Table
from planner.scenario.errors import Problem
from planner.scenario.wording import close, quoted, shown

Row = dict[str, Any]
MOST_NAMES: Final = 1000
"""Of shops or classes of buyers; among more nobody looks for two spellings of one (assumed)."""
LEFT_OUT: Final = "row left out"
LEFT_EMPTY: Final = "cell left empty"
READ_AS_SUCH: Final = "read as such"
THROUGHOUT: Final = 2
"""What so many cells and more share, all that there are, is told once."""


@dataclass
class Rows:
    """What was read of a table."""

    table: Table
    source: str
    rows: list[Row] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def tell(self, row: Row, column: str, found: str, done: str) -> None:
        """Remark on one row."""
        self.remarks.append(Remark(self.source, int(row[LINE]), column, found, done))


def rows_of(
    grid: Grid,
    places: Mapping[str, Place],
    currency: str | None,
    order: Order | None,
    known: Mapping[str, Sequence[str]],
) -> Rows:
    """Read the rows of a table.

    Parameters
    ----------
    grid : Grid
        The table as it stands there.
    places : mapping of str to Place
        Its columns by name.
    currency : str, optional
        Of amounts and prices.
    order : str, optional
        Which way round day and month stand, where somebody said so.
    known : mapping of str to sequence of str
        Words that a column's cells may be, by its name, where somebody knows them (shops, classes of buyers).
    """
    read = Rows(TABLES[grid.table], grid.source)
    whole = _whole(grid, read)
    style = _style(grid, whole, [place for place in places.values() if place.column.kind in SYMBOLS])
    columns = {
        name: _column(grid, whole, place, style, currency, order, known, read)
        for name, place in places.items()
    }
    for i, (line, _) in enumerate(whole):
        row: Row = {LINE: line}
        left_out = False
        for name, values in columns.items():
            column, (value, why) = places[name].column, values[i]
            row[column.key] = value
            missing = value is None or value == "" or (isinstance(value, float) and isnan(value))
            if why or (missing and column.needed):
                done = LEFT_OUT if column.needed else LEFT_EMPTY
                read.tell({LINE: line}, places[name].heading, why or "is empty", done)
                left_out = left_out or column.needed
        if not left_out and not _has_either(row, read.table):
            left_out = True
            read.tell(row, "", f"neither {' nor '.join(read.table.either)} stands here", LEFT_OUT)
        if not left_out:
            read.rows.append(row)
    return read


def _has_either(row: Row, table: Table) -> bool:
    keys = [table.column(name).key for name in table.either]
    return not keys or any(not isnan(row.get(key, float("nan"))) for key in keys)


def _whole(grid: Grid, read: Rows) -> list[tuple[int, Sequence[Cell]]]:
    """Rows that are as long as the headings; a heading that comes again is no row."""
    kept = list[tuple[int, Sequence[Cell]]]()
    width = len(grid.headings)
    headings = [heading.casefold() for heading in grid.headings]
    for line, cells in grid.rows:
        beyond = [cell for cell in cells[width:] if not is_empty(cell)]
        row = (*cells[:width], *[None] * (width - len(cells)))
        if [str(cell or "").strip().casefold() for cell in row] == headings:
            read.remarks.append(Remark(grid.source, line, "", "the headings once more", "left out"))
        elif beyond and grid.divider == ",":
            words = (
                f"{len(cells)} cells stand here, but the headings name {width} columns; a number with a decimal comma "
                "needs a point, quotation marks, or semicolons between cells"
            )
            read.remarks.append(Remark(grid.source, line, "", words, LEFT_OUT))
        else:
            if beyond:
                words = f"{len(beyond)} cells stand beyond the last heading"
                read.remarks.append(Remark(grid.source, line, "", words, "left alone"))
            kept.append((line, row))
    return kept


def _column(
    grid: Grid,
    rows: Sequence[tuple[int, Sequence[Cell]]],
    place: Place,
    style: Style,
    currency: str | None,
    order: Order | None,
    known: Mapping[str, Sequence[str]],
    read: Rows,
) -> list[tuple[Any, str]]:
    """Values of a column, each with why it cannot be read; empty if it can."""
    cells = [(line, row[place.at]) for line, row in rows]
    if place.column.kind == "date":
        return _dates(grid, cells, place, order, read)
    values, odd = list[tuple[Any, str]](), list[tuple[int, Any, Oddity]]()
    own = _style(grid, rows, [place])
    style = own if own.comma or own.point else style
    for line, cell in cells:
        try:
            value, oddities = read_cell(cell, place, style, currency)
        except UnreadableError as error:
            values.append((float("nan") if place.column.kind not in ("word", "text") else "", str(error)))
            continue
        values.append((value, ""))
        odd += [(line, value, one) for one in oddities]
    _tell(grid, cells, place, odd, currency, read)
    if place.column.kind == "word" and not place.column.words:
        return _names(cells, values, place, known.get(place.column.name, ()), read)
    return values


def _style(grid: Grid, rows: Sequence[tuple[int, Sequence[Cell]]], places: Sequence[Place]) -> Style:
    """How the numbers of some columns are written."""
    texts = (cell for _, row in rows for place in places if isinstance(cell := row[place.at], str))
    return style_of(texts, grid.divider)


def _dates(
    grid: Grid, cells: Sequence[tuple[int, Cell]], place: Place, order: Order | None, read: Rows
) -> list[tuple[Any, str]]:
    try:
        found = dates_of(cells, read.table.name == "asked", order)
    except AmbiguousError as error:
        read.problems.append(Problem(grid.source, error.line, place.at + 1, "", str(error)))
        return [(None, "")] * len(cells)
    read.remarks += [Remark(grid.source, grid.line, place.heading, *words) for words in found.told]
    return [(day, "") if day is None or isinstance(day, date) else (None, day) for day in found.days]


def _tell(
    grid: Grid,
    cells: Sequence[tuple[int, Cell]],
    place: Place,
    odd: Sequence[tuple[int, Any, Oddity]],
    currency: str | None,
    read: Rows,
) -> None:
    """What is odd about every cell once, about some one by one."""
    filled = [cell for _, cell in cells if not is_empty(cell)]
    decimals = sum(isinstance(cell, str) and ("," in cell or "." in cell) for cell in filled)
    counts = Counter(one.throughout for _, _, one in odd if one.throughout)
    for words, count in counts.items():
        of = decimals if words.startswith("decimal") else len(filled)
        if count == of and count >= THROUGHOUT:
            read.remarks.append(Remark(grid.source, grid.line, place.heading, words, READ_AS_SUCH))
            odd = [row for row in odd if row[2].throughout != words]
    for line, value, one in odd:
        done = (
            f"read as {quoted(value)}"
            if isinstance(value, str)
            else read_as(value, place.column.kind, currency)
        )
        read.remarks.append(Remark(grid.source, line, place.heading, one.found, done))


def _names(
    cells: Sequence[tuple[int, Cell]],
    values: list[tuple[Any, str]],
    place: Place,
    known: Sequence[str],
    read: Rows,
) -> list[tuple[Any, str]]:
    """Names of shops and classes of buyers: one spelling for each, the scenario's where it is known."""
    counts = Counter(value for value, _ in values if value)
    by_key = {name.casefold(): name for name in reversed([*known, *counts])}
    named, told = list[tuple[Any, str]](), set[str]()
    few = len(counts) <= MOST_NAMES
    often = [name for name, times in counts.items() if times > 2] if few else []
    slips = {name: close(name, known) for name in counts if few and known and name not in known}
    for (line, _), (value, why) in zip(cells, values, strict=True):
        meant = by_key.get(value.casefold(), value)
        if meant == value and known and value and value not in known:
            slip = slips.get(value)
            if slip is not None:
                meant = slip
            elif value not in told:
                words = f"the scenario has no {place.column.name} called {quoted(value)}"
                read.remarks.append(Remark(read.source, line, place.heading, words, "kept"))
        elif meant == value and not known and value not in told:
            other = close(value, [name for name in often if counts[name] > 2 * counts[value]])
            if other is not None and other.casefold() != value.casefold():
                words = f"is {quoted(value)} the same as {quoted(other)}, which stands here more often?"
                read.remarks.append(Remark(read.source, line, place.heading, words, "kept as written"))
        if meant != value:
            words = f"{quoted(value)} is written {quoted(meant)} elsewhere"
            read.remarks.append(
                Remark(read.source, line, place.heading, words, f"read as {quoted(shown(meant))}")
            )
        told.add(value)
        named.append((meant, why))
    return named
