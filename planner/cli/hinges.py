"""``planner hinges FILE --option NAME``: what the answer hangs on, and where it flips."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.session import FAILED, FileArgument, Format, FormatOption, SeedOption, WorkersOption, session


def hinges(
    file: FileArgument,
    option: Annotated[str, typer.Option(help="Option whose gain is looked at.", show_default=False)],
    beside: Annotated[
        list[str] | None,
        typer.Option(
            help="An option that may overtake it; may be given several times. The two best others if left out.",
            show_default=False,
        ),
    ] = None,
    replicates: Annotated[
        int | None,
        typer.Option(min=1, help="Worlds at each point; 3 if left out.", show_default=False),
    ] = None,
    points: Annotated[
        int | None,
        typer.Option(
            min=8,
            help="How closely to look: 32 if left out; 64, 128 and so on take twice as long each time.",
            show_default=False,
        ),
    ] = None,
    seed: SeedOption = None,
    workers: WorkersOption = None,
    out_folder: Annotated[
        Path | None, typer.Option("--out", help="Folder for the tables; reports/<scenario>/ if left out.")
    ] = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Say which of the scenario's ranges the gain of an option hangs on, and where another option overtakes it.

    All values of the block ranges are moved between their ends, alone and together, and the option, "as today" and the
    best others are played at every point in the same worlds. Written are hinges.csv (a row an input) and hinges.json.
    """
    with session(form) as out:
        from planner.report.folder import check_folder
        from planner.report.hinges_files import save_hinges
        from planner.study import available_workers, hinges_of, load

        if points is not None and points & (points - 1):
            raise typer.BadParameter("--points is a power of two: 32, 64, 128 and so on")
        folder = out_folder or Path("reports") / file.stem
        check_folder(folder)
        with out.progress("Playing") as progress:
            found = hinges_of(
                load(file),
                option,
                beside=beside or (),
                replicates=replicates,
                points=points,
                seed=seed,
                workers=workers or available_workers(),
                progress=progress,
            )
        files = save_hinges(found, folder)
        if out.json:
            from planner.report.hinges_files import hinges_document

            out.document(hinges_document(found, files))
        else:
            from planner.report.hinges_text import hinges_text

            out.show(hinges_text(found, files))
        if found.broken:
            raise typer.Exit(FAILED)
