"""Studies that were kept, as a reader sees them: a list, a file for other programs, a page drawn anew.

In: rows and tables of the study. Out: things that rich prints, documents, bytes. Must not know: how studies are kept.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator, Sequence
from pathlib import Path
from textwrap import shorten
from typing import Any, Final

from rich.console import RenderableType
from rich.text import Text

from planner.report.csv_text import csv_bytes
from planner.report.folder import OutputError, write_folder
from planner.report.own import check_new, check_report
from planner.report.saving import save_study
from planner.report.stored import study_of
from planner.report.terminal import plain_table
from planner.study import Study
from planner.study.kept import KeptStudy, page_files
from planner.study.tables import Table

NAME_WIDTH: Final = 24


def studies_text(studies: Sequence[KeptStudy], store: Path) -> Iterator[RenderableType]:
    """Print the list."""
    if not studies:
        yield Text(f"No studies are kept in {store}.")
        return
    table = plain_table(
        ("Id", "left"), ("Study", "left"), ("Seed", "right"), ("Begun (UTC)", "left"), ("Runs kept", "right"),
        ("", "left"),
    )  # fmt: skip
    for one in studies:
        entry = one.entry
        table.add_row(
            Text(one.id),
            Text(shorten(f"{entry.told.command} {entry.told.file}", NAME_WIDTH, placeholder="…")),
            str(entry.told.seed),
            entry.begun[:-3],
            _runs(one),
            "page" if entry.drawable else "",
        )
    yield table
    yield Text(f"In {store}. An id's first letters do, where no other begins with them.")


def _runs(one: KeptStudy) -> str:
    kept, wanted = one.entry.kept, one.entry.wanted
    return f"{kept:,}" if one.entry.finished else f"{kept:,} of {wanted:,}"


def studies_document(studies: Sequence[KeptStudy], store: Path) -> dict[str, Any]:
    """The same as a document."""
    return {
        "store": str(store),
        "studies": [
            {
                "id": one.id,
                "digest": one.entry.digest,
                "command": one.entry.told.command,
                "arguments": dict(one.entry.told.arguments),
                "shell": one.entry.told.words,
                "scenario": one.entry.told.file,
                "title": one.entry.told.title,
                "scenario_digest": one.entry.told.scenario_digest,
                "seed": one.entry.told.seed,
                "begun": one.entry.begun,
                "finished": one.entry.finished,
                "runs_wanted": one.entry.wanted,
                "runs_kept": one.entry.kept,
                "page": one.entry.drawable,
            }
            for one in studies
        ],
    }


def export(table: Table, place: Path) -> Path:
    """Write a table for other programs: CSV or Parquet, as the file's name ends.

    Raises
    ------
    planner.report.folder.OutputError
        In one plain sentence.
    """
    check_new(place)
    ending = place.suffix.lower()
    if ending == ".csv":
        content = csv_bytes(table.columns, table.rows)
    elif ending == ".parquet":
        content = _parquet(table)
    else:
        raise OutputError(f"{place} must end in .csv or .parquet", True)
    return write_folder(place.parent, {place.name: content})[0]


def _parquet(table: Table) -> bytes:
    from pandas import DataFrame

    into = io.BytesIO()
    try:
        DataFrame(table.rows, columns=list(table.columns)).to_parquet(into, engine="pyarrow", index=False)
    except ImportError:
        raise OutputError(
            "Parquet needs the package pyarrow, which is not installed; write a .csv file", True
        ) from None
    return into.getvalue()


def redraw_kept(store: Path, letters: str, folder: Path | None) -> tuple[Study, tuple[Path, ...]]:
    """Write the page and the tables of a kept study anew; nothing is played.

    Raises
    ------
    planner.report.folder.StoredError
        Another version of planner kept it.
    planner.report.folder.OutputError
        The page cannot be written.
    """
    kept, files = page_files(store, letters)
    study = study_of(files, {name: hashlib.sha256(content).hexdigest() for name, content in files.items()})
    place = folder or Path("reports") / Path(kept.entry.told.file).stem
    check_report(place, study.subject.title if folder is None else None)
    return study, save_study(study, place)
