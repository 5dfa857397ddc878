"""A CSV file as rows of text, however its program wrote it.

In: a path. Out: rows with their lines, what divides cells, how letters were coded. Must not know: what a row means.
"""

from __future__ import annotations

import csv
from codecs import BOM_UTF16_BE, BOM_UTF16_LE
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from typing import Final

from planner.scenario.unseen import UNSEEN

DIVIDERS: Final = ",;\t"
LONGEST_CELL: Final = 10_000
"""Letters; a longer one comes of a quotation mark that nobody closed (assumed)."""
CODINGS: Final = (("cp1252", "Windows-1252"), ("latin-1", "Latin-1"))
"""What files that are not in UTF-8 are tried as; any bytes are letters in the last."""


@dataclass(frozen=True, slots=True)
class Read:
    """A file.

    Parameters
    ----------
    rows : tuple of (int, tuple of str)
        With the line on which each begins; the first is that of the headings.
    divider : str
        Comma, semicolon or tab, whichever the first row has most of.
    coding : str
        How letters are coded, if not in UTF-8.
    """

    rows: tuple[tuple[int, tuple[str, ...]], ...]
    divider: str
    coding: str


def csv_rows(path: Path) -> Read:
    """Read a CSV file; empty lines, and lines that begin with ``#``, are left out.

    Raises
    ------
    ValueError
        It is no text, or its quotation marks do not match.
    """
    text, coding = _text(path.read_bytes())
    lines = text.splitlines(keepends=True)
    first = next((line for line in lines if _says_something(line)), "")
    divider = max(DIVIDERS, key=first.count)
    reader = csv.reader(StringIO(text, newline=""), delimiter=divider, skipinitialspace=True)
    rows, begins = [], 1
    try:
        for cells in reader:
            if any(map(str.strip, cells)) and not cells[0].lstrip().startswith("#"):
                if any(len(cell) > LONGEST_CELL for cell in cells):
                    raise ValueError(
                        f"line {begins}: a cell has more than {LONGEST_CELL:,} letters; is a quotation mark open?"
                    )
                rows.append((begins, tuple(UNSEEN.sub("", cell) for cell in cells)))
            begins = reader.line_num + 1
    except csv.Error as error:
        words = "a cell begins here that is too long or has no end"
        raise ValueError(f"line {begins}: {words}; is this a CSV file?") from error
    return Read(tuple(rows), divider, coding)


def _says_something(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")


def _text(content: bytes) -> tuple[str, str]:
    if content.startswith((BOM_UTF16_LE, BOM_UTF16_BE)):
        return content.decode("utf-16", errors="replace"), "UTF-16"
    if b"\0" in content:
        raise ValueError("this is no text; save the table as CSV in UTF-8")
    try:
        return content.decode("utf-8-sig"), ""
    except UnicodeDecodeError:
        pass
    for coding, name in CODINGS:
        try:
            return content.decode(coding), name
        except UnicodeDecodeError:
            continue
    raise AssertionError("any bytes are letters in Latin-1")
