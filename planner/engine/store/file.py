"""The file of a store: how it is made, known again and opened.

In: a path. Out: a connection to a store of this version. Must not know: what runs are.

What is committed is on the disk (``synchronous=FULL``), also after a power cut. SQLite's write-ahead log lets several
studies write at once and others read meanwhile; where it cannot be had (some network shares), a journal does.
"""

from __future__ import annotations

import sqlite3
import stat
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from enum import Enum
from pathlib import Path
from typing import Final

from planner.engine.store.errors import SQL_ERRORS, StoreError

APPLICATION_ID: Final = int.from_bytes(b"pln1", "big")
VERSION: Final = 1
"""Of the tables; a newer planner may have another."""

BUSY_S: Final = 30.0
"""How long we wait for somebody else's transaction [s]; ours take milliseconds."""

PAGE_BYTES: Final = 4096
MAGIC: Final = b"SQLite format 3\0"
_VERSION_AT: Final = 60
_ID_AT: Final = 68
_HEADER_BYTES: Final = 100
FLIPPED: Final = 4
"""So many bits of the marks of a store may be wrong, and it is still taken for one, damaged."""

TABLES: Final = (
    """CREATE TABLE runs (
        id INTEGER PRIMARY KEY, key BLOB NOT NULL UNIQUE, status INTEGER NOT NULL, measures BLOB NOT NULL,
        months BLOB, failure TEXT NOT NULL, checksum BLOB NOT NULL)""",
    """CREATE TABLE studies (
        id INTEGER PRIMARY KEY, digest TEXT NOT NULL UNIQUE, told TEXT NOT NULL, begun TEXT NOT NULL, finished TEXT,
        wanted INTEGER NOT NULL)""",
    """CREATE TABLE labels (
        id INTEGER PRIMARY KEY, study INTEGER NOT NULL, option TEXT NOT NULL, outlook TEXT NOT NULL,
        inputs TEXT NOT NULL, UNIQUE (study, option, outlook, inputs))""",
    """CREATE TABLE study_runs (
        study INTEGER NOT NULL, label INTEGER NOT NULL, replicate INTEGER NOT NULL, run INTEGER NOT NULL,
        PRIMARY KEY (study, label, replicate)) WITHOUT ROWID""",
    "CREATE INDEX runs_of_studies ON study_runs (run)",
    """CREATE TABLE files (
        study INTEGER NOT NULL, name TEXT NOT NULL, content BLOB NOT NULL, sha256 TEXT NOT NULL,
        PRIMARY KEY (study, name))""",
)


class Kind(Enum):
    """What lies at a path."""

    NOTHING = "nothing"
    OURS = "ours"
    BROKEN = "broken"
    """Ours once, and no database any more."""
    FOREIGN = "foreign"


def kind_of(path: Path) -> Kind:
    """What lies at a path, without opening it as a database.

    Raises
    ------
    OSError
        It may not be read, or is a link that leads to itself.
    """
    try:
        found = path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return Kind.NOTHING
    if not stat.S_ISREG(found.st_mode):
        return Kind.FOREIGN
    with path.open("rb") as file:
        head = file.read(_HEADER_BYTES)
    if not head:
        return Kind.NOTHING
    marks = head[: len(MAGIC)] + head[_ID_AT : _ID_AT + 4]
    ours = MAGIC + APPLICATION_ID.to_bytes(4, "big")
    if marks == ours:
        known = int.from_bytes(head[_VERSION_AT : _VERSION_AT + 4], "big") <= VERSION
        return Kind.BROKEN if known and right_header(head) != head else Kind.OURS
    if len(marks) == len(ours) and _bits_between(marks, ours) <= FLIPPED:
        return Kind.BROKEN
    if side_file(path).exists():
        return Kind.BROKEN
    return Kind.FOREIGN


def right_header(head: bytes) -> bytes:
    """The header of a store's file with what is the same in every store set right."""
    right = bytearray(head)
    right[:18] = MAGIC + PAGE_BYTES.to_bytes(2, "big")
    if head[18:20] not in (b"\1\1", b"\2\2"):  # without and with a log
        right[18:20] = b"\2\2"
    right[20:24] = bytes([0, 64, 32, 32])
    right[44:48] = (4).to_bytes(4, "big")
    right[56:60] = (1).to_bytes(4, "big")
    right[_ID_AT : _ID_AT + 4] = APPLICATION_ID.to_bytes(4, "big")
    return bytes(right)


def opened_at(path: Path) -> sqlite3.Connection:
    """Open what lies at a path; named from the root on, since to SQLite `:memory:` alone is no file."""
    return sqlite3.connect(path.absolute(), timeout=BUSY_S, isolation_level=None)


def rolled_back(path: Path) -> Kind:
    """What lies at a path once what was ended in the middle is undone."""
    with suppress(*SQL_ERRORS), closing(opened_at(path)) as opened:
        opened.execute("PRAGMA user_version").fetchone()
    return kind_of(path)


def _bits_between(one: bytes, other: bytes) -> int:
    return sum((a ^ b).bit_count() for a, b in zip(one, other, strict=True))


def side_file(path: Path) -> Path:
    """The file beside a store that everybody who has it open shares."""
    return path.with_name(f"{path.name}.lock")


def foreign(path: Path) -> StoreError:
    """The file is somebody else's."""
    return StoreError(
        f"{path} is not a store of runs; it was left as it is. Name another file (--store)",
        wrong_input=True,
    )


def make(path: Path) -> None:
    """Make an empty store, while nobody else uses it; in one transaction, so that it is there or not.

    Raises
    ------
    sqlite3.Error
        As SQLite says.
    """
    with closing(opened_at(path)) as made:
        made.execute(f"PRAGMA page_size={PAGE_BYTES}")
        made.execute("PRAGMA auto_vacuum=INCREMENTAL")
        made.execute("PRAGMA synchronous=FULL")
        with transaction(made):
            if made.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
                return
            made.execute(f"PRAGMA application_id={APPLICATION_ID}")
            made.execute(f"PRAGMA user_version={VERSION}")
            for table in TABLES:
                made.execute(table)
        journal(made)


def connect(path: Path) -> sqlite3.Connection:
    """Open a store that is there.

    Raises
    ------
    StoreError
        A newer planner made it.
    sqlite3.Error
        As SQLite says; it may be damaged.
    """
    opened = opened_at(path)
    try:
        opened.execute("PRAGMA cell_size_check=ON")
        if (version := opened.execute("PRAGMA user_version").fetchone()[0]) > VERSION:
            raise newer(path, version)
        journal(opened)
        opened.execute("PRAGMA synchronous=FULL")
        opened.execute("SELECT count(*) FROM studies").fetchone()
    except BaseException:
        opened.close()
        raise
    return opened


def newer(path: Path, version: int) -> StoreError:
    """A planner of days to come made it."""
    return StoreError(
        f"{path} was made by a newer planner (version {version} of its tables; this one knows {VERSION}), and was left "
        "as it is. Use that planner, or name another file (--store)",
        wrong_input=True,
    )


def journal(opened: sqlite3.Connection) -> str:
    """Choose how transactions are kept safe: the write-ahead log, or what can be had; its name."""
    try:
        (mode,) = opened.execute("PRAGMA journal_mode=WAL").fetchone()
    except sqlite3.OperationalError as error:
        if error.sqlite_errorcode & 0xFF not in (sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN):
            raise
        (mode,) = opened.execute("PRAGMA journal_mode=DELETE").fetchone()
    return str(mode)


@contextmanager
def transaction(opened: sqlite3.Connection) -> Iterator[None]:
    """All of it, or nothing."""
    opened.execute("BEGIN IMMEDIATE")
    try:
        yield
        opened.execute("COMMIT")
    except BaseException:
        if opened.in_transaction:
            opened.execute("ROLLBACK")
        raise


def give_back(opened: sqlite3.Connection) -> None:
    """Give room that is not needed any more back to the disk."""
    opened.executescript("PRAGMA incremental_vacuum")  # goes through all pages, where execute stops after one
    opened.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
