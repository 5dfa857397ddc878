"""An .xlsx workbook as sheets of values.

In: a path. Out: each sheet's rows with their numbers, and what was odd. Must not know: what a row means.

A formula counts by the value that the spreadsheet program left beside it. Macros are never run, links to other files
never followed; what is larger inside than any notebook is refused before it is unpacked.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any, Final
from zipfile import BadZipFile, ZipFile

from planner.scenario.unseen import UNSEEN

MOST_UNPACKED: Final = 200_000_000
"""Bytes of all parts of a workbook; more than anybody writes down (assumed)."""
MOST_PARTS: Final = 2_000
MOST_COLUMNS: Final = 200
LOOKED_AT: Final = 1_000
"""Bytes of a part in which a document type would stand."""
WITHOUT_VALUE: Final = "(a formula without a value)"
"""Stands for a formula beside which no program left a value."""

Cell = str | float | bool | date | datetime | time | timedelta | None


@dataclass(frozen=True, slots=True)
class Book:
    """A workbook: its sheets in order, and what was noticed with what was done about it."""

    sheets: tuple[tuple[str, tuple[tuple[int, tuple[Cell, ...]], ...]], ...]
    told: tuple[tuple[str, str], ...]


def sheets_of(path: Path, most_rows: int) -> Book:
    """Read a workbook.

    Raises
    ------
    ValueError
        It is none, or larger inside than any notebook.
    """
    told = tuple(_parts(path))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of parts that no table has, such as charts
            return Book(tuple(_sheets(path, most_rows)), told)
    except OSError:
        raise
    except MemoryError:
        raise ValueError("needs more memory than there is; is it the right file?") from None
    except Exception as error:  # the parser raises nearly anything at what is no workbook
        raise ValueError(
            "cannot be read as a workbook; open it in your spreadsheet program and save it anew as .xlsx"
        ) from error


def _parts(path: Path) -> Iterator[tuple[str, str]]:
    """Look at a workbook without unpacking it."""
    try:
        with ZipFile(path) as parts:
            infos = parts.infolist()
            if len(infos) > MOST_PARTS or sum(info.file_size for info in infos) > MOST_UNPACKED:
                raise ValueError("is larger inside than any notebook of yours; is it the right file?")
            for info in infos:
                if info.filename.endswith((".xml", ".rels")):
                    with parts.open(info) as part:
                        if b"<!DOCTYPE" in part.read(LOOKED_AT).upper():
                            raise ValueError(
                                "holds what no spreadsheet program writes (a document type); not read"
                            )
            names = [info.filename.casefold() for info in infos]
    except (BadZipFile, NotImplementedError, RuntimeError) as error:
        raise ValueError("is no .xlsx workbook; save it anew from your spreadsheet program") from error
    if any(name.endswith("vbaproject.bin") for name in names):
        yield "holds macros", "not looked at"
    if any("/externallinks/" in name for name in names):
        yield "refers to other files", "not looked at; the values that stand here are read"


def _sheets(path: Path, most_rows: int) -> Iterator[tuple[str, tuple[tuple[int, tuple[Cell, ...]], ...]]]:
    from openpyxl import load_workbook

    values = load_workbook(path, read_only=True, data_only=True, keep_links=False)
    formulas = load_workbook(path, read_only=True, data_only=False, keep_links=False)
    try:
        for sheet, written in zip(values.worksheets, formulas.worksheets, strict=True):
            bounds = {"max_row": most_rows, "max_col": MOST_COLUMNS}
            pairs = zip(
                sheet.iter_rows(values_only=True, **bounds), written.iter_rows(**bounds), strict=False
            )
            rows = []
            for number, (cells, originals) in enumerate(pairs, 1):
                row = tuple(_value(cell, original) for cell, original in zip(cells, originals, strict=False))
                while row and row[-1] is None:
                    row = row[:-1]
                if row:
                    rows.append((number, row))
            yield sheet.title, tuple(rows)
    finally:
        values.close()
        formulas.close()


def _value(cell: Any, original: Any) -> Cell:
    """What a cell shows; integers and floats are one."""
    if cell is None:
        return WITHOUT_VALUE if original.data_type == "f" else None
    if isinstance(cell, str):
        text = UNSEEN.sub("", cell)
        return text if text.strip() else None
    if isinstance(cell, (bool, date, time, timedelta)):  # a datetime is a date
        return cell
    return float(cell)
