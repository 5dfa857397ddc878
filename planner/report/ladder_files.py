"""The ladder as files: a table, and all of it to be read back; and as the document of its command.

In: a ``Ladder`` and a folder. Out: the files, or a ladder read back; plain mappings. Must not know: how it was found.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any, Final

from planner.report.csv_text import Cell, csv_bytes
from planner.report.documents import plain, said, scenario_of
from planner.report.folder import write_folder
from planner.report.kept import Kept
from planner.report.ladder_words import answer, asides, step_name, step_words, stop_here
from planner.study.ladder import Ladder, Rung

TABLE, FILE = "ladder.csv", "ladder.json"

COLUMNS: Final = (
    "step", "options", "taken", "cost", "spent", "left", "gain_mean", "gain_low", "gain_high", "altogether_mean",
    "altogether_low", "altogether_high", "money_difference", "hours_difference_h", "profit", "profit_after_hours",
    "hours_a_week", "exposure_h", "hour_price_low", "hour_price_high", "payback_months", "cheaper_options",
    "cheaper_cost", "cheaper_gain_mean", "cheaper_gain_low", "cheaper_gain_high",
)  # fmt: skip


_KEPT: Final = Kept(Ladder, "climb it again with planner ladder")


def save_ladder(found: Ladder, folder: Path) -> tuple[Path, ...]:
    """Write the table and what the ladder can be read back from.

    Raises
    ------
    planner.report.folder.OutputError
        In one plain sentence.
    """
    return write_folder(folder, {TABLE: csv_bytes(COLUMNS, _rows(found)), FILE: _KEPT.written(found)})


def read_ladder(folder: Path) -> Ladder | None:
    """Read a ladder back; None where the folder has none.

    Raises
    ------
    planner.report.folder.StoredError
        It cannot be read: damaged, or another version wrote it.
    """
    return _KEPT.read(folder / FILE)


def ladder_document(found: Ladder, files: Sequence[Path] = ()) -> dict[str, Any]:
    """The document of ``planner ladder``."""
    subject = found.subject
    left_out = {"subject", "inputs", "failures", "cautions", "warnings"}
    return {
        "scenario": scenario_of(subject),
        "seed": subject.seed,
        "set": list(found.inputs),
        "confidence": subject.confidence,
        "worth_caring_about": subject.worth_caring_about,
        "fresh_worlds": subject.replicates,
        "advice": list(answer(found)),
        "stay_if": stop_here(found, 0),
        "steps": [list(step_words(found, row)) for row in range(len(found.rungs))],
        "asides": list(asides(found)),
        **{one.name: plain(getattr(found, one.name)) for one in fields(found) if one.name not in left_out},
        "failures": plain(found.failures),
        "files": [str(path) for path in files],
        **said(found.warnings, found.cautions),
    }


def _rows(found: Ladder) -> Iterator[tuple[Cell, ...]]:
    """A row a step, today first as step 0; the step that was looked at last and not taken has no number."""
    today = found.today
    yield (
        0, found.subject.base, "yes", 0.0, 0.0, found.sum, *[None] * 8, today.money, today.after_hours,
        today.hours_a_week, today.exposure_h, *[None] * 8,
    )  # fmt: skip
    for number, rung in enumerate(found.rungs, 1):
        yield _row(number, rung)
    if found.stop.looked_at is not None:
        yield _row(None, found.stop.looked_at)


def _row(number: int | None, rung: Rung) -> tuple[Cell, ...]:
    gain, total, after, less = rung.gain, rung.altogether, rung.after, rung.cheaper
    instead: tuple[Cell, ...] = (
        (None,) * 5
        if less is None
        else (step_name(less.options), less.cost, less.gain.mean, less.gain.low, less.gain.high)
    )
    return (
        number, step_name(rung.options), "no" if number is None else "yes", rung.cost, rung.spent, rung.left,
        gain.mean, gain.low, gain.high, total.mean, total.low, total.high, rung.money, rung.hours, after.money,
        after.after_hours, after.hours_a_week, after.exposure_h, rung.hour_price_low, rung.hour_price_high,
        rung.payback_months, *instead,
    )  # fmt: skip
