"""Columns of a CSV file whose header names each with its unit, such as `price [EUR/t]`.

In: a path. Out: columns of numbers in the units asked for, or of text; a `ValueError` that begins with `file:line:`
where something is wrong. Must not know what any column means.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from io import StringIO
from itertools import islice
from math import isfinite
from pathlib import Path
from typing import Final, NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from planner.scenario.kinds import KINDS
from planner.scenario.units import parse
from planner.scenario.wording import listed, nearest, quoted

MOST_BYTES: Final = 20_000_000
"""Ten years of hours have 4 MB; what is far larger is something else (assumed)."""
MOST_ROWS: Final = 200_000
"""Twenty years of hours (assumed)."""
MOST_COLUMNS: Final = 1000
"""No table of measured values has as many (assumed)."""

LONGEST_HEADING: Final = 200
"""Letters (assumed)."""

_HEADING: Final = re.compile(r"\s*(.*?)\s*(?:\[(.*)\]|\((.*)\))?\s*")
_NUMBER: Final = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d{1,2})?")
_COMMA: Final = re.compile(r"[-+]?\d+,\d+")
_EMPTY: Final = frozenset({"", "na", "nan", "null"})
_DIVIDERS: Final = ",;\t"

T = TypeVar("T")


class _Heading(NamedTuple):
    """A column: how its header calls it, the unit behind the name, and which cell of a row it is."""

    name: str
    unit: str
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """A CSV file, read but not yet understood.

    Parameters
    ----------
    source : str
        The file's name, for messages.
    line : int
        Line of the header.
    headings : tuple
        Its columns.
    lines : tuple of int
        Line of each row.
    cells : tuple of sequence of str
        Rows as text.
    """

    source: str
    line: int
    headings: tuple[_Heading, ...]
    lines: tuple[int, ...]
    cells: tuple[Sequence[str], ...]

    def wrong(self, row: int | None, words: str) -> ValueError:
        """An error at a row, or at the header."""
        return ValueError(f"{self.source}:{self.line if row is None else self.lines[row]}: {words}")

    def numbers(self, name: str, symbol: str) -> NDArray[np.float64]:
        """A column as numbers in the unit ``symbol`` (a key of `KINDS`); NaN where a cell is empty, NA or NaN."""
        heading = self._heading(name)
        low, step = self._scale(heading, symbol)
        found = np.fromiter(
            (self._number(row, cells[heading.at].strip(), heading) for row, cells in enumerate(self.cells)),
            np.float64,
            len(self.cells),
        )
        return found if (low, step) == (0.0, 1.0) else low + step * found

    def each(self, name: str, read: Callable[[str], T]) -> list[T]:
        """A column read cell by cell; what ``read`` raises is told with its line."""
        at, found = self._heading(name).at, list[T]()
        for row, cells in enumerate(self.cells):
            try:
                found.append(read(cells[at].strip()))
            except ValueError as error:
                raise self.wrong(row, str(error)) from error
        return found

    def _heading(self, name: str) -> _Heading:
        wanted = name.strip().casefold()
        for heading in self.headings:
            if heading.name.casefold() == wanted:
                return heading
        names = [heading.name for heading in self.headings]
        near = nearest(name, names)
        guess = f"did you mean {quoted(near)}? " if near else ""
        raise self.wrong(None, f"there is no column {quoted(name)}; {guess}its columns are {listed(names)}")

    def _scale(self, heading: _Heading, symbol: str) -> tuple[float, float]:
        """What 0 stands for in the column's unit, and what 1 adds to it."""
        if not heading.unit:
            kind = KINDS[symbol]
            example = f"{heading.name} [{kind.example.split(' ', 1)[1]}]"
            raise self.wrong(
                None,
                f"column {quoted(heading.name)} has no unit; it is {kind.what}, headed such as {example}",
            )
        try:
            low, high = (parse(f"{number} {heading.unit}", symbol) for number in (0, 1))
        except ValueError as error:
            raise self.wrong(None, f"column {quoted(heading.name)}: {error}") from error
        return low, high - low

    def _number(self, row: int, text: str, heading: _Heading) -> float:
        if text.casefold() in _EMPTY:
            return float("nan")
        if _NUMBER.fullmatch(text) and isfinite(number := float(text)):
            return number
        hint = f"; write {text.replace(',', '.')}" if _COMMA.fullmatch(text) else ""
        raise self.wrong(row, f"{quoted(text)} in column {quoted(heading.name)} is not a number{hint}")


def read_sheet(path: Path) -> Sheet:
    """Read a CSV file with a header.

    Parameters
    ----------
    path : Path
        Cells are divided by commas, semicolons or tabs, whichever the header has most of. Empty lines, and lines that
        begin with ``#``, are left out.

    Raises
    ------
    ValueError
        In one sentence that begins with the file's name and the line.
    """
    text = _text(path)
    lines = list(islice(_lines(path.name, text), MOST_ROWS + 2))
    if len(lines) > MOST_ROWS + 1:
        raise ValueError(
            f"{path.name}:{lines[-1][0]}: more than {MOST_ROWS:,} rows stand here; is it the right file?"
        )
    if not lines:
        raise ValueError(f"{path.name}:1: the file is empty; its first line must name the columns")
    (line, header), *rows = lines
    if len(header) > MOST_COLUMNS:
        raise ValueError(
            f"{path.name}:{line}: {len(header):,} columns stand here; at most {MOST_COLUMNS:,} are read; is it the "
            "right file?"
        )
    headings = []
    for at, cell in enumerate(header):
        if len(cell) > LONGEST_HEADING:
            raise ValueError(
                f"{path.name}:{line}: {quoted(cell)} is too long to name a column; is it the right file?"
            )
        found = _HEADING.fullmatch(cell)
        name, unit = (found[1], found[2] or found[3] or "") if found else (cell.strip(), "")
        headings.append(_Heading(name, unit.strip(), at))
    sheet = Sheet(
        path.name,
        line,
        tuple(headings),
        tuple(line for line, _ in rows),
        tuple(cells for _, cells in rows),
    )
    names = [heading.name.casefold() for heading in headings]
    if doubled := sorted({name for name in names if names.count(name) > 1}):
        raise sheet.wrong(None, f"two columns are called {quoted(doubled[0])}; give each a name of its own")
    for row, cells in enumerate(sheet.cells):
        if len(cells) != len(headings):
            words = (
                f"{len(cells)} cells stand here, but the header in line {line} names {len(headings)} columns"
            )
            raise sheet.wrong(row, words)
    return sheet


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise ValueError(f"{path.name} has more than {MOST_BYTES:,} bytes; is it the right file?")
        return path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise ValueError(f"{path.name} cannot be read: {error.strerror}; check the path") from error
    except UnicodeDecodeError as error:
        line = path.read_bytes()[: error.start].count(b"\n") + 1
        raise ValueError(
            f"{path.name}:{line}: this is no text in UTF-8; save the file as CSV in UTF-8"
        ) from error


def _lines(source: str, text: str) -> Iterator[tuple[int, list[str]]]:
    """Rows with the number of their line, the header first."""
    kept = list(StringIO(text))
    first = next((line for line in kept if _says_something(line)), "")
    divider = max(_DIVIDERS, key=first.count)
    reader = csv.reader((line if _says_something(line) else "\n" for line in kept), delimiter=divider)
    try:
        yield from ((reader.line_num, cells) for cells in reader if cells)
    except csv.Error as error:
        words = "a cell begins here that is too long or has no end"
        raise ValueError(f"{source}:{reader.line_num}: {words}; is this a CSV file?") from error


def _says_something(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")
