"""The file of a store while it is open, mended where it stands if it turns out to be damaged.

In: a path; actions on a connection. Out: what they return. Must not know: what they do.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from time import monotonic, sleep
from typing import TypeVar

from planner import interrupts
from planner.engine.store.errors import SQL_ERRORS, DamagedError, StoreError, cannot_write, problem_of
from planner.engine.store.file import Kind, connect, foreign, kind_of, make, rolled_back, side_file
from planner.engine.store.locks import LOOK_S, PATIENCE_S, Lock
from planner.engine.store.mending import finish, mend

Tell = Callable[[str], None]
"""Told what the user should know, in a sentence."""
T = TypeVar("T")


class Database:
    """An open store.

    Parameters
    ----------
    path : Path
        Made if it is not there, with the folders above it.
    tell : Tell
        Told when it had to be mended.
    mended : callable
        Called with the connection once it was.

    Raises
    ------
    StoreError
        It is not ours, or newer than we are; or nothing may be written there.
    """

    def __init__(self, path: Path, tell: Tell, mended: Callable[[sqlite3.Connection], None]) -> None:
        self._path, self._tell, self._mended = path, tell, mended
        if not path.name:
            raise cannot_write(path)
        self._use = Lock(side_file(path))
        try:
            self._opened = self._open()
        except OSError as error:
            self._use.release()
            raise problem_of(error, path) from error
        except BaseException:
            self._use.release()
            raise

    def do(self, action: Callable[[sqlite3.Connection], T]) -> T:
        """Do something that can be done again once the store is mended: one transaction, or none.

        Raises
        ------
        StoreError
            In plain words.
        """
        try:
            return self._tried(action)
        except DamagedError:
            self._reopen()
        try:
            return self._tried(action)
        except DamagedError as error:
            raise self._hopeless() from error

    def close(self) -> None:
        """Let go of the file."""
        with suppress(*SQL_ERRORS):
            self._opened.close()
        self._use.release()

    def _tried(self, action: Callable[[sqlite3.Connection], T]) -> T:
        try:
            return action(self._opened)
        except SQL_ERRORS as error:
            raise problem_of(error, self._path) from error

    def _hopeless(self) -> StoreError:
        return StoreError(f"{self._path} cannot be mended; remove it, or name another file (--store)")

    def _open(self) -> sqlite3.Connection:
        """Open the file; make or mend it first, if need be."""
        if kind_of(self._path) is Kind.FOREIGN:
            raise foreign(self._path)
        self._path.absolute().parent.mkdir(parents=True, exist_ok=True)
        kind = self._made()
        if kind is not Kind.BROKEN:
            try:
                return connect(self._path)
            except SQL_ERRORS as error:
                problem = problem_of(error, self._path)
                if not isinstance(problem, DamagedError):
                    raise problem from error
        self._mend()
        return self._connected()

    def _made(self) -> Kind:
        """What lies there, once somebody has made it; from now on it is looked at and used by those who share it."""
        end = monotonic() + PATIENCE_S
        while monotonic() < end:
            if not self._use.share():
                break
            kind = kind_of(self._path)
            if kind is Kind.BROKEN and self._path.with_name(f"{self._path.name}-journal").exists():
                kind = rolled_back(self._path)
            if kind is not Kind.NOTHING:
                return kind
            if self._use.alone():
                self._make()
            else:  # somebody else is about to; not all of us look again at once
                self._use.release()
                sleep(LOOK_S * (1 + os.getpid() % 5))
        raise StoreError(f"{self._path} is being made or mended by another program; try again")

    def _make(self) -> None:
        finish(self._path)
        try:
            if kind_of(self._path) is Kind.NOTHING:
                make(self._path)
        except sqlite3.Error as error:
            raise problem_of(error, self._path) from error

    def _connected(self) -> sqlite3.Connection:
        try:
            return connect(self._path)
        except SQL_ERRORS as error:
            problem = problem_of(error, self._path)
            raise problem if isinstance(problem, StoreError) else self._hopeless() from error

    def _reopen(self) -> None:
        with suppress(*SQL_ERRORS):
            self._opened.close()
        self._mend()
        self._opened = self._connected()
        try:
            self._tried(self._mended)
        except DamagedError as error:
            raise self._hopeless() from error

    def _mend(self) -> None:
        """Put the damaged store aside and what is sound of it in its place."""
        if not self._use.alone():
            self._use.share()
            raise StoreError(
                f"{self._path} is damaged, and another study uses it; once that has ended, the same command mends it"
            )
        try:
            with interrupts.held():
                aside, recovered = mend(self._path)
        except (*SQL_ERRORS, OSError) as error:
            problem = problem_of(error, self._path)
            raise problem if isinstance(problem, StoreError) else cannot_write(self._path) from error
        finally:
            self._use.share()
        runs = "1 run was" if recovered == 1 else f"{recovered:,} runs were"
        self._tell(
            f"{self._path} was damaged; it now lies in {aside}. {runs} recovered from it; what is missing is "
            "played again."
        )
