"""Known answers beside what came out, as text that fits a terminal of 80 columns, and as one JSON document.

In: rows of `planner.testing`. Out: things that rich prints, plain mappings. Must not know: how the rows were found.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from math import floor, log10
from typing import Any, Final

from rich import box
from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from planner.report.documents import plain
from planner.report.phrases import counted
from planner.scenario import Scenario
from planner.testing.rows import FALSE_ALARM, Row

DIGITS: Final = 5
CASE_WIDTH: Final = 28
COLUMNS: Final = (("Expected", 9), ("Got", 9), ("St. err.", 8), ("z", 4), ("Src", 3))


def verification(scenario: Scenario, rows: Sequence[Row]) -> Iterator[RenderableType]:
    """A table of all rows, where each answer is known from, and how many agree."""
    sources = {source: n for n, source in enumerate(dict.fromkeys(row.source for row in rows), 1)}
    yield _table(rows, sources)
    yield Text("")
    yield Text("Sources", style="bold")
    listed = Table.grid(padding=(0, 1, 0, 0))
    listed.add_column(justify="right", min_width=3)
    for source, n in sources.items():
        listed.add_row(str(n), Text(source))
    yield listed
    failed = [row for row in rows if not row.ok]
    yield Text("")
    yield Text(
        f"Watched for Little's law and for its books: {scenario.title}. Seeds are fixed. Where chance is in a "
        "figure, it may lie so many standard errors off that all rows together raise a false alarm once in "
        f"{1.0 / FALSE_ALARM:.0f} seeds; elsewhere it must agree as far as its source is exact."
    )
    yield Text("")
    agree = len(rows) - len(failed)
    yield Text(f"{agree} of {counted(len(rows), 'known answer')} agree.", style="bold")
    for row in failed:
        yield Text(
            f"FAILED: {row.case}: {figure(row.got)} instead of {figure(row.expected)}, "
            f"allowed {figure(row.allowed, 2)}"
        )


def _table(rows: Sequence[Row], sources: dict[str, int]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False)
    table.add_column(Text("Case"), min_width=CASE_WIDTH, max_width=CASE_WIDTH)
    for head, width in COLUMNS:
        table.add_column(Text(head), justify="right", no_wrap=True, min_width=width)
    table.add_column(Text(""), no_wrap=True)
    for family, those in groupby(rows, key=lambda row: row.family):
        table.add_row(Text(family, style="bold"))
        for row in those:
            table.add_row(
                Text(f"{row.case} [{row.unit}]" if row.unit else row.case),
                figure(row.expected),
                figure(row.got),
                "" if row.standard_error is None else figure(row.standard_error, 2),
                _deviation(row.z),
                str(sources[row.source]),
                row.verdict,
                style="" if row.ok else "bold red",
            )
        table.add_section()
    return table


def _deviation(z: float | None) -> str:
    if z is None:
        return ""
    return f"{z:+.1f}" if abs(z) < 10.0 else f"{z:+.0f}" if abs(z) < 1000.0 else f"{z:+.0e}"


def figure(value: float, digits: int = DIGITS) -> str:
    """A number with so many digits that count."""
    if value == 0.0:
        return "0"
    size = floor(log10(abs(value)))
    if -4 <= size < DIGITS + 2:
        text = f"{value:.{max(0, digits - 1 - size)}f}"
        return text.rstrip("0").rstrip(".") if "." in text else text
    return f"{value:.1e}"


def verification_document(scenario: Scenario, rows: Sequence[Row]) -> dict[str, Any]:
    """The document of ``planner verify``."""
    return {
        "scenario": {"title": scenario.title, "file": scenario.path.name, "digest": scenario.digest},
        "rows": [plain(row) for row in rows],
        "failed": sum(not row.ok for row in rows),
        "false_alarm": FALSE_ALARM,
    }
