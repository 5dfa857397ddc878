"""``planner plugins``: the models on offer, and one of them in full."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.cli.session import FAILED, WRONG_INPUT, Format, FormatOption, session


def plugins(context: typer.Context, form: FormatOption = Format.TEXT) -> None:
    """List every model of pricing, supply, weather, rates and demand, and packages that cannot be used.

    Ends with 1 if there is such a package, so that its author sees it in a script too.
    """
    if context.invoked_subcommand:
        return
    with session(form) as out:
        from planner.plugin.registry import Registry

        rows = Registry().available()
        if out.json:
            from planner.report.documents import plugins_document

            out.document(plugins_document(rows))
        else:
            from planner.report.terminal import models_table

            out.show(models_table(rows))
        if any(row.problem for row in rows):
            raise typer.Exit(FAILED)


def show(
    model: Annotated[str, typer.Argument(metavar="MODEL", help="Such as core.fixed.", show_default=False)],
    form: FormatOption = Format.TEXT,
) -> None:
    """Show one model with every key of its settings: what it is, its default, what is allowed."""
    with session(form) as out:
        from planner.plugin.registry import Registry
        from planner.scenario.wording import nearest

        every = Registry().available()
        rows = [row for row in every if not row.problem]
        found = [row for row in rows if row.model == model]
        unusable = {row.model: row.problem for row in every if row.problem}
        if not found and (why := unusable.get(f"{model.rpartition('.')[0]}.*")):
            out.problem(why)
            raise typer.Exit(FAILED)
        if not found:
            like = nearest(model, [row.model for row in rows])
            out.problem(
                f"there is no model called {model!r}; "
                f"{f'did you mean {like}? ' if like else ''}planner plugins lists them"
            )
            raise typer.Exit(WRONG_INPUT)
        if out.json:
            from planner.report.documents import plugins_document

            out.document(plugins_document(found))
        else:
            from planner.report.terminal import model_in_full

            for row in found:
                out.show(model_in_full(row))
