"""``planner compare FILE``: every option in the same worlds, against "as today"."""

from __future__ import annotations

from math import isfinite
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
    StoreOption,
    WorkersOption,
    folder_for,
    session,
    where,
)


def compare(
    file: FileArgument,
    replicates: Annotated[
        int | None,
        typer.Option(
            min=1,
            help="Play every option in so many worlds and no more; if left out, as many as the choice takes.",
            show_default=False,
        ),
    ] = None,
    budget: Annotated[
        int | None,
        typer.Option(min=1, help="Runs at most; what the scenario says if left out.", show_default=False),
    ] = None,
    minutes: Annotated[
        float | None,
        typer.Option(
            min=0.0,
            help="Minutes at most, about; what fits into them cannot be repeated to the last digit.",
            show_default=False,
        ),
    ] = None,
    workers: WorkersOption = None,
    engine: EngineOption = None,
    scheduler: SchedulerOption = None,
    seed: SeedOption = None,
    outlook: Annotated[
        list[str] | None,
        typer.Option(
            help="Play only this outlook beside the expected one; may be given several times. All if left out."
        ),
    ] = None,
    out_folder: OutOption = None,
    store: StoreOption = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Play every option in the same worlds, and say which one to choose, if the runs support a choice.

    The choice is made under the expected outlook, which is always played: options that have surely lost are played no
    longer, and the one that is left is confirmed in fresh worlds. Written are the report (index.html), its tables
    (options.csv, confirmed.csv, runs.csv, months.csv, failures.csv), study.json, from which planner redraw draws the
    page anew, and manifest.json: the same for the same scenario, seed and versions, whatever the number of workers.
    """
    if (replicates is not None) + (budget is not None) + (minutes is not None) > 1:
        raise typer.BadParameter("give one of --replicates, --budget and --minutes")
    if minutes is not None and not isfinite(minutes):
        raise typer.BadParameter(
            "--minutes must be a number; leave it out to play as much as the choice takes"
        )
    with session(form) as out:
        from planner.report.documents import study_document
        from planner.report.saving import kept_of, save_study
        from planner.report.terminal import comparison
        from planner.study import available_workers, compare, load, outlooks_to_play

        scenario = load(file)
        folder = folder_for(scenario, out_folder)
        keep = out.keep(store)
        with out.progress("Playing") as progress:
            study = compare(
                scenario,
                replicates=replicates,
                budget=budget,
                minutes=minutes,
                seed=seed,
                workers=workers or available_workers(),
                engine=where(engine, scheduler),
                outlooks=outlooks_to_play(scenario, outlook or ()),
                progress=progress,
                store=keep,
            )
        files = save_study(study, folder)
        keep.files(kept_of(files))
        out.tell(study, files, study_document, comparison, study.failures)
