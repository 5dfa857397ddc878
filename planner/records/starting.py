"""Empty tables to begin with, each column explained, and a season of an invented business to look at.

In: units, currency, the form. Out: files by path, for somebody to write. Must not know: where they go.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from textwrap import wrap
from typing import Any, Final, Literal

from planner.records.reading import currency_code, read
from planner.records.records import Records
from planner.records.tables import TABLES, Table
from planner.records.writing import Units, column_words, csv_text, rows_as_written, workbook
from planner.scenario import Scenario

Form = Literal["csv", "xlsx"]
README: Final = "README.txt"
WORKBOOK: Final = "notebook.xlsx"
EXAMPLE: Final = "example"
SEASON: Final = Path(__file__).with_name("season")
"""What the tables of the example scenario's business would hold after half a year, as the simulation tells it."""
SEASON_CURRENCY: Final = "EUR"
WIDTH: Final = 100
LEAST: Final = """
The least that tells something are four numbers a melt and two a sale: melts with date, weights, ingots and hours; sales
with date, sold and price; and once a month in asked how many asked and did not buy. All other columns and tables may
stay empty, or be deleted.
"""
UNITS: Final = """
A heading says the unit of its column; a cell may have another one behind the number (55 lb, 200 min, 3h 20min). Decimal
points and decimal commas are both read. Write dates as year-month-day (2026-03-07), or all of a table the same way
round.
"""
RULE: Final = """
planner records check FOLDER tells line by line what it understood. Your files are never changed. What is impossible
(ingots heavier than the weights, a melt of 35 hours) is left out, what is improbable (a bucket of 550 kg) is kept; both
are told.
"""
LOOK: Final = f"The folder {EXAMPLE} holds half a year of an invented business, filled in."
SEASON_WORDS: Final = f"""
Half a year of an invented business in an invented place, as the simulation plays it; amounts in {SEASON_CURRENCY}.
Nobody's real records. Masses are rounded to a tenth, hours to hundredths, money to cents.
"""


def start(form: Form, units: Units) -> Mapping[str, bytes]:
    """Files to begin with.

    Parameters
    ----------
    form : str
        ``csv``: a file a table; ``xlsx``: one workbook with a sheet a table.
    units : Units
        What the owner counts in.

    Returns
    -------
    mapping of str to bytes
        By path below the folder; the example is in a folder of its own.
    """
    season = season_records()
    those = Units(SEASON_CURRENCY, units.us)
    return {
        **_files(form, units, {}, _words(units, form)),
        **{
            f"{EXAMPLE}/{name}": content
            for name, content in _files(form, those, _rows(season), wrap(SEASON_WORDS.strip(), WIDTH)).items()
        },
    }


def units_of(scenario: Scenario | None, currency: str | None, units: str | None) -> Units:
    """What an owner counts in: as they say, else as their scenario says, else EUR and kg."""
    said = currency_code(currency) if currency is not None else None
    if scenario is None:
        return Units(said or SEASON_CURRENCY, units == "us")
    return Units(said or scenario.currency, (units or scenario.units) == "us")


@cache
def season_records() -> Records:
    """The example's season."""
    return read(SEASON, SEASON_CURRENCY)


def _rows(records: Records) -> Mapping[str, list[dict[str, Any]]]:
    return {name: frame.to_dict("records") for name, frame in records.tables.items()}


def _files(
    form: Form, units: Units, rows: Mapping[str, Sequence[Mapping[str, Any]]], explained: Sequence[str]
) -> dict[str, bytes]:
    tables = [(table, rows_as_written(table, rows.get(name, ()), units)) for name, table in TABLES.items()]
    if form == "xlsx":
        return {WORKBOOK: workbook(tables, units, explained)}
    files = {f"{table.name}.csv": csv_text(table, cells, units).encode() for table, cells in tables}
    return files | {README: "".join(f"{line}\n" for line in explained).encode()}


def _words(units: Units, form: Form) -> list[str]:
    """What the owner should know before the first row."""
    where = "file" if form == "csv" else "sheet"
    lines = [f"Your records: a {where} a table, a row each time, written by you.", ""]
    for text in (LEAST, UNITS, RULE, LOOK):
        lines += [*wrap(text.strip(), WIDTH), ""]
    for table in TABLES.values():
        lines += _table_words(table, units, form)
    return lines


def _table_words(table: Table, units: Units, form: Form) -> Iterator[str]:
    yield f"{table.name}.csv" if form == "csv" else table.name
    yield f"  {table.grain[0].upper()}{table.grain[1:]}."
    if table.either:
        yield f"  A row needs {' or '.join(table.either)}."
    for column in table.columns:
        first, *more = wrap(f"{units.heading(column)}: {column_words(column)}", WIDTH - 4)
        yield f"  - {first}"
        yield from (f"    {line}" for line in more)
    yield ""
