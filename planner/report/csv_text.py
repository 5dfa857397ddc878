"""A table as the text of a CSV file that opens harmlessly in a spreadsheet.

In: a header and rows. Out: bytes (UTF-8, commas, one line a row). Must not know: where they go, what they say.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from math import isnan
from typing import Final

Cell = str | int | float | None

FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""A text that begins so would be taken for a formula, wide signs in East Asian spreadsheets; an apostrophe before it
prevents that."""


def csv_bytes(columns: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """Write a table.

    Numbers are written so that reading them gives the same number to the bit; what is not a number is left empty.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([written(name) for name in columns])
    writer.writerows([written(cell) for cell in row] for row in rows)
    return text.getvalue().encode("utf-8", "backslashreplace")


def written(cell: Cell) -> str:
    """A cell as the file holds it."""
    if cell is None:
        return ""
    if isinstance(cell, float):
        return "" if isnan(cell) else repr(cell)
    if isinstance(cell, int):
        return str(cell)
    text = f"'{cell}" if cell.startswith(FORMULA) else cell
    return text.replace("\r\n", "\n").replace("\r", "\n")  # one kind of line break, which is always quoted
