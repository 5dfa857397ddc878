"""``planner grow FILE``: what holds the business back, and what to grow first."""

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


def grow(
    file: FileArgument,
    option: Annotated[
        str, typer.Option(help="Look at the business as it is once this option is taken.")
    ] = "as today",
    replicates: Annotated[
        int | None, typer.Option(min=1, help="Worlds; 100 if left out.", show_default=False)
    ] = None,
    workers: WorkersOption = None,
    engine: EngineOption = None,
    scheduler: SchedulerOption = None,
    seed: SeedOption = None,
    out_folder: OutOption = None,
    store: StoreOption = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Play the business with a little more of each thing that may hold it back, and say what to grow first.

    A free hour, an evening, light, shelter, pot, burner, moulds, payload, lifting, pickups, shops, cash, buyers: each
    is tried alone, in the same worlds as the business as it is. Written are grow.csv, grow-limits.csv
    (free hours lost to each limit) and grow.json.
    """
    with session(form) as out:
        from planner.report.grow_kept import growth_document, save_growth
        from planner.report.grow_text import growth
        from planner.report.saving import tell_beside
        from planner.study import available_workers, grow, load

        scenario = load(file)
        folder = folder_for(scenario, out_folder)
        with out.progress("Playing") as progress:
            found = grow(
                scenario,
                option,
                replicates=replicates,
                seed=seed,
                workers=workers or available_workers(),
                engine=where(engine, scheduler),
                progress=progress,
                store=out.keep(store),
            )
        files = tell_beside(save_growth(found, folder))
        out.tell(found, files, growth_document, growth, found.failures)
