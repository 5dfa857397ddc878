"""``planner run FILE``: one option, its figures, and what happened when and why."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.session import (
    AfterOption,
    EngineOption,
    FileArgument,
    Format,
    FormatOption,
    SchedulerOption,
    SeedOption,
    SetOption,
    WorkersOption,
    inputs,
    session,
    where,
)
from planner.cli.words import place


def run(
    file: FileArgument,
    option: Annotated[str, typer.Option(help="Option to play.")] = "as today",
    outlook: Annotated[str, typer.Option(help="Outlook to play it under.")] = "expected",
    replicates: Annotated[int, typer.Option(min=1, help="Worlds to play it in.")] = 1,
    replicate: Annotated[
        int | None, typer.Option(min=0, help="Play the world of this number only.", show_default=False)
    ] = None,
    set_: SetOption = None,
    after: AfterOption = None,
    seed: SeedOption = None,
    workers: WorkersOption = None,
    engine: EngineOption = None,
    scheduler: SchedulerOption = None,
    trace: Annotated[
        Path | None,
        typer.Option(
            parser=place,
            metavar="<path>",
            help="Write into this folder what happened when and why, in the first of the worlds.",
        ),
    ] = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Play one option and print its figures.

    With --trace, tables of every trip, melt, sale, refusal and movement of money are written, with a page that says
    how to follow one bucket from the shop to its buyer and how to add the cash up by hand.
    """
    if replicate is not None and replicates != 1:
        raise typer.BadParameter("give either --replicates or --replicate, not both")
    with session(form) as out:
        from planner.report.documents import run_document
        from planner.report.folder import check_folder
        from planner.report.own import check_trace
        from planner.report.terminal_option import one_option
        from planner.report.trace import save_trace
        from planner.study import available_workers, load, run

        if trace is not None:
            check_folder(trace)
            check_trace(trace)
        scenario = load(file)
        with out.progress("Playing") as progress:
            played = run(
                scenario,
                option,
                outlook,
                replicates=replicates,
                replicate=replicate,
                inputs=inputs(set_, after),
                seed=seed,
                workers=workers or available_workers(),
                engine=where(engine, scheduler),
                traced=trace is not None,
                progress=progress,
            )
        files = save_trace(played, trace) if trace is not None and played.trace is not None else ()
        out.tell(played, files, run_document, one_option, played.failures)
