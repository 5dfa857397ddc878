"""``planner grow FILE``: what holds the business back, and what to grow first."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.session import FAILED, FileArgument, Format, FormatOption, SeedOption, WorkersOption, session


def grow(
    file: FileArgument,
    option: Annotated[
        str, typer.Option(help="Look at the business as it is once this option is taken.")
    ] = "as today",
    replicates: Annotated[
        int | None, typer.Option(min=1, help="Worlds; 100 if left out.", show_default=False)
    ] = None,
    workers: WorkersOption = None,
    seed: SeedOption = None,
    out_folder: Annotated[
        Path | None, typer.Option("--out", help="Folder for the table; reports/<scenario>/ if left out.")
    ] = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Play the business with a little more of each thing that may hold it back, and say what to grow first.

    A free hour, an evening, light, shelter, pot, burner, moulds, payload, lifting, pickups, shops, cash, buyers: each
    is tried alone, in the same worlds as the business as it is. Written are the table (grow.csv) and grow.json.
    """
    with session(form) as out:
        from planner.report.folder import check_folder
        from planner.report.grow_kept import save_growth
        from planner.report.saving import tell_beside
        from planner.study import available_workers, grow, load

        folder = out_folder or Path("reports") / file.stem
        check_folder(folder)
        scenario = load(file)
        with out.progress("Playing") as progress:
            found = grow(
                scenario,
                option,
                replicates=replicates,
                seed=seed,
                workers=workers or available_workers(),
                progress=progress,
            )
        files = tell_beside(save_growth(found, folder))
        if out.json:
            from planner.report.grow_kept import growth_document

            out.document(growth_document(found, files))
        else:
            from planner.report.grow_text import growth

            out.show(growth(found, files))
        if found.failures:
            raise typer.Exit(FAILED)
