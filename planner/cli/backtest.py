"""``planner backtest FILE --records FOLDER``: fitted on the first part of the records, judged on the second."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.cli.records import DatesOption, RecordsOption
from planner.cli.session import (
    FileArgument,
    Format,
    FormatOption,
    OutOption,
    SeedOption,
    folder_for,
    session,
)


def backtest(
    file: FileArgument,
    records: RecordsOption,
    split: Annotated[
        str | None,
        typer.Option(
            help="First day that is judged, such as 2026-09-01; after two thirds of the days if left out.",
            show_default=False,
        ),
    ] = None,
    dates: DatesOption = None,
    replicates: Annotated[int, typer.Option(min=1, help="Worlds.")] = 100,
    seed: SeedOption = None,
    out_folder: OutOption = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Say what the model gets right and wrong: it is fitted on the first part of your records and judged on the second.

    What happened is held week by week against what was foretold without knowing it: amounts, how many weeks lie in the
    band in which eight of ten should, and whether that beats "same as last month". Written are the page
    (backtest.html), every week (backtest.csv) and backtest.json.
    """
    with session(form) as out:
        from planner.fit.backtest import backtest
        from planner.records.reading import ORDERS, read_for
        from planner.report.backtest_kept import backtest_document, save_backtest
        from planner.report.backtest_text import backtest_text
        from planner.study import load
        from planner.study.month.today import day_told

        scenario = load(file)
        folder = folder_for(scenario, out_folder)
        day = None if split is None else day_told("--split", split)
        kept = read_for(records, scenario, dates=None if dates is None else ORDERS[dates.value])
        with out.progress("Playing") as progress:
            found = backtest(scenario, kept, split=day, replicates=replicates, seed=seed, progress=progress)
        files = save_backtest(found, folder)
        out.tell(found, files, backtest_document, backtest_text, found.failed)
