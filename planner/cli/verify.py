"""``planner verify [FILE]``: the program against answers that are known."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.session import FAILED, Format, FormatOption, session


def verify(
    file: Annotated[
        Path | None,
        typer.Argument(
            metavar="FILE",
            help="Scenario file (YAML) whose queues and books are watched; a small town if left out.",
            show_default=False,
        ),
    ] = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Play businesses whose answers are known, and compare.

    The pot and the owner as queues, Little's law on everything that waits, a season's stock, supply, weather,
    prices, published examples of lifting and heat, one bucket by hand, mass and cash. Seeds are fixed. Exit code 1 if
    one fails.
    """
    with session(form) as out:
        from planner.study import load
        from planner.testing.verify import ROWS, town, verify

        scenario = town() if file is None else load(file)
        rows = []
        with out.progress("Verifying") as progress:
            for row in verify(scenario):
                rows.append(row)
                progress(len(rows), ROWS)
        if out.json:
            from planner.report.verification import verification_document

            out.document(verification_document(scenario, rows))
        else:
            from planner.report.verification import verification

            out.show(verification(scenario, rows))
        if not all(row.ok for row in rows):
            raise typer.Exit(FAILED)
