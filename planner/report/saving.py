"""A study as files that other programs read, and its page.

In: a ``Study`` and a folder. Out: the files, or a study read back from them. Must not know: how they were computed.

``index.html``, ``runs.csv``, ``options.csv``, ``months.csv``, ``failures.csv``, ``study.json`` and ``manifest.json``
hold no clock times and no names of workers: the same scenario, seed and versions give the same bytes. The manifest
knows the digest of every other file and is put in place last.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, Final

from planner.report.csv_text import csv_bytes
from planner.report.documents import plain
from planner.report.folder import StoredError, read_stored, write_folder
from planner.report.own import MANIFEST
from planner.report.page.build import page
from planner.report.stored import AGAIN, KEPT, MONTHS, RUNS, stored, study_of
from planner.report.what_if import sections
from planner.scenario.wording import shown
from planner.study import Study, tables

PAGE: Final = "index.html"


def save_study(study: Study, folder: Path) -> tuple[Path, ...]:
    """Write a study's page, its tables, what it can be read back from, and its manifest.

    Raises
    ------
    planner.report.folder.OutputError
        In one plain sentence.
    """
    made = {
        "options.csv": tables.options(study),
        "confirmed.csv": tables.options(study, "confirmation"),
        "spread.csv": tables.spread(study),
        "failures.csv": tables.failures(study),
    }
    if study.unknowns is not None:
        made["estimates.csv"] = tables.unknowns(study)
    if study.origins is not None:
        made["origins.csv"] = tables.origins(study)
    files = {PAGE: page(study, what_if=sections(folder, study.subject))} | {
        name: csv_bytes(table.columns, table.rows) for name, table in made.items()
    }
    files |= stored(study)
    return write_folder(folder, files | {MANIFEST: json_bytes(manifest_of(study, files))})


def kept_of(files: Iterable[Path]) -> dict[str, bytes]:
    """What of a study's files it can be read back from, by name."""
    return {file.name: file.read_bytes() for file in files if file.name in (RUNS, MONTHS, KEPT)}


def write_page(content: bytes, place: Path) -> Path:
    """Write one page as a file of its own, whole or not at all.

    Raises
    ------
    planner.report.folder.OutputError
        In one plain sentence.
    """
    return write_folder(place.parent, {place.name: content})[0]


def redraw(folder: Path) -> tuple[Study, Path]:
    """Write a stored study's page anew, and its digest into the manifest; nothing is played.

    Returns
    -------
    Study
        What was read.
    Path
        The page.

    Raises
    ------
    planner.report.folder.StoredError
        There is no study in the folder, or it was changed or damaged.
    planner.report.folder.OutputError
        The page cannot be written.
    """
    study = read_study(folder)
    content = page(study, what_if=sections(folder, study.subject))
    manifest = json.loads(read_stored(folder / MANIFEST))
    manifest["files"][PAGE] = _told(content)
    return study, write_folder(folder, {PAGE: content, MANIFEST: json_bytes(manifest)})[0]


def tell_beside(files: tuple[Path, ...]) -> tuple[Path, ...]:
    """Draw the page of the study that lies beside these files anew, so that it tells what they hold.

    Returns
    -------
    tuple of Path
        The files, and the page if there is a whole study.

    Raises
    ------
    planner.report.folder.OutputError
        The page cannot be written.
    """
    try:
        return (*files, redraw(files[0].parent)[1])
    except StoredError:
        return files


def read_study(folder: Path) -> Study:
    """Read a study back from the folder that it was written to.

    Raises
    ------
    planner.report.folder.StoredError
        There is no study in the folder, or it was changed or damaged.
    """
    if not folder.exists():
        raise StoredError(f"there is no folder {folder}; planner compare FILE writes one")
    try:
        manifest = json.loads(read_stored(folder / MANIFEST))
        digests = {Path(name).name: one["sha256"] for name, one in manifest["files"].items()}
        content = {name: read_stored(folder / name) for name in {*digests, KEPT, RUNS, MONTHS} - {PAGE}}
    except OSError as error:
        raise StoredError(
            f"{folder} holds no whole study ({error.strerror}: {shown(Path(error.filename or folder).name)}); "
            "planner compare FILE writes one"
        ) from error
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise StoredError(f"{folder / MANIFEST} is damaged; {AGAIN}") from error
    return study_of(content, digests)


def manifest_of(study: Study, files: Mapping[str, bytes]) -> dict[str, Any]:
    """What the files were made from, and what is in them."""
    subject, kinds = study.subject, [one.kind for one in study.failures]
    return {
        "title": subject.title,
        "scenario": subject.file,
        "scenario_digest": subject.digest,
        "seed": subject.seed,
        "replicates": subject.replicates,
        "repeatable": study.choice is None or study.choice.budget.repeatable,
        "choice": plain(study.choice),
        "confidence": subject.confidence,
        "worth_caring_about": subject.worth_caring_about,
        "currency": subject.currency,
        "base": subject.base,
        "options": list(study.names),
        "outlooks": list(study.outlooks),
        "runs": {
            "ok": study.runs_played - len(kinds),
            "failed": kinds.count("failed"),
            "crashed": kinds.count("crashed"),
        },
        "versions": dict(subject.versions),
        "resolved": dict(subject.resolved),
        "measures": [one._asdict() for one in study.measures],
        "files": {name: {"sha256": hashlib.sha256(content).hexdigest()} for name, content in files.items()},
    }


def _told(content: bytes) -> dict[str, str]:
    """What the manifest says of a file."""
    return {"sha256": hashlib.sha256(content).hexdigest()}


def json_bytes(document: Any) -> bytes:
    """A document as it is written to a file."""
    return (json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n").encode()
