"""``planner ladder FILE``: what to do first, second, third within a sum of money, and where to stop."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.cli.session import (
    EngineOption,
    FileArgument,
    Format,
    FormatOption,
    OutOption,
    SchedulerOption,
    SeedOption,
    SetOption,
    StoreOption,
    WorkersOption,
    folder_for,
    inputs,
    session,
    where,
)


def ladder(
    file: FileArgument,
    sum_: Annotated[
        str | None,
        typer.Option(
            "--sum",
            help="What may be spent on all steps together, such as '500 EUR'; if left out, the cash at the start less "
            "the reserve.",
            show_default=False,
        ),
    ] = None,
    set_: SetOption = None,
    workers: WorkersOption = None,
    engine: EngineOption = None,
    scheduler: SchedulerOption = None,
    seed: SeedOption = None,
    out_folder: OutOption = None,
    store: StoreOption = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Say what to do first, second, third within a sum of money, and where to stop.

    Each step is an option on top of the steps before it, all in the same worlds: the one that brings most is picked and
    then played in fresh worlds, from which its figures are told. The ladder ends where the next step is not worth it,
    cannot be told from nothing, breaks a hard limit or cannot be paid. Written are ladder.csv and ladder.json, the same
    for the same scenario, sum, seed and versions, whatever the number of workers.
    """
    with session(form) as out:
        from planner.report.ladder_files import ladder_document, save_ladder
        from planner.report.ladder_text import ladder_text
        from planner.report.saving import tell_beside
        from planner.study import available_workers, load
        from planner.study.climbing import climb, sum_of

        scenario = load(file)
        folder = folder_for(scenario, out_folder)
        try:
            money = None if sum_ is None else sum_of(sum_, scenario.currency)
        except ValueError as error:
            raise typer.BadParameter(str(error), param_hint="--sum") from None
        with out.progress("Climbing") as progress:
            found = climb(
                scenario,
                money=money,
                inputs=inputs(set_),
                seed=seed,
                workers=workers or available_workers(),
                engine=where(engine, scheduler),
                progress=progress,
                store=out.keep(store),
            )
        files = tell_beside(save_ladder(found, folder))
        out.tell(found, files, ladder_document, ladder_text, found.failures)
