"""What the gain of an option hangs on, as files and as one JSON document.

In: ``Hinges``. Out: ``hinges.csv``, ``hinges.json``, a document; the same ``Hinges`` read back. Must not know: how it
was found.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import nan
from pathlib import Path
from typing import Any, ClassVar, Final

from pydantic import ConfigDict, TypeAdapter, ValidationError

from planner import __version__
from planner.report.csv_text import Cell, csv_bytes
from planner.report.documents import plain
from planner.report.folder import StoredError, write_folder
from planner.report.hinges_words import hinges_words
from planner.study.hinge import Hinges

TABLE, KEPT = "hinges.csv", "hinges.json"
FORMAT: Final = 1
"""Of ``hinges.json``; another number is not read."""

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


@dataclass(frozen=True, slots=True)
class _Kept:
    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(ser_json_inf_nan="strings")

    format: int
    planner: str
    hinges: Hinges


_DOCUMENT: Final[TypeAdapter[_Kept]] = TypeAdapter(_Kept)


def save_hinges(found: Hinges, folder: Path) -> tuple[Path, ...]:
    """Write the table, and what it can be read back from.

    Raises
    ------
    planner.report.folder.OutputError
        In one plain sentence.
    """
    kept = _Kept(FORMAT, __version__, found)
    files = {TABLE: csv_bytes(COLUMNS, rows(found)), KEPT: _DOCUMENT.dump_json(kept, indent=1) + b"\n"}
    return write_folder(folder, files)


def read_hinges(folder: Path) -> Hinges | None:
    """What was found, as it was written; None where nothing was.

    Raises
    ------
    planner.report.folder.StoredError
        Another version wrote it, or it was damaged.
    """
    try:
        content = (folder / KEPT).read_bytes()
    except FileNotFoundError:
        return None
    try:
        kept = _DOCUMENT.validate_json(content)
    except ValidationError as error:
        raise StoredError(
            f"{folder / KEPT} was written by another version of planner, or is damaged; write it again with planner "
            "hinges"
        ) from error
    if kept.format != FORMAT:
        raise StoredError(f"{folder / KEPT} has format {kept.format}, and this planner reads {FORMAT}")
    return kept.hinges


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
    subject = found.subject
    document: dict[str, Any] = plain(found)
    document["subject"] = {
        "title": subject.title,
        "file": subject.file,
        "digest": subject.digest,
        "currency": subject.currency,
        "seed": subject.seed,
        "versions": dict(subject.versions),
    }
    document["where"] = found.flips.where if found.flips else None
    document["more_of_it"] = {one.name: one.direction for one in found.hinges}
    return {"words": list(hinges_words(found)), **document, "files": [str(path) for path in files]}
