"""A study as files that other programs read.

In: a ``Study`` and a folder. Out: the files. Must not know: how they were computed.

``runs.csv``, ``options.csv``, ``failures.csv`` and ``manifest.json`` hold no clock times and no names of workers: the
same scenario, seed and versions give the same bytes.
"""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any, Final

from planner.report.csv_text import csv_bytes
from planner.report.folder import write_folder
from planner.study import Study, tables

MANIFEST: Final = "manifest.json"


def save_study(study: Study, folder: Path) -> tuple[Path, ...]:
    """Write a study's tables and its manifest.

    Raises
    ------
    planner.report.folder.OutputError
        In one plain sentence.
    """
    made = {
        "runs.csv": tables.runs(study),
        "options.csv": tables.options(study),
        "failures.csv": tables.failures(study),
    }
    files = {name: csv_bytes(table.columns, table.rows) for name, table in made.items()}
    manifest = manifest_of(study, {name: len(table.rows) for name, table in made.items()}, files)
    files[MANIFEST] = json_bytes(manifest)
    return write_folder(folder, files)


def manifest_of(study: Study, rows: dict[str, int], files: dict[str, bytes]) -> dict[str, Any]:
    """What the files were made from, and what is in them."""
    subject, kinds = study.subject, [one.kind for one in study.failures]
    runs = len(study.options) * len(study.outlooks) * subject.replicates
    return {
        "title": subject.title,
        "scenario": subject.file,
        "scenario_digest": subject.digest,
        "seed": subject.seed,
        "replicates": subject.replicates,
        "confidence": subject.confidence,
        "worth_caring_about": subject.worth_caring_about,
        "currency": subject.currency,
        "base": subject.base,
        "options": list(study.names),
        "outlooks": list(study.outlooks),
        "runs": {
            "ok": runs - len(kinds),
            "failed": kinds.count("failed"),
            "crashed": kinds.count("crashed"),
        },
        "versions": dict(subject.versions),
        "resolved": dict(subject.resolved),
        "measures": [one._asdict() for one in study.measures],
        "files": {
            name: {"rows": rows[name], "sha256": hashlib.sha256(content).hexdigest()}
            for name, content in files.items()
        },
    }


def json_bytes(document: Any) -> bytes:
    """A document as it is written to a file."""
    return (json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n").encode()
