"""Records as estimators meet them: one frame a table, in canonical units, with what was noticed while reading.

In: frames. Out: ``Records``. Must not know: files, what is estimated from them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from planner.records.tables import TABLES, Column, Table

if TYPE_CHECKING:
    from pandas import DataFrame

LINE = "line"
"""Column of every frame: line of the row in its file, or row of its sheet; 0 where it has none."""


@dataclass(frozen=True, slots=True, order=True)
class Remark:
    """One thing that was noticed while reading, and what was done about it.

    Parameters
    ----------
    file : str
        The file, or the spreadsheet with its sheet behind ``#``.
    line : int
        Line, or row of the sheet, from 1; 0 where the whole file is meant.
    column : str
        Heading of the column; empty where the row is meant.
    found : str
        What was noticed.
    done : str
        What was done: "read as 3.5 kg", "left out", "kept".
    """

    file: str
    line: int
    column: str
    found: str
    done: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        return ": ".join(part for part in (place, self.column, self.found) if part) + f"; {self.done}"


def empty(table: Table) -> DataFrame:
    """A frame of a table without rows."""
    return filled(table, ())


def filled(table: Table, rows: Sequence[Mapping[str, Any]]) -> DataFrame:
    """A frame of rows, each a value by the key of its column; what a row does not have is missing."""
    import pandas as pd

    nothing = {"date": pd.NaT, "word": "", "text": ""}
    columns = {
        one.key: pd.Series(
            [row.get(one.key, nothing.get(one.kind, float("nan"))) for row in rows], dtype=dtype_of(one)
        )
        for one in table.columns
    }
    lines = pd.Series([row.get(LINE, 0) for row in rows], dtype="int64")
    return pd.DataFrame({LINE: lines, **columns})


def dtype_of(column: Column) -> Any:
    """Type of a column in a frame; what is missing is NaN, NaT or an empty text."""
    if column.kind == "date":
        return "datetime64[s]"
    if column.kind in ("word", "text"):
        return "str"
    return "float64"


@dataclass(frozen=True, eq=False)
class Records:
    """All tables.

    Parameters
    ----------
    tables : mapping of str to DataFrame
        By name, every one of ``TABLES``; columns are the ``key`` of each column and ``line``. A missing number is NaN,
        a missing word an empty text, yes is 1.
    remarks : tuple of Remark
        In the order of files and lines.
    """

    tables: Mapping[str, DataFrame]
    remarks: tuple[Remark, ...] = ()

    def __getitem__(self, name: str) -> DataFrame:
        return self.tables[name]

    @property
    def days(self) -> tuple[date, date] | None:
        """First and last day of all tables, between which everything was written down; None without a row."""
        dates = [frame[_date_of(name)].dropna() for name, frame in self.tables.items()]
        found = [(one.min().date(), one.max().date()) for one in dates if len(one)]
        return (min(first for first, _ in found), max(last for _, last in found)) if found else None

    def between(self, first: date, last: date) -> Records:
        """Rows of these days, both included; a month's row counts by its day."""
        import pandas as pd

        kept = {}
        for name, frame in self.tables.items():
            column = frame[_date_of(name)]
            kept[name] = frame[(column >= pd.Timestamp(first)) & (column <= pd.Timestamp(last))]
        return replace(self, tables=kept)


def _date_of(name: str) -> str:
    return next(one.key for one in TABLES[name].columns if one.kind == "date")
