"""The owner's records on a terminal and as a document; empty tables put in place.

In: ``Records``, files by path. Out: things that rich prints, plain mappings, files. Must not know: how tables are read.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from rich.console import RenderableType
from rich.text import Text

from planner.records.records import Records, Remark
from planner.records.starting import EXAMPLE, README, WORKBOOK
from planner.records.telling import telling
from planner.report.folder import OutputError, check_folder, write_folder
from planner.report.phrases import counted
from planner.report.terminal import heading, indented, next_steps

MOST_TOLD: Final = 100
"""Remarks in text; who has more looks for what they have in common."""


def write_start(folder: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Write tables to begin with, where none of them is yet; other files stay as they are.

    Raises
    ------
    planner.report.folder.OutputError
        One of them is there already, or nothing may be written there.
    """
    check_folder(folder)
    for name in dict.fromkeys(part for path in files for part in (Path(path).parts[0], path)):
        if os.path.lexists(folder / name):
            raise OutputError(
                f"{folder / name} is there already, and nothing is overwritten; name another folder", True
            )
    if not folder.exists():
        return write_folder(folder, files)
    below = {Path(path).parent for path in files} - {Path()}
    written = [
        write_folder(
            folder / place, {Path(path).name: files[path] for path in files if Path(path).parent == place}
        )
        for place in sorted(below)
    ]
    written.append(
        write_folder(
            folder, {path: content for path, content in files.items() if Path(path).parent == Path()}
        )
    )
    return tuple(path for some in written for path in some)


def started_text(folder: Path, files: Sequence[Path], checking: str) -> Iterator[RenderableType]:
    """What was written, where it is explained, and what to do next."""
    yield Text(f"Tables to begin with, in {folder}:")
    names = sorted(file.relative_to(folder).as_posix() for file in files)
    for name in names:
        yield Text(f"  {name}")
    explained = README if README in names else f"the first sheet of {WORKBOOK}"
    yield Text(
        f"Every column is explained in {explained}; the folder {EXAMPLE} holds half a year of an invented business. "
        "Fill in what you have and leave the rest empty."
    )
    yield from next_steps((checking, "what was understood, line by line, and what it would tell"))


def checked_text(records: Records, where: Path, fitting: str) -> Iterator[RenderableType]:
    """Every remark, line by line; what each table holds; what it would tell; what to do next."""
    told = telling(records)
    rows = sum(one.rows for one in told)
    yield heading(f"{where}: {counted(rows, 'row')}, {counted(len(records.remarks), 'remark')}")
    for remark in records.remarks[:MOST_TOLD]:
        yield Text(str(remark), overflow="fold")
    if (untold := len(records.remarks) - MOST_TOLD) > 0:
        yield Text(f"... and {counted(untold, 'remark')} more; --format json has them all.")
    if records.days is not None:
        first, last = records.days
        yield indented(f"From {first.isoformat()} to {last.isoformat()}")
    for one in told:
        if one.rows:
            more = f"; {one.more}" if one.more else ""
            yield indented(f"{one.table}: {counted(one.rows, 'row')} on {one.would_tell}{more}")
    missing = [one for one in told if not one.rows]
    if missing:
        yield heading("What is not written down would tell")
        for one in missing:
            yield indented(f"{one.table}: {one.more}")
    yield Text("")
    if not rows:
        yield Text("Nothing is written down yet. Fill in what you have, then check again.")
        return
    yield from next_steps((fitting, "what these records say of your scenario, and how surely"))


def checked_document(records: Records, where: Path) -> dict[str, Any]:
    """The same as a document."""
    days = records.days
    return {
        "where": str(where),
        "first_day": days[0].isoformat() if days else None,
        "last_day": days[1].isoformat() if days else None,
        "tables": {
            one.table: {"rows": one.rows, "would_tell": one.would_tell, "more_would_tell": one.more}
            for one in telling(records)
        },
        "remarks": [_remark(one) for one in records.remarks],
    }


def _remark(one: Remark) -> dict[str, Any]:
    return {
        "file": one.file,
        "line": one.line or None,
        "column": one.column,
        "found": one.found,
        "done": one.done,
    }
