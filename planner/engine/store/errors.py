"""What goes wrong with a store, in words for whoever plays the study.

In: errors of SQLite and of the system. Out: ``StoreError`` in plain sentences, or ``DamagedError``, which a store
mends by itself. Must not know: what a store holds.
"""

from __future__ import annotations

import errno
import shutil
import sqlite3
from pathlib import Path
from typing import Final

FULL_BYTES: Final = 256 * 1024
"""A disk with less room than this is taken to be full where SQLite says only that it could not write (assumed)."""


SQL_ERRORS: Final = (sqlite3.Error, UnicodeDecodeError)
"""What SQLite raises; the second where a damaged file is told of with what stands in it."""


class StoreError(Exception):
    """The store cannot be used, or not now.

    Parameters
    ----------
    message : str
        Plain sentences: which file, what is wrong, what to do.
    wrong_input : bool
        Another file, or another version of planner, would do; otherwise the machine failed, or somebody is in the way.
    cannot_write : bool
        Nothing may be written at this place: a study can do without the store.
    """

    def __init__(self, message: str, *, wrong_input: bool = False, cannot_write: bool = False) -> None:
        super().__init__(message)
        self.wrong_input = wrong_input
        self.cannot_write = cannot_write


class DamagedError(Exception):
    """Something in the file is not what was written."""


def full(path: Path) -> StoreError:
    """The disk has no room left."""
    return StoreError(
        f"the disk is full: no more runs can be written into {path} ({free_mb(path):.1f} MB are free there). Make "
        "room: what was written is kept"
    )


def problem_of(error: Exception, path: Path) -> Exception:
    """What an error means for whoever plays."""
    if isinstance(error, OSError):
        return _of_the_system(error, path)
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_CORRUPT) & 0xFF
    if code == sqlite3.SQLITE_FULL or (code == sqlite3.SQLITE_IOERR and _has_no_room(path)):
        return full(path)
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return StoreError(f"{path} is being written to by another program for too long; try again")
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
        return cannot_write(path)
    if code == sqlite3.SQLITE_IOERR and "SHORT_READ" not in getattr(error, "sqlite_errorname", ""):
        return StoreError(
            f"{path} could not be read or written ({error}): the disk, or a limit on the size of files, is in the way. "
            "What was written before is kept"
        )
    return DamagedError(str(error))


def cannot_write(path: Path) -> StoreError:
    """Nothing may be written there."""
    return StoreError(
        f"runs cannot be kept in {path}: nothing may be written there; name another file (--store)",
        wrong_input=True,
        cannot_write=True,
    )


def free_mb(path: Path) -> float:
    """Room on the disk of a file [MB]."""
    return free_bytes(path) / 1e6


def free_bytes(path: Path) -> int:
    """Room on the disk of a file [bytes]."""
    place = path.absolute().parent
    while not place.exists():
        place = place.parent
    return shutil.disk_usage(place).free


def _has_no_room(path: Path) -> bool:
    try:
        return free_bytes(path) < FULL_BYTES
    except OSError:
        return False


def _of_the_system(error: OSError, path: Path) -> StoreError:
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return full(path)
    return cannot_write(path)
