"""``planner hinges FILE``: what the answer hangs on, and where it flips."""

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
    StoreOption,
    WorkersOption,
    folder_for,
    session,
    where,
)


def hinges(
    file: FileArgument,
    option: Annotated[
        str | None,
        typer.Option(
            help="Option whose gain is looked at; the one that brings most if left out.", show_default=False
        ),
    ] = None,
    beside: Annotated[
        list[str] | None,
        typer.Option(
            help="An option that may overtake it; may be given several times. The two best others if left out.",
            show_default=False,
        ),
    ] = None,
    replicates: Annotated[
        int | None,
        typer.Option(min=1, help="Worlds at each point; 2 if left out.", show_default=False),
    ] = None,
    points: Annotated[
        int | None,
        typer.Option(
            min=8,
            help="How closely to look: 64 if left out; 128, 256 and so on play nearly twice as much each time.",
            show_default=False,
        ),
    ] = None,
    seed: SeedOption = None,
    workers: WorkersOption = None,
    engine: EngineOption = None,
    scheduler: SchedulerOption = None,
    out_folder: OutOption = None,
    store: StoreOption = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Say which of the scenario's ranges the gain of an option hangs on, and where another option overtakes it.

    All values of the block ranges are moved between their ends, alone and together, and the option, "as today" and the
    best others are played at every point in the same worlds. Written are hinges.csv (a row an input) and hinges.json.
    """
    if points is not None and points & (points - 1):
        raise typer.BadParameter("--points is a power of two: 64, 128, 256 and so on")
    with session(form) as out:
        from planner.report.hinges_files import hinges_document, save_hinges
        from planner.report.hinges_text import hinges_text
        from planner.report.saving import tell_beside
        from planner.study import available_workers, hinges_of, load

        scenario = load(file)
        folder = folder_for(scenario, out_folder)
        with out.progress("Playing") as progress:
            found = hinges_of(
                scenario,
                option,
                beside=beside or (),
                replicates=replicates,
                points=points,
                seed=seed,
                workers=workers or available_workers(),
                engine=where(engine, scheduler),
                progress=progress,
                store=out.keep(store),
            )
        files = tell_beside(save_hinges(found, folder))
        out.tell(found, files, hinges_document, hinges_text, found.broken)
