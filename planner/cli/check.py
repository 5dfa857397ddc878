"""``planner check FILE``: is the scenario sound, and what follows without simulating."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.cli.session import FileArgument, Format, FormatOption, session


def check(
    file: FileArgument,
    option: Annotated[str, typer.Option(help="Show what follows for this option.")] = "as today",
    form: FormatOption = Format.TEXT,
) -> None:
    """Check a scenario, and print what follows from it without simulating.

    Lifting index, payload, stove hours and propane for a bucket in still and windy, warm and cold hours, money and
    hours a bucket by way of selling, limits broken, cautions.
    """
    with session(form) as out:
        from planner.study import check, load

        found = check(load(file), option, apart=True)
        if out.json:
            from planner.report.documents import check_document

            out.document(check_document(found))
        else:
            from planner.report.terminal_option import checked

            out.show(checked(found, file))
