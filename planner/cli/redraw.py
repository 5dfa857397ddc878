"""``planner redraw FOLDER``: the page of a stored study, drawn anew without playing anything."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.session import (
    Format,
    FormatOption,
    session,
)


def redraw(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="Folder that planner compare wrote.", show_default=False)
    ],
    form: FormatOption = Format.TEXT,
) -> None:
    """Draw the page of a stored study anew, and print its answer; nothing is played.

    The tables beside the page are read, checked against manifest.json, and left as they are.
    """
    with session(form) as out:
        from planner.report.documents import study_document
        from planner.report.saving import redraw
        from planner.report.terminal import comparison

        study, page = redraw(folder)
        out.tell(study, [page], study_document, comparison, study.failures)
