"""``planner fit SCENARIO --records FOLDER``: what the owner's records say of the scenario's values."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.records import DatesOption, RecordsOption
from planner.cli.session import FileArgument, Format, FormatOption, command, folder_for, session


def fit(
    file: FileArgument,
    records: RecordsOption,
    out_file: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FILE",
            help="The new scenario, in the same folder; <name>-fitted.yaml if left out.",
            show_default=False,
        ),
    ] = None,
    dates: DatesOption = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Estimate from your records what they can tell, and write a scenario with it that extends yours.

    Each value that changes is told with what it was, between which it lies nine times in ten, and how many records told
    it; few records change little. Nothing is overwritten. What each was seen in is drawn in reports/<name>/fits.html.
    """
    with session(form) as out:
        from planner.fit.fitting import fit as fit_to
        from planner.records.reading import ORDERS, read_for
        from planner.report.fit_files import fit_document, place_for, save_fit
        from planner.report.fit_text import fit_text
        from planner.study import load

        scenario = load(file)
        place = place_for(file, out_file)
        folder = folder_for(scenario, None)
        kept = read_for(records, scenario, dates=None if dates is None else ORDERS[dates.value])
        found = fit_to(scenario, kept)
        told = partial(fit_text, looking_back=command("backtest", file, records=records, dates=dates))
        out.tell(found, save_fit(found, place, folder), fit_document, told)
