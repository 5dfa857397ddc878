"""A new package of models: its files put in place, and what to do with them next.

In: texts by path. Out: files, things that rich prints, a plain mapping. Must not know: what the texts say.
"""

from __future__ import annotations

import os
import shlex
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from rich.console import RenderableType
from rich.text import Text

from planner.plugin.scaffold import NewPackage
from planner.report.folder import OutputError, write_folder

NEXT: Final = (
    "python -m pip install --no-deps --no-index --no-build-isolation -e {folder}",
    "python -m pytest {folder}/tests",
    "planner check {folder}/{name}.yaml",
    "planner compare {folder}/{name}.yaml",
)


def write_package(folder: Path, texts: Mapping[str, str]) -> tuple[Path, ...]:
    """Write a package whole or not at all, where nothing is yet.

    Raises
    ------
    planner.report.folder.OutputError
        Something is there already, or nothing may be written there.
    """
    if os.path.lexists(folder):
        raise OutputError(
            f"{folder} is there already, and nothing in it is overwritten; choose another name, or another folder "
            "with --into",
            True,
        )
    return write_folder(folder, {path: text.encode() for path, text in texts.items()})


def new_package_text(package: NewPackage, folder: Path, files: Sequence[Path]) -> Iterator[RenderableType]:
    """What was written, and what to do next."""
    yield Text(f"{package.model}, a {package.kind} model, in {folder}:")
    for file in files:
        yield Text(f"  {file.relative_to(folder).as_posix()}")
    yield Text("Next:")
    for command in NEXT:
        yield Text(
            f"  {command.format(folder=shlex.quote(str(folder)), name=package.name)}",
            no_wrap=True,
            overflow="ignore",
        )


def new_package_document(package: NewPackage, folder: Path, files: Sequence[Path]) -> dict[str, Any]:
    """The same as a document."""
    return {
        "model": package.model,
        "kind": package.kind,
        "folder": str(folder),
        "files": [file.relative_to(folder).as_posix() for file in files],
        "next": [command.format(folder=shlex.quote(str(folder)), name=package.name) for command in NEXT],
    }
