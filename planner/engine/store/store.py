"""A store of runs, open: what is there is handed out, what comes back is kept.

In: a path, keys, rows. Out: rows. Must not know: what a run is made of, who plays it.

Rows are committed fifty at a time, or once a second. A store that turns out to be damaged is mended where it stands:
whatever was asked of it is asked again of the new one.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from time import monotonic
from types import TracebackType
from typing import Final, Self, TypeVar

from planner import interrupts
from planner.engine.store import studies
from planner.engine.store.database import Database, Tell
from planner.engine.store.errors import StoreError, free_bytes, free_mb, full
from planner.engine.store.file import give_back, transaction
from planner.engine.store.locks import Lock
from planner.engine.store.rows import Label, Row, Status, row_from
from planner.engine.store.studies import Study, Told

ROWS_AT_ONCE: Final = 50
SECONDS_AT_ONCE: Final = 1.0
"""A row waits no longer than this for others to be committed with it, while rows come [s]."""

KEYS_AT_ONCE: Final = 400
ROW_BYTES: Final = 1_500
"""What a run takes at least, with its log (measured: 1.4 kB without months, 4 kB with those of a year)."""

ROOM_BYTES: Final = 3 * ROWS_AT_ONCE * ROW_BYTES
"""Room that the next transaction needs."""

T = TypeVar("T")


def _in_parts(those: Sequence[T], size: int) -> Iterator[Sequence[T]]:
    return (those[first : first + size] for first in range(0, len(those), size))


def silent(words: str) -> None:
    """Nobody listens."""


@dataclass(slots=True)
class _Waiting:
    """What is not written yet."""

    wanted: int = 0
    rows: list[Row] = field(default_factory=list)
    belonging: list[tuple[Label, int, bytes]] = field(default_factory=list)

    def __bool__(self) -> bool:
        return bool(self.wanted or self.belonging)


class Store:
    """Runs of any number of studies, in one file.

    Parameters
    ----------
    path : Path
        Made if it is not there, with the folders above it.
    tell : Tell
        Told when the store had to be mended.

    Raises
    ------
    StoreError
        It is not ours, or newer than we are; or nothing may be written there.
    """

    def __init__(self, path: Path, tell: Tell = silent) -> None:
        self.path = path
        self._study: tuple[str, Told] | None = None
        self._number = 0
        self._labels: dict[Label, int] = {}
        self._waiting = _Waiting()
        self._since = monotonic()
        self._own: Lock | None = None
        self._file = Database(path, tell, self._begun_again)

    def _begun_again(self, opened: sqlite3.Connection) -> None:
        """The store was mended: what we know of it may be there no more."""
        self._labels.clear()
        if self._study is not None:
            with transaction(opened):
                self._number = studies.begin(opened, *self._study)

    def _do(self, action: Callable[[sqlite3.Connection], T]) -> T:
        try:
            return self._file.do(action)
        except BaseException:
            self._labels.clear()  # what was not committed is not there
            raise

    def begin(self, digest: str, told: Told) -> None:
        """Begin a study, or go on with it: runs that are put here from now on belong to it.

        Raises
        ------
        StoreError
            It is being played already.
        """
        own = Lock(self.path.with_name(f"{self.path.name}.{digest[:16]}.lock"))
        if not own.alone():
            raise StoreError(
                f"this very study is being played already, and keeps its runs in {self.path}; wait for it, or stop "
                "it and go on with the same command"
            )
        self._own, self._study = own, (digest, told)

        def begun(opened: sqlite3.Connection) -> int:
            with transaction(opened):
                return studies.begin(opened, digest, told)

        self._number = self._do(begun)

    def find(self, keys: Sequence[bytes]) -> dict[bytes, Row]:
        """What is kept of these runs."""
        return self._do(lambda opened: self._found(opened, keys))

    def _found(self, opened: sqlite3.Connection, keys: Sequence[bytes]) -> dict[bytes, Row]:
        found: dict[bytes, Row] = {}
        for those in _in_parts(keys, KEYS_AT_ONCE):
            asked = ", ".join("?" * len(those))
            rows = opened.execute(
                f"SELECT key, status, measures, months, failure, checksum FROM runs WHERE key IN ({asked})",
                those,
            )
            found |= {key: row_from(key, *row) for key, *row in rows}
        return found

    def want(self, runs: int, missing: int) -> None:
        """Note how many runs are wanted, and that there is room for those that are missing.

        Raises
        ------
        StoreError
            There is not.
        """
        if (needed := missing * ROW_BYTES) > free_bytes(self.path):
            raise StoreError(
                f"the disk is full: {missing:,} runs take {needed / 1e6:,.0f} MB or more in {self.path}, and "
                f"{free_mb(self.path):,.1f} MB are free there. Make room, or name another file (--store)"
            )

        self._waiting.wanted = runs

    def belong(self, those: Iterable[tuple[Label, int, bytes]]) -> None:
        """Note that runs which are there belong to the study: label, world and key of each."""
        self._waiting.belonging += those
        self._commit_if_due()

    def put(self, rows: Iterable[tuple[Label, int, Row]]) -> None:
        """Keep runs that have come back: label, world and row of each."""
        for label, world, row in rows:
            self._waiting.rows.append(row)
            self._waiting.belonging.append((label, world, row.key))
        self._commit_if_due()

    def _commit_if_due(self) -> None:
        waiting = self._waiting
        if len(waiting.rows) >= ROWS_AT_ONCE or monotonic() - self._since >= SECONDS_AT_ONCE:
            self.commit()

    def commit(self) -> None:
        """Write what is not written yet. Ctrl-C waits for that; a second one does not."""
        waiting = self._waiting
        if not waiting:
            return
        try:
            if waiting.rows and free_bytes(self.path) < ROOM_BYTES:
                raise full(self.path)
            with interrupts.held():
                self._do(partial(self._committed, waiting=waiting))
                self._waiting = _Waiting()
        except StoreError:
            self._waiting = _Waiting()
            raise
        self._since = monotonic()

    def _committed(self, opened: sqlite3.Connection, waiting: _Waiting) -> None:
        with transaction(opened):
            opened.execute(
                "UPDATE studies SET wanted = max(wanted, ?) WHERE id = ?", (waiting.wanted, self._number)
            )
            opened.executemany(
                "INSERT INTO runs (key, status, measures, months, failure, checksum) VALUES (?, ?, ?, ?, ?, ?) "
                "ON CONFLICT (key) DO UPDATE SET status = excluded.status, measures = excluded.measures, "
                "months = excluded.months, failure = excluded.failure, checksum = excluded.checksum "
                f"WHERE status <> {Status.OK:d} OR (months IS NULL AND excluded.months IS NOT NULL)",
                [
                    (row.key, int(row.status), row.measures, row.months, row.failure, row.checksum)
                    for row in waiting.rows
                ],
            )
            opened.executemany(
                "INSERT OR REPLACE INTO study_runs SELECT ?, ?, ?, id FROM runs WHERE key = ?",
                [
                    (self._number, self._label(opened, label), world, key)
                    for label, world, key in waiting.belonging
                ],
            )

    def _label(self, opened: sqlite3.Connection, label: Label) -> int:
        if label not in self._labels:
            self._labels[label] = studies.label(opened, self._number, label)
        return self._labels[label]

    @property
    def kept(self) -> int:
        """Runs of the study that are there."""
        return self._do(
            lambda opened: int(
                opened.execute("SELECT count(*) FROM study_runs WHERE study = ?", (self._number,)).fetchone()[
                    0
                ]
            )
        )

    def finish(self, files: Mapping[str, bytes] | None = None) -> None:
        """The study is at its end; keep what its page is drawn from, if there is one."""

        def finished(opened: sqlite3.Connection) -> None:
            with transaction(opened):
                opened.execute("UPDATE studies SET finished = ? WHERE id = ?", (studies.now(), self._number))
                studies.put_files(opened, self._number, files or {})

        self.commit()
        self._do(finished)

    def forget(self) -> None:
        """Nothing came of the study: it is not told of."""

        def forgotten(opened: sqlite3.Connection) -> None:
            with transaction(opened):
                studies.remove(opened, self._number)

        with suppress(StoreError):
            self._do(forgotten)

    def studies(self) -> tuple[Study, ...]:
        """Every study, in the order in which they were begun."""
        return self._do(studies.studies_of)

    def runs(self, digest: str) -> tuple[tuple[Label, int, Row], ...]:
        """Label, world and row of every run of a study, in order."""
        return self._do(lambda opened: tuple(studies.runs_of(opened, self._id(opened, digest))))

    def files(self, digest: str) -> dict[str, bytes]:
        """What a study's page is drawn from; nothing if it was not kept."""
        return self._do(lambda opened: studies.files_of(opened, self._id(opened, digest)))

    def remove(self, digest: str) -> int:
        """Remove a study and the runs that no other needs; how many runs these were.

        Raises
        ------
        StoreError
            It is being played.
        """
        own = Lock(self.path.with_name(f"{self.path.name}.{digest[:16]}.lock"))
        if not own.alone():
            raise StoreError("this study is being played; stop it first")

        def removed(opened: sqlite3.Connection) -> int:
            with transaction(opened):
                return studies.remove(opened, self._id(opened, digest))

        try:
            number = self._do(removed)
            with suppress(StoreError):  # the room is used again later, if not given back now
                self._do(give_back)
            return number
        finally:
            own.release(remove=True)

    def _id(self, opened: sqlite3.Connection, digest: str) -> int:
        row = opened.execute("SELECT id FROM studies WHERE digest = ?", (digest,)).fetchone()
        if row is None:
            raise StoreError(f"{self.path} holds no such study any more")
        return int(row[0])

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        try:
            if kind is None:
                self.commit()
            else:
                with suppress(StoreError):  # what went wrong first is told
                    self.commit()
        finally:
            self._file.close()
            if self._own is not None:
                self._own.release(remove=True)
