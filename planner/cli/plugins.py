"""``planner plugins``: the models on offer."""

from __future__ import annotations

import typer

from planner.cli.session import Format, FormatOption, session


def plugins(context: typer.Context, form: FormatOption = Format.TEXT) -> None:
    """List every model of pricing, supply, weather, rates and demand, and packages that cannot be used."""
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
