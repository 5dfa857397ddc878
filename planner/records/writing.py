"""Tables written as an owner would keep them: headings with units, cells rounded to what a scale or a clock shows.

In: a table, rows of it, units and currency. Out: headings and cells; as CSV text or as a workbook.
Must not know: where the files go, what the rows mean.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from io import BytesIO, StringIO
from math import isnan
from typing import Any, Final

from planner.records.headings import SYMBOLS
from planner.records.numbers import scale
from planner.records.tables import Column, Kind, Table

DECIMALS: Final[Mapping[Kind, int]] = {
    "mass": 1,
    "duration": 2,
    "money": 2,
    "price": 2,
    "temperature": 0,
    "speed": 1,
    "count": 0,
}
"""To so many an owner writes (assumed)."""
METRIC: Final[Mapping[str, str]] = {
    "kg": "kg",
    "money/kg": "{}/kg",
    "money": "{}",
    "h": "h",
    "degC": "degC",
    "m/s": "m/s",
}
US: Final[Mapping[str, str]] = {
    "kg": "lb", "money/kg": "{}/lb", "money": "{}", "h": "h", "degC": "degF", "m/s": "mph",
}  # fmt: skip
READ_ME: Final = "read me"
"""The sheet that explains the others."""
WIDE: Final = 14
"""Width of a column in a workbook, in letters."""


@dataclass(frozen=True, slots=True)
class Units:
    """What an owner counts in.

    Parameters
    ----------
    currency : str
        Its code.
    us : bool
        Pounds, degF and mph instead of kg, degC and m/s?
    """

    currency: str
    us: bool = False

    def of(self, column: Column) -> str:
        """The unit of a column; empty where it has none."""
        symbol = SYMBOLS.get(column.kind)
        return "" if symbol is None else (US if self.us else METRIC)[symbol].format(self.currency)

    def heading(self, column: Column) -> str:
        """What stands above a column."""
        unit = self.of(column)
        return f"{column.name} [{unit}]" if unit else column.name

    def cell(self, column: Column, value: Any) -> Any:
        """A value as it is written: a number, a date, a time, a text; None where it is missing."""
        if column.kind == "date":
            return None if value is None or value != value else value if type(value) is date else value.date()
        if isinstance(value, str):
            return value or None
        if value is None or isnan(value):
            return None
        if column.kind == "yes or no":
            return "yes" if value else "no"
        if column.kind == "time":
            minutes = round(value * 60.0) % (24 * 60)
            return time(minutes // 60, minutes % 60)
        symbol = SYMBOLS.get(column.kind)
        if symbol is not None:
            low, step = scale(self.of(column), symbol, self.currency)
            value = (value - low) / step
        decimals = DECIMALS[column.kind]
        return round(float(value), decimals) if decimals else round(float(value))


def rows_as_written(table: Table, rows: Iterable[Mapping[str, Any]], units: Units) -> list[list[Any]]:
    """Cells of each row."""
    return [[units.cell(column, row.get(column.key)) for column in table.columns] for row in rows]


def csv_text(table: Table, rows: Sequence[Sequence[Any]], units: Units) -> str:
    """A table as CSV: commas between cells, decimal points."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([units.heading(column) for column in table.columns])
    writer.writerows([["" if cell is None else _text(cell) for cell in row] for row in rows])
    return out.getvalue()


def _text(cell: Any) -> str:
    return cell.strftime("%H:%M") if isinstance(cell, time) else str(cell)


def workbook(
    tables: Sequence[tuple[Table, Sequence[Sequence[Any]]]], units: Units, explained: Sequence[str]
) -> bytes:
    """Tables as a workbook: a sheet each, its headings with a note, and a sheet that explains them."""
    from openpyxl import Workbook
    from openpyxl.comments import Comment
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    first = book.active
    if first is None:
        raise AssertionError("a new workbook has a sheet")
    first.title = READ_ME
    for line in explained:
        first.append([line])
    for row in first.iter_rows():
        row[0].data_type = "s"  # a line that begins with = is no formula
    first.column_dimensions["A"].width = 110
    for table, rows in tables:
        sheet = book.create_sheet(table.name)
        sheet.append([units.heading(column) for column in table.columns])
        for at, column in enumerate(table.columns, 1):
            head = sheet.cell(1, at)
            head.font = Font(bold=True)
            head.comment = Comment(column_words(column), "planner")
            sheet.column_dimensions[get_column_letter(at)].width = WIDE
        sheet.freeze_panes = "A2"
        for cells in rows:
            sheet.append(list(cells))
            for cell in sheet[sheet.max_row]:
                if isinstance(cell.value, str):
                    cell.data_type = "s"
                elif isinstance(cell.value, time):
                    cell.number_format = "hh:mm"
                elif isinstance(cell.value, date):
                    cell.number_format = "yyyy-mm-dd"
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def column_words(column: Column) -> str:
    """What a column holds, for whoever fills it in."""
    one_of = f" One of: {', '.join(column.words)}." if column.words else ""
    needed = " Needed." if column.needed else ""
    return f"{column.meaning}{one_of} Such as {column.example.rstrip('.')}.{needed}"
