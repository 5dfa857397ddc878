"""A study kept in its folder, so that it can be told again without playing anything.

In: a ``Study``, or the files that one was written to. Out: those files as bytes, or the same ``Study`` to the bit.
Must not know: where files lie; words, pages.

``runs.csv`` holds every run's measures, ``months.csv`` the months, ``study.json`` all else.
"""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar, Final

import numpy as np
from pydantic import ConfigDict, TypeAdapter, ValidationError

from planner import __version__
from planner.report.csv_text import csv_bytes, written
from planner.report.folder import StoredError
from planner.scenario.origins import Origins
from planner.study import Study, tables
from planner.study.choice import Choice
from planner.study.failures import FailedRun
from planner.study.findings import Findings
from planner.study.intervals import FloatArray
from planner.study.monthly import MonthFigure, Monthly
from planner.study.outlooks import Refused
from planner.study.picture import Picture
from planner.study.sample import Sample
from planner.study.study import Candidate, Measure, Purpose, Subject
from planner.study.unknown import Unknowns
from planner.trade.safety import Caution

RUNS, MONTHS, KEPT = "runs.csv", "months.csv", "study.json"
AGAIN: Final = "play it again with planner compare"
LARGEST: Final = 1e30
"""What is larger, or without end, is no figure of a business."""
FORMAT: Final = 2
"""Of ``study.json``; another number is not read."""


@dataclass(frozen=True, slots=True)
class _Shape:
    """Whose rows of the table of runs belong together."""

    used_for: Purpose
    options: tuple[str, ...]
    outlooks: tuple[str, ...]
    first_world: int
    worlds: int
    rows: tuple[tuple[int, ...], ...]
    """How many there are of each option under each outlook."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """Everything of a study that no table holds."""

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(ser_json_inf_nan="strings")

    format: int
    planner: str
    subject: Subject
    options: tuple[Candidate, ...]
    outlooks: tuple[str, ...]
    measures: tuple[Measure, ...]
    failures: tuple[FailedRun, ...]
    refusals: tuple[Refused, ...]
    findings: Findings
    cautions: tuple[Caution, ...]
    warnings: tuple[str, ...]
    months: tuple[str, ...]
    figures: tuple[MonthFigure, ...]
    pictures: tuple[Picture, ...]
    choice: Choice | None
    samples: tuple[_Shape, ...]
    origins: Origins | None = None
    unknowns: Unknowns | None = None


_DOCUMENT: Final[TypeAdapter[_Kept]] = TypeAdapter(_Kept)


def stored(study: Study) -> dict[str, bytes]:
    """The files that a study can be read back from, by name."""
    runs, months = tables.runs(study), tables.months(study)
    kept = _Kept(
        FORMAT,
        __version__,
        study.subject,
        study.options,
        study.outlooks,
        study.measures,
        study.failures,
        tuple(Refused(name, outlook, broken) for (name, outlook), broken in study.refusals.items()),
        study.findings,
        study.cautions,
        study.warnings,
        study.months.months if study.months else (),
        study.months.figures if study.months else (),
        study.pictures,
        study.choice,
        tuple(
            _Shape(
                purpose,
                one.options,
                one.outlooks,
                one.first_world,
                one.worlds,
                tuple(map(tuple, tables.played(study, one).sum(axis=-1).tolist())),
            )
            for purpose, one in study.samples.items()
        ),
        study.origins,
        study.unknowns,
    )
    return {
        RUNS: csv_bytes(runs.columns, runs.rows),
        MONTHS: csv_bytes(months.columns, months.rows),
        KEPT: _DOCUMENT.dump_json(kept, indent=1) + b"\n",
    }


def study_of(files: Mapping[str, bytes], digests: Mapping[str, str]) -> Study:
    """Read a study back.

    Parameters
    ----------
    files : mapping of str to bytes
        ``runs.csv``, ``months.csv`` and ``study.json``; what else is there is only checked.
    digests : mapping of str to str
        What the manifest says that their sha256 is.

    Raises
    ------
    StoredError
        A file was changed or damaged, or another version wrote it.
    """
    for name in files:
        if hashlib.sha256(files[name]).hexdigest() != digests.get(name):
            raise StoredError(f"{name} is not what manifest.json says it was: changed or damaged; {AGAIN}")
    try:
        kept = _DOCUMENT.validate_json(files[KEPT])
    except ValidationError as error:
        raise StoredError(f"{KEPT} was written by another version of planner; {AGAIN}") from error
    if kept.format != FORMAT:
        raise StoredError(f"{KEPT} has format {kept.format}, and this planner reads {FORMAT}; {AGAIN}")
    try:
        samples, months = _samples(kept, files[RUNS]), _months(kept, files[MONTHS])
    except (ValueError, TypeError, IndexError, OverflowError, csv.Error) as error:
        raise StoredError(
            f"{RUNS} or {MONTHS} does not hold the runs that {KEPT} tells of; {AGAIN}"
        ) from error
    return Study(
        kept.subject,
        kept.options,
        kept.outlooks,
        kept.measures,
        samples["comparison"].values,
        kept.failures,
        {(one.option, one.outlook): one.refusals for one in kept.refusals},
        kept.findings,
        kept.cautions,
        kept.warnings,
        months,
        kept.pictures,
        kept.choice,
        samples.get("choice"),
        samples.get("confirmation"),
        kept.origins,
        kept.unknowns,
    )


def _samples(kept: _Kept, content: bytes) -> dict[Purpose, Sample]:
    """Runs put back where they stood; nan where there is no row."""
    subject, rows, found = kept.subject, _rows(content), dict[Purpose, Sample]()
    for one in kept.samples:
        values = np.full((len(one.options), len(one.outlooks), len(kept.measures), one.worlds), np.nan)
        for o, counts in enumerate(one.rows):
            for w, count in enumerate(counts):
                names = [written(one.options[o]), written(one.outlooks[w])]
                for _ in range(count):
                    row = next(rows, [])
                    if row[:2] != names or (world := int(row[2]) - one.first_world) not in range(one.worlds):
                        raise ValueError("no run of these")
                    values[o, w, :, world] = _row_of_numbers(row[len(tables.RUN_KEYS) :])
        found[one.used_for] = Sample(
            one.options,
            one.outlooks,
            kept.measures,
            values,
            subject.base,
            subject.confidence,
            one.first_world,
        )
    if next(rows, None) is not None:
        raise ValueError("more runs than there are")
    return found


def _months(kept: _Kept, content: bytes) -> Monthly | None:
    if not kept.months:
        return None
    shape = (len(kept.options), len(kept.months), len(kept.figures), -1)
    columns = np.moveaxis(_numbers(content, 3).reshape(shape), -1, 0)
    return Monthly(kept.months, kept.figures, *columns)


def _numbers(content: bytes, names: int) -> FloatArray:
    """The numbers of a table, to the bit; its first columns are names."""
    return np.array([_row_of_numbers(row[names:]) for row in _rows(content)])


def _rows(content: bytes) -> Iterator[list[str]]:
    """Rows of a table below its header."""
    rows = csv.reader(io.StringIO(content.decode("utf-8"), newline=""))
    next(rows, None)
    return rows


def _row_of_numbers(cells: Sequence[str]) -> list[float]:
    """An empty cell is not a number."""
    found = [float(cell or "nan") for cell in cells]
    if any(abs(one) > LARGEST for one in found):
        raise ValueError("no figure of a business")
    return found
