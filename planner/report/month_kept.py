"""A month as files: its page, its figures as a table, and what it can be read back from.

In: a ``Month`` and a folder. Out: the files, or the same ``Month``. Must not know: how it was found.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from planner.report.csv_text import csv_bytes
from planner.report.documents import plain
from planner.report.folder import write_folder
from planner.report.kept import Kept
from planner.report.month_page import page
from planner.report.month_rows import COLUMNS, cells
from planner.report.month_words import answers, minds, read_as, starts_from
from planner.study.month.answers import Month
from planner.trade.safety import DEFERENCE

FILE, PAGE, TABLE = "month.json", "month.html", "month.csv"
KEPT: Final = Kept(Month, "ask planner month again")


def save_month(month: Month, folder: Path) -> tuple[Path, ...]:
    """Write the page, the table and what the month can be read back from.

    Raises
    ------
    planner.report.folder.OutputError
        In one plain sentence.
    """
    table = csv_bytes(COLUMNS, cells(month))
    return write_folder(folder, {PAGE: page(month), TABLE: table, FILE: KEPT.written(month)})


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
