"""What the gain of an option hangs on, as files and as one JSON document.

In: ``Hinges``. Out: ``hinges.csv``, ``hinges.json``, a document; the same ``Hinges`` read back. Must not know: how it
was found.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields
from math import nan
from pathlib import Path
from typing import Any, Final

from planner.report.csv_text import Cell, csv_bytes
from planner.report.documents import plain, said, scenario_of
from planner.report.folder import write_folder
from planner.report.hinges_words import hinges_words
from planner.report.kept import Kept
from planner.study.hinge import Hinges

TABLE, FILE = "hinges.csv", "hinges.json"

COLUMNS: Final = (
    "input",
    "way",
    "unit",
    "low",
    "high",
    "today",
    "effect",
    "effect_mean",
    "effect_sd",
    "more_of_it",
    "alone_share",
    "alone_low",
    "alone_high",
    "total_share",
    "total_low",
    "total_high",
    "flips_above",
    "flips_below",
)


_KEPT: Final = Kept(Hinges, "look again with planner hinges")


def save_hinges(found: Hinges, folder: Path) -> tuple[Path, ...]:
    """Write the table, and what it can be read back from.

    Raises
    ------
    planner.report.folder.OutputError
        In one plain sentence.
    """
    return write_folder(folder, {TABLE: csv_bytes(COLUMNS, rows(found)), FILE: _KEPT.written(found)})


def read_hinges(folder: Path) -> Hinges | None:
    """What was found, as it was written; None where nothing was.

    Raises
    ------
    planner.report.folder.StoredError
        Another version wrote it, or it was damaged.
    """
    return _KEPT.read(folder / FILE)


def rows(found: Hinges) -> Iterator[tuple[Cell, ...]]:
    """One row an input."""
    box = {one.hinge: one for one in found.flips.limits} if found.flips else {}
    for number, one in enumerate(found.hinges):
        effect = (one.effect.size, one.effect.mean, one.effect.spread) if one.effect else (None,) * 3
        first, total = (one.shares.first, one.shares.total) if one.shares else (None, None)
        limit = box.get(number)
        yield (
            one.name,
            one.way,
            one.unit,
            one.low,
            one.high,
            nan if one.today is None else one.today,
            *effect,
            one.direction if one.effect else None,
            *(
                cell
                for part in (first, total)
                for cell in ((part.mean, part.low, part.high) if part else (None,) * 3)
            ),
            limit.low if limit else None,
            limit.high if limit else None,
        )


def hinges_document(found: Hinges, files: Sequence[Path] = ()) -> dict[str, Any]:
    """The document of ``planner hinges``."""
    left_out = {"subject", "cautions", "warnings"}
    return {
        "scenario": scenario_of(found.subject),
        "seed": found.subject.seed,
        "worlds": found.subject.replicates,
        "words": list(hinges_words(found)),
        **{one.name: plain(getattr(found, one.name)) for one in fields(found) if one.name not in left_out},
        "where": found.flips.where if found.flips else None,
        "more_of_it": {one.name: one.direction for one in found.hinges},
        "files": [str(path) for path in files],
        **said(found.warnings, found.cautions),
    }
