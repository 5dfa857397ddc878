"""An owner's tables read: every cell understood or told, nothing changed in silence, no file touched.

In: a folder, a CSV file or a workbook. Out: ``Records``; or an ``InputError`` with every problem found.
Must not know: what is estimated from them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from planner.records.days import Order
from planner.records.doubts import judged
from planner.records.grids import find
from planner.records.headings import headings_of, mass_unit
from planner.records.records import Records, Remark, empty, filled
from planner.records.rows import Rows, rows_of
from planner.records.tables import TABLES
from planner.records.unlikely import lone_days
from planner.scenario import Scenario
from planner.scenario.business import Business
from planner.scenario.errors import InputError, Problem
from planner.scenario.header import AS_TODAY, EXPECTED, checked_currency

ORDERS: Final[Mapping[str, Order]] = {"day-first": "day first", "month-first": "month first"}
"""What may be said of dates such as 03/07/2026."""


def known_names(business: Business) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names of a business's shops, as far as its settings list them, and of its classes of buyers."""
    listed = (getattr(source.settings, "shops", None) for source in business.supply)
    shops = tuple(str(name) for those in listed if isinstance(those, Mapping) for name in those)
    return shops, tuple(buyers.name for buyers in business.demand)


def read(
    where: Path,
    currency: str | None = None,
    *,
    dates: Order | None = None,
    shops: Sequence[str] = (),
    buyers: Sequence[str] = (),
) -> Records:
    """Read the owner's tables.

    Parameters
    ----------
    where : Path
        A folder with CSV files or a workbook, or one of these files; nothing in it is written.
    currency : str, optional
        Code of the one currency of all amounts; None takes any code and sign as it stands there.
    dates : str, optional
        Which way round day and month stand in dates such as 03/07/2026; what the file tells if left out.
    shops, buyers : sequence of str
        Names of the scenario's shops and classes of buyers; near misspellings are read as these.

    Returns
    -------
    Records
        Every table, those without a file empty; a remark on whatever was not plain.

    Raises
    ------
    InputError
        Nothing can be read, or a table lacks a column without which it is of no use: all problems at once.

    Notes
    -----
    What is impossible is left out, what is improbable is kept, what cannot be read is left out with its row if the row
    is of no use without it; each is told with its line.
    """
    found = find(where)
    mass = mass_unit(found.grids)
    problems, remarks = list[Problem](found.problems), list[Remark](found.remarks)
    known = {"shop": tuple(shops), "buyers": tuple(buyers)}
    tables = list[Rows]()
    for grid in found.grids:
        headings = headings_of(grid, currency, mass)
        problems += headings.problems
        remarks += headings.remarks
        if not headings.problems:
            rows = rows_of(grid, headings.places, currency, dates, known)
            problems += rows.problems
            tables.append(rows)
    if problems:
        raise InputError.of(problems)
    lone_days(tables)
    frames = {name: empty(table) for name, table in TABLES.items()}
    for rows in tables:
        frames[rows.table.name] = filled(rows.table, judged(rows, currency))
        remarks += rows.remarks
    return Records(frames, tuple(sorted(remarks)))


def read_for(
    where: Path, scenario: Scenario | None, currency: str | None = None, dates: Order | None = None
) -> Records:
    """Read the tables of a scenario's owner: its currency, its names of shops and buyers; see :func:`read`."""
    code = currency_code(currency) if currency is not None else scenario.currency if scenario else None
    if scenario is None:
        return read(where, code, dates=dates)
    shops, buyers = known_names(scenario.business(AS_TODAY, EXPECTED))
    return read(where, code, dates=dates, shops=shops, buyers=buyers)


def currency_code(code: str) -> str:
    """A currency's code as it was given, if it is one.

    Raises
    ------
    InputError
        It is none.
    """
    try:
        return checked_currency(code)
    except ValueError as error:
        raise InputError.of([Problem("", 0, 0, "", str(error))]) from None
