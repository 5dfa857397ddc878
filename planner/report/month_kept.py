"""A month as files: its page, its figures as a table, and what it can be read back from.

In: a ``Month`` and a folder. Out: the files, or the same ``Month``. Must not know: how it was found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar, Final

from pydantic import ConfigDict, TypeAdapter, ValidationError

from planner.report.csv_text import csv_bytes
from planner.report.documents import plain
from planner.report.folder import StoredError, write_folder
from planner.report.month_page import page
from planner.report.month_rows import COLUMNS, cells
from planner.report.month_words import answers, minds, read_as, starts_from
from planner.study.month.answers import Month
from planner.trade.safety import DEFERENCE

KEPT, PAGE, TABLE = "month.json", "month.html", "month.csv"
FORMAT: Final = 1
"""Of ``month.json``; another number is not read."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """What the file holds."""

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(ser_json_inf_nan="strings")

    format: int
    month: Month


_DOCUMENT: Final[TypeAdapter[_Kept]] = TypeAdapter(_Kept)


def save_month(month: Month, folder: Path) -> tuple[Path, ...]:
    """Write the page, the table and what the month can be read back from.

    Raises
    ------
    planner.report.folder.OutputError
        In one plain sentence.
    """
    kept = _DOCUMENT.dump_json(_Kept(FORMAT, month), indent=1) + b"\n"
    return write_folder(folder, {PAGE: page(month), TABLE: csv_bytes(COLUMNS, cells(month)), KEPT: kept})


def read_month(folder: Path) -> Month:
    """Read a month back from the folder that it was written to.

    Raises
    ------
    planner.report.folder.StoredError
        There is none, or another version wrote it.
    """
    again = "planner month FILE writes one"
    try:
        kept = _DOCUMENT.validate_json((folder / KEPT).read_bytes())
    except OSError as error:
        raise StoredError(f"{folder} holds no {KEPT} ({error.strerror}); {again}") from error
    except ValidationError as error:
        raise StoredError(
            f"{folder / KEPT} is damaged, or another version of planner wrote it; {again}"
        ) from error
    if kept.format != FORMAT:
        raise StoredError(
            f"{folder / KEPT} has format {kept.format}, and this planner reads {FORMAT}; {again}"
        )
    return kept.month


def month_document(month: Month, files: Sequence[Path] = ()) -> dict[str, Any]:
    """The document of ``planner month``."""
    return {
        **plain(month),
        "from": list(starts_from(month)),
        "read_as": read_as(month),
        "minds": list(minds(month)),
        "answers": plain(answers(month)),
        "files": [str(path) for path in files],
        "deference": DEFERENCE,
    }
