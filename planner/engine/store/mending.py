"""A damaged store put aside, and a new one made of what in it is sure to be as it was written.

In: the path of a damaged store that nobody else has open. Out: a sound one at the same path, the damaged one beside it.
Must not know: who plays what.

The new store is made whole before the old one is moved, so whatever ends us, one of them lies at the path or is put
there the next time.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path
from typing import Any, Final

from planner.engine.store.errors import SQL_ERRORS, DamagedError
from planner.engine.store.file import make, opened_at, right_header, transaction
from planner.engine.store.rows import row_from
from planner.engine.store.studies import files_of, studies_of

AT_ONCE: Final = 200
ROWS_A_PAGE: Final = 8
"""More runs than this do not go into a page."""


def mend(path: Path) -> tuple[Path, int]:
    """Put a damaged store aside, and a new one in its place.

    Returns
    -------
    Path
        Where the damaged one lies.
    int
        Runs that were recovered from it.

    Raises
    ------
    sqlite3.Error, OSError
        The new one cannot be written.
    """
    fresh = being_made(path)
    drop(fresh)
    make(fresh)
    with closing(opened_at(fresh)) as new:
        new.execute("PRAGMA synchronous=FULL")
        recovered = _recover(path, new)
    aside = _free_name(path)
    for ending in ("-wal", "-shm", ""):
        with suppress(FileNotFoundError):
            Path(f"{path}{ending}").rename(f"{aside}{ending}")
    fresh.rename(path)
    return aside, recovered


def being_made(path: Path) -> Path:
    """Where a new store lies until it is whole."""
    return path.with_name(f"{path.name}.mended")


def finish(path: Path) -> None:
    """Put a new store in its place, if we were ended between the two moves; throw away one that was not whole."""
    fresh = being_made(path)
    if fresh.exists():
        if path.exists():
            drop(fresh)
        else:
            fresh.rename(path)


def drop(path: Path) -> None:
    """Remove a database with what belongs to it."""
    for ending in ("", "-journal", "-wal", "-shm"):
        Path(f"{path}{ending}").unlink(missing_ok=True)


def _free_name(path: Path) -> Path:
    number = 1
    while (aside := path.with_name(f"{path.name}.damaged-{number}")).exists():
        number += 1
    return aside


def _recover(path: Path, new: sqlite3.Connection) -> int:
    """Copy what is sound; how many runs that was."""
    whole = path
    if _header_is_wrong(path):
        whole = path.with_name(f"{path.name}.patched")
        _patched(path, whole)
    try:
        with closing(sqlite3.connect(f"{whole.absolute().as_uri()}?mode=ro", uri=True)) as old:
            old.text_factory = _text
            old.execute("PRAGMA writable_schema=ON")  # a file that is too short is read as far as it goes
            recovered = _copy_runs(old, new)
            with suppress(*SQL_ERRORS, DamagedError, TypeError, ValueError):
                _copy_studies(old, new)
            return recovered
    except SQL_ERRORS:
        return _count(new)
    finally:
        if whole != path:
            drop(whole)


def _text(content: bytes) -> str:
    """Text that may be damaged: its row's checksum says so."""
    return content.decode("utf-8", "replace")


def _count(new: sqlite3.Connection) -> int:
    return int(new.execute("SELECT count(*) FROM runs").fetchone()[0])


def _header_is_wrong(path: Path) -> bool:
    with path.open("rb") as file:
        head = file.read(100)
    return len(head) == 100 and right_header(head) != head


def _patched(path: Path, copy: Path) -> None:
    shutil.copyfile(path, copy)
    with suppress(FileNotFoundError):
        shutil.copyfile(f"{path}-wal", f"{copy}-wal")
    with copy.open("r+b") as file:
        head = file.read(100)
        file.seek(0)
        file.write(right_header(head))


def _copy_runs(old: sqlite3.Connection, new: sqlite3.Connection) -> int:
    """Copy every run whose checksum is right."""
    sound: list[tuple[Any, ...]] = []
    for number, key, *row in _rows(old, "runs"):
        try:
            row_from(key, *row)
        except (DamagedError, TypeError):
            continue
        sound.append((number, key, *row))
        if len(sound) >= AT_ONCE:
            _insert(new, "runs", sound)
            sound.clear()
    _insert(new, "runs", sound)
    return _count(new)


def _copy_studies(old: sqlite3.Connection, new: sqlite3.Connection) -> None:
    """Copy studies, and which runs belong to them: all of it or nothing, since no part says anything alone."""
    copied = {table: list(_rows(old, table)) for table in ("studies", "labels")}
    belonging = old.execute("SELECT study, label, replicate, run FROM study_runs").fetchall()
    with transaction(new):
        for table, rows in copied.items():
            _insert_into(new, table, rows)
        new.executemany(
            "INSERT OR IGNORE INTO study_runs SELECT ?1, ?2, ?3, ?4 WHERE EXISTS (SELECT 1 FROM runs WHERE id = ?4)",
            belonging,
        )
        studies_of(new)
    for (number,) in new.execute("SELECT id FROM studies").fetchall():
        with suppress(*SQL_ERRORS, DamagedError):
            files = old.execute("SELECT study, name, content, sha256 FROM files WHERE study = ?", (number,))
            new.executemany("INSERT INTO files VALUES (?, ?, ?, ?)", files.fetchall())
            files_of(new, number)
            continue
        new.execute("DELETE FROM files WHERE study = ?", (number,))


def _insert(new: sqlite3.Connection, table: str, rows: list[tuple[Any, ...]]) -> None:
    with transaction(new):
        _insert_into(new, table, rows)


def _insert_into(new: sqlite3.Connection, table: str, rows: list[tuple[Any, ...]]) -> None:
    if rows:
        new.executemany(f"INSERT OR IGNORE INTO {table} VALUES ({', '.join('?' * len(rows[0]))})", rows)


def _rows(old: sqlite3.Connection, table: str) -> Iterator[tuple[Any, ...]]:
    """Every row of a table that can be read: from the front, from the back, and one by one in between."""
    reached, last = 0, None
    try:
        for row in old.execute(f"SELECT * FROM {table} NOT INDEXED ORDER BY id"):
            reached = row[0]
            yield row
        return
    except SQL_ERRORS:
        pass
    try:
        for row in old.execute(f"SELECT * FROM {table} NOT INDEXED ORDER BY id DESC"):
            if row[0] <= reached:
                return
            last = row[0]
            yield row
        return
    except SQL_ERRORS:
        pass
    pages = int(old.execute("PRAGMA page_count").fetchone()[0])
    for number in range(reached + 1, last or pages * ROWS_A_PAGE):
        with suppress(*SQL_ERRORS):
            yield from old.execute(f"SELECT * FROM {table} WHERE id = ?", (number,)).fetchall()
