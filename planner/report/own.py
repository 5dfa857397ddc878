"""Whose files lie in a folder that is to be written into: what planner did not write is never overwritten.

In: a folder, and what is about to be written there. Out: an ``OutputError``, or nothing. Must not know: what the files
say beyond how they begin.
"""

from __future__ import annotations

import json
import re
from collections.abc import Collection
from pathlib import Path
from typing import Final

from planner.report.folder import OutputError, read_stored
from planner.report.phrases import listed, quoted

MANIFEST: Final = "manifest.json"
REPORT: Final = frozenset({
    "index.html", "manifest.json", "study.json", "runs.csv", "options.csv", "confirmed.csv", "months.csv", "spread.csv",
    "failures.csv", "estimates.csv", "origins.csv", "stress.csv", "stress.json", "hinges.csv", "hinges.json",
    "grow.csv", "grow-limits.csv", "grow.json", "ladder.csv", "ladder.json", "month.html", "month.csv", "month.json",
    "fits.html", "backtest.html", "backtest.csv", "backtest.json",
})  # fmt: skip
"""Every file that a report may have."""
TRACE: Final = frozenset({
    "README.txt", "diary.csv", "ledger.csv", "lots.csv", "sorts.csv", "melts.csv", "loads.csv", "sales.csv",
    "sale_melts.csv", "yard.csv", "trips.csv", "lost.csv", "hours.csv", "limits.csv", "balance.csv", "measures.csv",
    "estimates.csv",
})  # fmt: skip
"""Every file that a trace may have."""
ADD_UP: Final = "TO ADD THE CASH UP BY HAND"
"""A heading that README.txt of every trace has."""

_BEGINNING_BYTES: Final = 4000
_OURS: Final = {
    ".html": re.compile(rb'<meta name="generator" content="planner">'),
    ".json": re.compile(rb'\A\{\s*"(?:title":.*"scenario_digest"|format": \d+,\s*"planner")', re.S),
    ".txt": re.compile(ADD_UP.encode()),
}
"""How files of ours begin, by the ends of their names."""


def check_report(folder: Path, title: str | None = None) -> None:
    """Say so if a folder holds other files where the report is to be, or the report on another scenario.

    Parameters
    ----------
    folder : Path
        It may not be there.
    title : str, optional
        Of the scenario; left out, the folder was named by the user, and another report may be overwritten.

    Raises
    ------
    OutputError
        It does.
    """
    _check(folder, REPORT, (".html", ".json"), "--out")
    try:
        manifest = json.loads(read_stored(folder / MANIFEST))
        held, file = str(manifest["title"]), str(manifest["scenario"])
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return
    if title is not None and held != title:
        raise OutputError(
            f"{folder} holds the report on {quoted(held)} ({file}), and this scenario is {quoted(title)}; name another "
            "folder (--out FOLDER), or remove that one",
            True,
        )


def check_trace(folder: Path) -> None:
    """Say so if a folder holds other files where the tables of a trace are to be, such as an owner's own records.

    Raises
    ------
    OutputError
        It does.
    """
    _check(folder, TRACE, (".txt",), "--trace")


def check_new(file: Path) -> None:
    """Say so if there is such a file already.

    Raises
    ------
    OutputError
        There is.
    """
    if file.exists() or file.is_symlink():
        raise OutputError(f"{file} is there already, and nothing is overwritten; name another file", True)


def _check(folder: Path, names: Collection[str], marks: tuple[str, ...], option: str) -> None:
    there = sorted(name for name in names if (folder / name).exists())
    if there and not any(_is_ours(folder / name) for name in there if name.endswith(marks)):
        raise OutputError(
            f"{folder} holds files that planner did not write and would write over ({listed(there)}); move them away, "
            f"or name another folder ({option} FOLDER)",
            True,
        )


def _is_ours(path: Path) -> bool:
    if not path.is_file():
        return False
    try:
        with path.open("rb") as file:
            return _OURS[path.suffix].search(file.read(_BEGINNING_BYTES)) is not None
    except OSError:
        return False
