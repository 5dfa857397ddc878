"""Runs without a result: kept and counted, each with the command that plays it again.

In: an outcome that failed. Out: ``FailedRun``. Must not know: what else was played.
"""

from __future__ import annotations

import shlex
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from planner.engine import Failure, Outcome
from planner.scenario.header import EXPECTED


@dataclass(frozen=True, slots=True)
class FailedRun:
    """One row a run without a result."""

    option: str
    outlook: str
    replicate: int
    kind: Literal["failed", "crashed"]
    summary: str
    traceback: str
    repeat: str
    """The command that plays this one run again."""


def failed_run(path: Path, seed: int, outcome: Outcome, failure: Failure) -> FailedRun:
    """The row of one failed run of a scenario file."""
    return FailedRun(
        outcome.option,
        outcome.outlook,
        outcome.replicate,
        failure.kind,
        failure.summary,
        failure.traceback,
        _repeat(path, seed, outcome),
    )


def _repeat(path: Path, seed: int, outcome: Outcome) -> str:
    here = Path.cwd()
    words = ["planner", "run", str(path.relative_to(here) if path.is_relative_to(here) else path)]
    words += ["--option", outcome.option]
    if outcome.outlook != EXPECTED:
        words += ["--outlook", outcome.outlook]
    for one in outcome.inputs:
        words += one.words
    return shlex.join([*words, "--seed", str(seed), "--replicate", str(outcome.replicate)])
