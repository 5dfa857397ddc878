"""``planner studies``: what is kept of studies, listed, exported, drawn anew, removed."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.session import DEFAULT_STORE, Format, FormatOption, OutOption, StoreOption, session
from planner.cli.words import Commands, place

IdArgument = Annotated[
    str,
    typer.Argument(metavar="ID", help="First letters of its id, as the list shows it.", show_default=False),
]

studies = typer.Typer(cls=Commands, no_args_is_help=True)


@studies.callback()
def kept() -> None:
    """List, export, redraw and remove the studies that are kept, finished or not."""


@studies.command("list")
def list_studies(store: StoreOption = None, form: FormatOption = Format.TEXT) -> None:
    """List the studies that are kept: id, command, seed, when it was begun, how many of its runs are there."""
    with session(form) as out:
        from planner.report.studies import studies_document, studies_text
        from planner.study.kept import kept_studies

        place = store or DEFAULT_STORE
        found = kept_studies(place, out.aside)
        if out.json:
            out.document(studies_document(found, place))
        else:
            out.show(studies_text(found, place))


@studies.command()
def export(
    study: IdArgument,
    file: Annotated[
        Path,
        typer.Argument(metavar="FILE", parser=place, help="Ends in .csv or .parquet.", show_default=False),
    ],
    store: StoreOption = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Write a study's runs into a file: one row a run, with every figure."""
    with session(form) as out:
        from planner.report.studies import export
        from planner.study.kept import runs_table

        table = runs_table(store or DEFAULT_STORE, study, out.aside)
        written = export(table, file)
        if out.json:
            out.document({"runs": len(table.rows), "files": [str(written)]})
        else:
            out.show([f"{len(table.rows):,} runs are in {written}."])


@studies.command()
def redraw(
    study: IdArgument,
    out_folder: OutOption = None,
    store: StoreOption = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Write the page and the tables of a finished comparison anew, and print its answer; nothing is played."""
    with session(form) as out:
        from planner.report.documents import study_document
        from planner.report.studies import redraw_kept
        from planner.report.terminal import comparison

        found, files = redraw_kept(store or DEFAULT_STORE, study, out_folder)
        out.tell(found, files, study_document, comparison, found.failures)


@studies.command()
def remove(study: IdArgument, store: StoreOption = None, form: FormatOption = Format.TEXT) -> None:
    """Remove a study from the store, with the runs that no other study needs. Reports that were written stay."""
    with session(form) as out:
        from planner.study.kept import remove_study

        removed, runs = remove_study(store or DEFAULT_STORE, study, out.aside)
        if out.json:
            out.document({"id": removed.id, "digest": removed.entry.digest, "runs_removed": runs})
        else:
            out.show([f"Removed {removed.name}, and {runs:,} runs that no other study needs."])
