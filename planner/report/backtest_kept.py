"""A look back as files: its page, every week as a table, all of it as a document.

In: a ``Backtest`` and a folder. Out: the files. Must not know: how it was found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any, Final

from planner.fit.backtest import Backtest
from planner.report.backtest_asides import minds, read_as, starts_from
from planner.report.backtest_page import page
from planner.report.backtest_rows import COLUMNS, cells
from planner.report.backtest_words import answers
from planner.report.csv_text import csv_bytes
from planner.report.documents import plain
from planner.report.folder import write_folder
from planner.report.saving import json_bytes
from planner.trade.safety import DEFERENCE

PAGE, TABLE, DOCUMENT = "backtest.html", "backtest.csv", "backtest.json"
SCENARIO: Final = "scenario"
"""What of where it started is no plain value."""


def save_backtest(found: Backtest, folder: Path) -> tuple[Path, ...]:
    """Write the page, the table and the document.

    Raises
    ------
    planner.report.folder.OutputError
        In one plain sentence.
    """
    return write_folder(
        folder,
        {
            PAGE: page(found),
            TABLE: csv_bytes(COLUMNS, cells(found)),
            DOCUMENT: json_bytes(backtest_document(found)),
        },
    )


def backtest_document(found: Backtest, files: Sequence[Path] = ()) -> dict[str, Any]:
    """The document of ``planner backtest``."""
    values = {one.name: getattr(found, one.name) for one in fields(found)}
    stood = values.pop("stood")
    return {
        **plain(values),
        "stood": {one.name: plain(getattr(stood, one.name)) for one in fields(stood) if one.name != SCENARIO},
        "from": list(starts_from(found)),
        "minds": list(minds(found)),
        "answers": plain(answers(found)),
        "read_as": read_as(found),
        "files": [str(path) for path in files],
        "deference": DEFERENCE,
    }
