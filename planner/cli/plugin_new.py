"""``planner plugins new NAME``: a package of models to begin with."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.session import WRONG_INPUT, Format, FormatOption, session


class Kind(StrEnum):
    """What a model is for."""

    PRICING = "pricing"
    SUPPLY = "supply"
    WEATHER = "weather"
    RATES = "rates"
    DEMAND = "demand"


def new(
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="Such as stall-price; its models are then stall_price.*.")
    ],
    kind: Annotated[Kind, typer.Option(help="What its model is for.", show_default=False)],
    into: Annotated[
        Path | None,
        typer.Option(
            help="The package's folder, which must not be there yet; ./NAME if left out.", show_default=False
        ),
    ] = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Write a package with a model to begin with: complete, installable, with an example and tests that pass."""
    with session(form) as out:
        from planner.plugin.scaffold import NewPackageError, new_package
        from planner.report.new_package import new_package_document, new_package_text, write_package

        try:
            package = new_package(name, kind.value)
        except NewPackageError as error:
            out.problem(str(error))
            raise typer.Exit(WRONG_INPUT) from None
        folder = into or Path(name)
        files = write_package(folder, package.files)
        if out.json:
            out.document(new_package_document(package, folder, files))
        else:
            out.show(new_package_text(package, folder, files))
