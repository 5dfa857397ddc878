"""Stress as files: a table, a document that it can be read back from, and what the command prints as JSON.

In: a ``Stress``. Out: files by name as bytes, the same ``Stress`` again, plain mappings. Must not know: folders, pages.

The standing questions, one range, and a map have names of their own, so that none replaces another in its folder.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from planner.report.csv_text import Cell, csv_bytes
from planner.report.documents import plain, said, scenario_of
from planner.report.folder import write_folder
from planner.report.kept import Kept
from planner.report.stress_answers import sentences
from planner.study.along import Along
from planner.study.stress import BestMap, Stress

STANDING: Final = "stress"
RANGE: Final = "stress-range"
MAP: Final = "stress-map"

ALONG_COLUMNS: Final = (
    "input", "unit", "at", "option", "state",
    "mean", "low", "high", "difference_mean", "difference_low", "difference_high", "best", "sure",
)  # fmt: skip
MAP_COLUMNS: Final = (
    "input", "at", "other_input", "other_at", "best", "sure",
    "difference_mean", "difference_low", "difference_high",
)  # fmt: skip


_KEPT: Final = Kept(Stress, "play it again with planner stress")


def stem(stress: Stress) -> str:
    """What its files are called."""
    return STANDING if stress.answers else MAP if stress.map is not None else RANGE


def save_stress(stress: Stress, folder: Path) -> tuple[Path, ...]:
    """Write its table, and what it can be read back from.

    Raises
    ------
    planner.report.folder.OutputError
        In one plain sentence.
    """
    name = stem(stress)
    rows = map_rows(stress.map) if stress.map is not None else along_rows(stress.alongs)
    columns = ALONG_COLUMNS if stress.map is None else MAP_COLUMNS
    return write_folder(
        folder, {f"{name}.csv": csv_bytes(columns, rows), f"{name}.json": _KEPT.written(stress)}
    )


def read_stress(folder: Path, name: str = STANDING) -> Stress | None:
    """Read one back, the answers to the standing questions unless another is named; None where the folder has none.

    Raises
    ------
    planner.report.folder.StoredError
        The file is damaged, or another version wrote it.
    """
    return _KEPT.read(folder / f"{name}.json")


def along_rows(alongs: Sequence[Along]) -> Iterator[tuple[Cell, ...]]:
    """One row an input, point and option: how it stands, its level and its paired difference to the base."""
    for along in alongs:
        states = {(gap.option, x): gap.state for gap in along.gaps for x in gap.at}
        for p, best in enumerate(along.best):
            for one in along.courses:
                level, gain = one.levels[p], one.gains[p]
                yield (
                    along.axis.label,
                    along.axis.unit,
                    best.x,
                    one.option,
                    states.get((one.option, best.x), "played"),
                    *(level.mean, level.low, level.high, gain.mean, gain.low, gain.high),
                    int(one.option == best.option),
                    int(one.option == best.option and best.sure),
                )


def map_rows(found: BestMap) -> Iterator[tuple[Cell, ...]]:
    """One row a place: the best option there, and its paired difference to the base."""
    across, up = found.axes
    for cell in found.cells:
        gain = cell.best.gain
        yield (
            across.label,
            cell.x,
            up.label,
            cell.y,
            cell.best.option,
            int(cell.best.sure),
            *(gain.mean, gain.low, gain.high),
        )


def stress_document(stress: Stress, files: Sequence[Path] = ()) -> dict[str, Any]:
    """The document of ``planner stress``."""
    subject = stress.subject
    return {
        "scenario": scenario_of(subject),
        "seed": subject.seed,
        "confidence": subject.confidence,
        "outlook": stress.outlook,
        "options": list(stress.options),
        "says": list(sentences(stress)),
        "answers": plain(stress.answers),
        "along": plain(stress.alongs),
        "map": plain(stress.map),
        "runs": stress.runs,
        "failures": plain(stress.failures),
        **said(stress.warnings, stress.cautions),
        "files": [str(path) for path in files],
    }
