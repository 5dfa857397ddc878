"""What to grow first, as files: tables, and everything so that it can be told again without playing anything.

In: a ``Growth`` and a folder. Out: ``grow.csv`` (a row an increment), ``grow-limits.csv`` (a row a limit: free hours
lost to it [h]) and ``grow.json``, or the same ``Growth`` read back; a document.
Must not know: how it was computed.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from planner.report.csv_text import Cell, csv_bytes
from planner.report.documents import plain, said, scenario_of
from planner.report.folder import write_folder
from planner.report.grow_words import advice, held_back
from planner.report.kept import Kept
from planner.study import Interval
from planner.study.growth import Growth, Worth

TABLE, LIMITS, FILE = "grow.csv", "grow-limits.csv", "grow.json"
COLUMNS: Final = (
    "key", "limit", "name", "words", "set", "amount", "unit", "verdict",
    "gain_mean", "gain_low", "gain_high", "profit_mean", "profit_low", "profit_high",
    "per_unit_mean", "per_unit_low", "per_unit_high", "hours_mean", "hours_low", "hours_high",
    "cost", "priced_by", "per_money_mean", "per_money_low", "per_money_high", "worlds", "lost_hours",
    "payback_months", "allowed", "lopsided",
)  # fmt: skip
LOST_COLUMNS: Final = ("limit", "words", "hours_mean", "hours_low", "hours_high", "worlds")


_KEPT: Final = Kept(Growth, "ask planner grow again")


def save_growth(found: Growth, folder: Path) -> tuple[Path, ...]:
    """Write the tables, and what it can be read back from.

    Raises
    ------
    planner.report.folder.OutputError
        In one plain sentence.
    """
    rows = [_row(found, one) for one in found.worths]
    lost = [(one.limit, one.words, *_ends(one.hours), one.hours.n) for one in found.lost]
    tables = {TABLE: csv_bytes(COLUMNS, rows), LIMITS: csv_bytes(LOST_COLUMNS, lost)}
    return write_folder(folder, {**tables, FILE: _KEPT.written(found)})


def read_growth(folder: Path) -> Growth | None:
    """Read it back from the folder that it was written to; None where it was never asked for.

    Raises
    ------
    planner.report.folder.StoredError
        The file is damaged, or another version wrote it.
    """
    return _KEPT.read(folder / FILE)


def growth_document(found: Growth, files: Sequence[Path] = ()) -> dict[str, Any]:
    """The document of ``planner grow``."""
    subject, first = found.subject, found.first
    return {
        "scenario": scenario_of(subject),
        "option": found.option,
        "seed": subject.seed,
        "worlds": subject.replicates,
        "confidence": subject.confidence,
        "advice": list(advice(found)),
        "first": None if first is None else first.key,
        "level_with_first": list(found.level_with_first),
        "held_back": held_back(found),
        "money": plain(found.money),
        "profit": plain(found.profit),
        "free_hours": plain(found.free_hours),
        "lost": plain(found.lost),
        "worths": [plain(one) | {"cost": plain(one.cost)} for one in found.worths],
        "left_out": plain(found.left_out),
        "refused": plain(found.refusals),
        "failures": plain(found.failures),
        "files": [str(path) for path in files],
        **said(found.warnings, found.cautions),
    }


def _row(found: Growth, one: Worth) -> list[Cell]:
    ends = [_ends(each) for each in (one.gain, one.profit, one.per_unit, one.hours)]
    paid = one.per_money
    return [
        one.key,
        one.limit,
        one.name,
        one.words,
        "; ".join(one.inputs),
        one.amount,
        one.unit,
        one.verdict,
        *(end for each in ends for end in each),
        one.cost,
        None if one.price is None else one.price.option,
        *((None, None, None) if paid is None else _ends(paid)),
        one.gain.n,
        found.lost_to(one.limit) if one.limit else None,
        one.payback_months,
        int(one.allowed),
        int(one.lopsided),
    ]


def _ends(found: Interval) -> tuple[float, float, float]:
    return found.mean, found.low, found.high
