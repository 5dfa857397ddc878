"""One run as a row of a store.

In: an outcome and its key. Out: bytes with a checksum over them, and the outcome back from these, to the bit.
Must not know: files, SQL, what the figures mean.
"""

from __future__ import annotations

import json
import struct
from array import array
from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from hashlib import sha256
from typing import NamedTuple

from planner.engine.batch import Failure, Outcome
from planner.engine.store.errors import DamagedError


class Status(IntEnum):
    """What came of a run."""

    OK = 0
    FAILED = 1
    """It raised, and will again."""
    TIMEOUT = 2
    """It took longer than it may: that may have been the machine."""
    CRASHED = 3
    """The process that played it ended."""


class Label(NamedTuple):
    """What a study calls a run, but for its world."""

    option: str
    outlook: str
    inputs: str


@dataclass(frozen=True, slots=True)
class Row:
    """What is kept of one run."""

    key: bytes
    status: Status
    measures: bytes
    """Doubles, one after the other."""
    months: bytes | None = None
    """The same; None where they were not asked for."""
    failure: str = ""
    """As JSON, with ``told``: whoever told the failure in other words would not find it here."""

    @property
    def checksum(self) -> bytes:
        """Digest of key, status and all that came of the run."""
        months = b"-" if self.months is None else self.months
        parts = (self.key, bytes([self.status]), self.measures, months, self.failure.encode())
        return sha256(struct.pack("<5q", *map(len, parts)) + b"".join(parts)).digest()

    def outcome(self, run: Outcome, *, by_month: bool, told: str) -> Outcome | None:
        """The outcome that is kept here for a run; None if that run has to be played again.

        Parameters
        ----------
        run : Outcome
            What it is called; its figures are not looked at.
        by_month : bool
            Are the figures of each month wanted?
        told : str
            What the words of a failure hang on beside the run.
        """
        if self.status is Status.OK:
            if by_month and self.months is None:
                return None
            months = _numbers(self.months or b"") if by_month else ()
            return Outcome(
                run.option, run.outlook, run.replicate, _numbers(self.measures), None, months, run.inputs
            )
        if self.status is not Status.FAILED:
            return None
        kept = json.loads(self.failure)
        if kept["told"] != told:
            return None
        failure = Failure("failed", kept["summary"], kept["traceback"])
        return Outcome(run.option, run.outlook, run.replicate, (), failure, inputs=run.inputs)

    @property
    def summary(self) -> str:
        """Why there is no result; empty where there is one."""
        return str(json.loads(self.failure)["summary"]) if self.failure else ""

    @property
    def numbers(self) -> Sequence[float]:
        """The measures."""
        return _numbers(self.measures)


def row_of(key: bytes, outcome: Outcome, *, by_month: bool, told: str) -> Row:
    """What is kept of an outcome."""
    failure = outcome.failure
    if failure is None:
        months = _bytes(outcome.months) if by_month else None
        return Row(key, Status.OK, _bytes(outcome.measures), months)
    status = Status.CRASHED if failure.kind == "crashed" else Status.FAILED
    if failure.late and status is Status.FAILED:
        status = Status.TIMEOUT
    text = json.dumps({"summary": failure.summary, "traceback": failure.traceback, "told": told})
    return Row(key, status, b"", None, text)


def row_from(
    key: bytes, status: object, measures: object, months: object, failure: object, checksum: object
) -> Row:
    """A row as it was found, once it is sure that it is what was written.

    Raises
    ------
    DamagedError
        It is not.
    """
    if (
        isinstance(status, int)
        and status in list(Status)
        and isinstance(measures, bytes)
        and (months is None or isinstance(months, bytes))
        and isinstance(failure, str)
    ):
        row = Row(key, Status(status), measures, months, failure)
        if row.checksum == checksum:
            return row
    raise DamagedError("a run is not what was written")


def _bytes(numbers: Sequence[float]) -> bytes:
    return struct.pack(f"<{len(numbers)}d", *numbers)


def _numbers(packed: bytes) -> Sequence[float]:
    return array("d", struct.unpack(f"<{len(packed) // 8}d", packed))
