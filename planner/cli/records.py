"""``planner records``: tables for what happens, begun and checked."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.session import Format, FormatOption, command, session
from planner.cli.words import Commands


class Form(StrEnum):
    """What the tables are kept in."""

    CSV = "csv"
    XLSX = "xlsx"


class Units(StrEnum):
    """What is weighed in."""

    METRIC = "metric"
    US = "us"


class Dates(StrEnum):
    """Which way round dates such as 03/07/2026 stand."""

    DAY_FIRST = "day-first"
    MONTH_FIRST = "month-first"


ScenarioOption = Annotated[
    Path | None,
    typer.Option(
        "--scenario",
        metavar="FILE",
        help="Your scenario: its currency and units, names of shops and buyers.",
        show_default=False,
    ),
]

RecordsOption = Annotated[
    Path,
    typer.Option(
        "--records",
        metavar="FOLDER",
        help="With your tables; or one file, CSV or .xlsx.",
        show_default=False,
    ),
]

DatesOption = Annotated[
    Dates | None,
    typer.Option(help="Which comes first in dates such as 03/07/2026.", show_default=False),
]

records = typer.Typer(cls=Commands, no_args_is_help=True)


@records.callback()
def kept() -> None:
    """Keep records of what happens: empty tables to begin with, and a check of what you wrote down."""


@records.command()
def start(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="For the tables.", show_default=False)],
    form: Annotated[Form, typer.Option("--format", help="A file a table, or one workbook.")] = Form.CSV,
    currency: Annotated[
        str | None,
        typer.Option(help="Code of your currency; the scenario's, or EUR, if left out.", show_default=False),
    ] = None,
    units: Annotated[
        Units | None,
        typer.Option(help="kg or lb; as the scenario, or kg, if left out.", show_default=False),
    ] = None,
    scenario: ScenarioOption = None,
) -> None:
    """Write empty tables with explained columns, and an example filled in; nothing is overwritten."""
    with session(Format.TEXT) as out:
        from planner.records.starting import start, units_of
        from planner.report.records import started_text, write_start
        from planner.study import load

        of = None if scenario is None else load(scenario)
        files = start(form.value, units_of(of, currency, None if units is None else units.value))
        checking = command("records", "check", folder, scenario=scenario)
        out.show(started_text(folder, write_start(folder, files), checking))


@records.command()
def check(
    folder: Annotated[
        Path,
        typer.Argument(
            metavar="FOLDER", help="With your tables; or one file, CSV or .xlsx.", show_default=False
        ),
    ],
    scenario: ScenarioOption = None,
    currency: Annotated[
        str | None,
        typer.Option(help="Code of your currency; the scenario's, or any, if left out.", show_default=False),
    ] = None,
    dates: DatesOption = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Read your tables, and tell line by line what was understood and what they would tell; nothing is changed."""
    with session(form) as out:
        from planner.records.reading import ORDERS, read_for
        from planner.report.records import checked_document, checked_text
        from planner.study import load

        of = None if scenario is None else load(scenario)
        found = read_for(folder, of, currency, None if dates is None else ORDERS[dates.value])
        if out.json:
            out.document(checked_document(found, folder))
        else:
            fitting = command("fit", scenario or "YOUR-SCENARIO.yaml", records=folder, dates=dates)
            out.show(checked_text(found, folder, fitting))
