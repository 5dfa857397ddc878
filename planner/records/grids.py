"""Tables as they stand in a folder or a spreadsheet: cells with their lines, not yet understood.

In: a folder, a CSV file or an .xlsx workbook. Out: a ``Grid`` for each table, remarks, problems.
Must not know: what a column means.

Files are opened for reading alone. Of a workbook the values are read that its program left there: nothing is computed,
no macro runs, nothing that it refers to outside is looked at.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Final

from planner.records.csv_files import csv_rows
from planner.records.records import Remark
from planner.records.tables import TABLES
from planner.records.xlsx_files import sheets_of
from planner.scenario.columns import LONGEST_HEADING, MOST_BYTES, MOST_COLUMNS
from planner.scenario.errors import InputError, Problem
from planner.scenario.wording import listed, nearest, quoted, shown

CSV: Final = (".csv", ".tsv", ".txt")
XLSX: Final = ".xlsx"
NO_TABLES: Final = (".xls", ".xlsm", ".xlsb", ".ods", ".numbers")
"""Files that may hold tables and are not read; what to do is said."""
EXPLAINING: Final = ("readme", "read me")
"""Files and sheets with words on the tables, left alone without a word."""
MOST_ROWS: Final = 20_000
"""Of a table; ten years with five rows a day (assumed)."""
MOST_FILES: Final = 1_000
"""Entries of a folder; what holds more is no notebook (assumed)."""

Cell = str | float | bool | date | datetime | time | timedelta | None


@dataclass(frozen=True, slots=True)
class Grid:
    """One table as it stands there.

    Parameters
    ----------
    source : str
        The file's name, or the workbook's with the sheet behind ``#``, for messages.
    table : str
        Name of the table.
    line : int
        Line of the headings.
    headings : sequence of str
        As they are written.
    rows : sequence of (int, sequence of cells)
        With their lines; empty rows are left out.
    divider : str
        Between cells of a CSV file; empty in a workbook.
    """

    source: str
    table: str
    line: int
    headings: Sequence[str]
    rows: Sequence[tuple[int, Sequence[Cell]]]
    divider: str = ""


@dataclass
class Found:
    """What a place holds."""

    grids: list[Grid] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def find(where: Path) -> Found:
    """Tables of a folder, of one CSV file, or of a workbook.

    Raises
    ------
    InputError
        There is no table at all.
    """
    try:
        mode = where.stat().st_mode
    except OSError as error:
        raise _wrong(str(where), f"cannot be read: {error.strerror}; check the path") from error
    found = Found()
    if stat.S_ISDIR(mode):
        _folder(where, found)
    elif stat.S_ISREG(mode):
        _file(where, found)
    else:
        raise _wrong(str(where), "is neither a folder nor a file; name the folder with your tables")
    _twice(found)
    if not found.grids and not found.problems:
        names = listed(f"{name}.csv" for name in TABLES)
        told = "".join(f"\n{remark}" for remark in found.remarks)
        raise _wrong(
            str(where),
            f"there is no table here; a table is a file such as {names}, or a sheet of that name in an .xlsx file; "
            f"`planner records start` writes empty ones{told}",
        )
    return found


def _wrong(file: str, words: str) -> InputError:
    return InputError.of([Problem(file, 0, 0, "", words)])


def _folder(where: Path, found: Found) -> None:
    """Every file of a folder that is called as a table is, or is a workbook; folders in it are not looked at."""
    home = Path(os.path.realpath(where))
    with os.scandir(where) as entries:
        names = sorted(entry.name for _, entry in zip(range(MOST_FILES + 1), entries, strict=False))
    if len(names) > MOST_FILES:
        raise _wrong(
            str(where), f"has more than {MOST_FILES} entries; name the folder that holds your tables alone"
        )
    for name in names:
        path = where / name
        if (
            name.startswith((".", "~$"))
            or path.is_dir()
            or path.suffix.casefold() not in (*CSV, XLSX, *NO_TABLES)
        ):
            continue
        target = Path(os.path.realpath(path))
        if not target.is_relative_to(home):
            found.remarks.append(Remark(shown(name), 0, "", "leads out of the folder", "not read"))
        elif not target.is_file():
            found.remarks.append(Remark(shown(name), 0, "", "is no ordinary file", "not read"))
        else:
            _file(path, found)


def _file(path: Path, found: Found) -> None:
    name, suffix = shown(path.name), path.suffix.casefold()
    if path.stem.casefold() in EXPLAINING:
        return
    if suffix in NO_TABLES:
        found.remarks.append(
            Remark(name, 0, "", "is no CSV and no .xlsx file", "not read; save it as one of these")
        )
        return
    try:
        if path.stat().st_size > MOST_BYTES:
            raise ValueError(f"has more than {MOST_BYTES:,} bytes; is it the right file?")
        if suffix == XLSX:
            _workbook(path, name, found)
        else:
            _csv(path, name, found)
    except OSError as error:
        found.problems.append(Problem(name, 0, 0, "", f"cannot be read: {error.strerror}; check the file"))
    except ValueError as error:
        found.problems.append(Problem(name, 0, 0, "", str(error)))


def _csv(path: Path, name: str, found: Found) -> None:
    if path.suffix.casefold() == ".txt" and path.stem.casefold() not in TABLES:
        return  # somebody's notes
    table = _table_of(name, path.stem, "file", found)
    if table is None:
        return
    read = csv_rows(path)
    if read.coding:
        words = f"is not in UTF-8; read as {read.coding}"
        found.remarks.append(Remark(name, 0, "", words, "look whether letters with accents are right"))
    _grid(Grid(name, table, 0, (), read.rows, read.divider), found)


def _workbook(path: Path, name: str, found: Found) -> None:
    book = sheets_of(path, MOST_ROWS + 2)
    for words, done in book.told:
        found.remarks.append(Remark(name, 0, "", words, done))
    for title, rows in book.sheets:
        source = f"{name}#{shown(title)}"
        if title.casefold() in EXPLAINING:
            continue
        table = _table_of(source, title, "sheet", found)
        if table is not None:
            _grid(Grid(source, table, 0, (), rows), found)


def _table_of(source: str, name: str, what: str, found: Found) -> str | None:
    """The table that a file or sheet is called by; None, and told, where it is called otherwise."""
    key = name.strip().casefold()
    if key in TABLES:
        return key
    near = nearest(key, TABLES)
    guess = f"; did you mean {near}? Rename it" if near else ""
    found.remarks.append(
        Remark(source, 0, "", f"no table is called {quoted(name)}{guess}", f"this {what} is not read")
    )
    return None


def _grid(raw: Grid, found: Found) -> None:
    """The first row that says something holds the headings."""
    rows = [(line, cells) for line, cells in raw.rows if any(_says(cell) for cell in cells)]
    if not rows:
        found.problems.append(
            Problem(
                raw.source, 0, 0, "", "is empty; its first line must name the columns; delete it if not kept"
            )
        )
        return
    if len(rows) > MOST_ROWS + 1:
        found.problems.append(
            Problem(raw.source, 0, 0, "", f"has more than {MOST_ROWS:,} rows; is it the right file?")
        )
        return
    (line, first), *rest = rows
    headings = tuple("" if cell is None else str(cell).strip() for cell in first)
    while headings and not headings[-1]:
        headings = headings[:-1]
    if len(headings) > MOST_COLUMNS or any(len(one) > LONGEST_HEADING for one in headings):
        words = f"names {len(headings):,} columns, or some by very long names; is it the right file?"
        found.problems.append(Problem(raw.source, line, 1, "", words))
        return
    found.grids.append(Grid(raw.source, raw.table, line, headings, rest, raw.divider))


def _says(cell: Cell) -> bool:
    return cell is not None and (not isinstance(cell, str) or bool(cell.strip()))


def _twice(found: Found) -> None:
    """A table that stands in two places is read from neither."""
    for name in TABLES:
        places = [grid.source for grid in found.grids if grid.table == name]
        if len(places) > 1:
            words = f"the table {name} stands here and in {listed(places[1:])}; put all its rows into one"
            found.problems.append(Problem(places[0], 0, 0, "", words))
            found.grids = [grid for grid in found.grids if grid.table != name]
