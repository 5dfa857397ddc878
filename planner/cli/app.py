"""The commands, and what they have in common."""

from __future__ import annotations

import typer

from planner import __version__
from planner.cli.backtest import backtest
from planner.cli.check import check
from planner.cli.compare import compare
from planner.cli.fields import fields
from planner.cli.fit import fit
from planner.cli.grow import grow
from planner.cli.hinges import hinges
from planner.cli.ladder import ladder
from planner.cli.month import month
from planner.cli.new import new as new_scenario
from planner.cli.plugin_new import new
from planner.cli.plugins import plugins, show
from planner.cli.records import records
from planner.cli.redraw import redraw
from planner.cli.run import run
from planner.cli.schema import schema
from planner.cli.stress import stress
from planner.cli.studies import studies
from planner.cli.verify import verify
from planner.cli.words import Commands

app = typer.Typer(
    cls=Commands,
    help="Is it worth growing, and what should be grown first? Plays a side business in scrap lead, hour by hour.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"planner {__version__}")
        raise typer.Exit


@app.callback()
def planner(
    version: bool = typer.Option(
        False, "--version", callback=_version, is_eager=True, help="Print the version and leave."
    ),
) -> None:
    """Is it worth growing, and what should be grown first? Plays a side business in scrap lead, hour by hour."""
    del version


for command in (
    new_scenario,
    check,
    run,
    compare,
    stress,
    hinges,
    grow,
    ladder,
    month,
    fit,
    backtest,
    redraw,
    verify,
    schema,
    fields,
):
    app.command()(command)

packages = typer.Typer(cls=Commands)
packages.callback(invoke_without_command=True)(plugins)
packages.command()(show)
packages.command()(new)
app.add_typer(packages, name="plugins")
app.add_typer(studies, name="studies")
app.add_typer(records, name="records")
