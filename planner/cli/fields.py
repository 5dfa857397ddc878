"""``planner fields``: every field of a scenario, as tables in Markdown."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from planner.cli.session import FAILED, Format, FormatOption, session


def fields(
    into: Annotated[
        Path | None,
        typer.Option(help="Put the tables into this page, between its two marks.", show_default=False),
    ] = None,
    check: Annotated[
        Path | None,
        typer.Option(
            help="Say whether this page holds these very tables; exit code 1 if not.", show_default=False
        ),
    ] = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Print every field of a scenario: what it is, its default, what is allowed, what it means."""
    with session(form) as out:
        from planner.plugin.registry import Registry
        from planner.report.fields import place, stands_in
        from planner.scenario.fields import fields_markdown

        text = fields_markdown(Registry())
        found: dict[str, Any] = {"page": str(into or check)} if into or check else {"markdown": text}
        if into is not None:
            place(into, text)
            found["written"] = True
        if check is not None and not stands_in(check, text):
            out.problem(f"{check} does not hold the fields as they are; run: planner fields --into {check}")
            raise typer.Exit(FAILED)
        if out.json:
            out.document(found)
        elif into is None and check is None:
            typer.echo(text, nl=False)
