"""The studies of a store: which there are, which runs belong to them, what their pages are drawn from.

In: a connection to a store. Out: rows. Must not know: what was asked, what the files say.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import UTC, datetime

from planner.engine.store.errors import DamagedError
from planner.engine.store.rows import Label, Row, row_from

SHORT = 7
"""Letters of an id that are shown, unless they are not enough to tell studies apart."""


@dataclass(frozen=True, slots=True)
class Told:
    """What is said of a study."""

    command: str
    arguments: tuple[tuple[str, str], ...]
    words: str
    """The command of the shell that goes on with it; empty where there was none."""
    file: str
    title: str
    scenario_digest: str
    seed: int
    columns: tuple[str, ...]
    """What the figures of its runs are called."""


@dataclass(frozen=True, slots=True)
class Study:
    """One row a study."""

    digest: str
    told: Told
    begun: str
    """Date and hour (UTC)."""
    finished: str | None
    wanted: int
    """Runs that were known to be wanted so far."""
    kept: int
    """Runs of it that are there."""
    drawable: bool
    """Is there what its page is drawn from?"""


def now() -> str:
    """Date and hour as they are written."""
    return datetime.now(UTC).strftime("%Y-%m-%d %H:%M:%S")


def begin(opened: sqlite3.Connection, digest: str, told: Told) -> int:
    """Write a study down, if it is not there; its number here."""
    opened.execute(
        "INSERT INTO studies (digest, told, begun, wanted) VALUES (?, ?, ?, 0) "
        "ON CONFLICT (digest) DO UPDATE SET told = excluded.told",
        (digest, json.dumps(asdict(told), ensure_ascii=False), now()),
    )
    (number,) = opened.execute("SELECT id FROM studies WHERE digest = ?", (digest,)).fetchone()
    return int(number)


def studies_of(opened: sqlite3.Connection) -> tuple[Study, ...]:
    """Every study, in the order in which they were begun."""
    rows = opened.execute(
        "SELECT digest, told, begun, finished, wanted, "
        "(SELECT count(*) FROM study_runs WHERE study = studies.id), "
        "EXISTS (SELECT 1 FROM files WHERE study = studies.id) FROM studies ORDER BY begun, id"
    ).fetchall()
    return tuple(
        Study(digest, _told(told), begun, finished, max(wanted, kept), kept, bool(drawable))
        for digest, told, begun, finished, wanted, kept, drawable in rows
    )


def _told(text: str) -> Told:
    try:
        values = json.loads(text)
        values["arguments"] = tuple((name, value) for name, value in values["arguments"])
        values["columns"] = tuple(values["columns"])
        return Told(**values)
    except (ValueError, TypeError, KeyError) as error:
        raise DamagedError("a study is not what was written") from error


def label(opened: sqlite3.Connection, study: int, one: Label) -> int:
    """The number by which rows of a study name an option, an outlook and inputs."""
    opened.execute(
        "INSERT INTO labels (study, option, outlook, inputs) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING",
        (study, *one),
    )
    (number,) = opened.execute(
        "SELECT id FROM labels WHERE study = ? AND option = ? AND outlook = ? AND inputs = ?", (study, *one)
    ).fetchone()
    return int(number)


def runs_of(opened: sqlite3.Connection, study: int) -> Iterator[tuple[Label, int, Row]]:
    """Label, world and row of every run of a study, in order."""
    found = opened.execute(
        "SELECT option, outlook, inputs, replicate, key, status, measures, months, failure, checksum "
        "FROM study_runs JOIN labels ON labels.id = label JOIN runs ON runs.id = run "
        "WHERE study_runs.study = ? ORDER BY label, replicate",
        (study,),
    )
    for option, outlook, inputs, replicate, key, *row in found:
        yield Label(option, outlook, inputs), replicate, row_from(key, *row)


def put_files(opened: sqlite3.Connection, study: int, files: Mapping[str, bytes]) -> None:
    """Keep what a study's page is drawn from."""
    opened.executemany(
        "INSERT OR REPLACE INTO files (study, name, content, sha256) VALUES (?, ?, ?, ?)",
        [
            (study, name, zlib.compress(content), hashlib.sha256(content).hexdigest())
            for name, content in files.items()
        ],
    )


def files_of(opened: sqlite3.Connection, study: int) -> dict[str, bytes]:
    """What a study's page is drawn from; nothing if it was not kept."""
    found: dict[str, bytes] = {}
    rows = opened.execute("SELECT name, content, sha256 FROM files WHERE study = ?", (study,)).fetchall()
    for name, content, digest in rows:
        try:
            found[name] = zlib.decompress(content)
        except (zlib.error, TypeError) as error:
            raise DamagedError(f"{name} is not what was written") from error
        if hashlib.sha256(found[name]).hexdigest() != digest:
            raise DamagedError(f"{name} is not what was written")
    return found


def remove(opened: sqlite3.Connection, study: int) -> int:
    """Remove a study and the runs that no other needs; how many runs these were."""
    removed = opened.execute(
        "DELETE FROM runs WHERE id IN (SELECT run FROM study_runs WHERE study = ?1) "
        "AND id NOT IN (SELECT run FROM study_runs WHERE study <> ?1)",
        (study,),
    ).rowcount
    for table in ("study_runs", "labels", "files"):
        opened.execute(f"DELETE FROM {table} WHERE study = ?", (study,))
    opened.execute("DELETE FROM studies WHERE id = ?", (study,))
    return int(removed)


def shortened(digests: list[str]) -> dict[str, str]:
    """Each digest's first letters: as many as tell all of them apart."""
    length = SHORT
    while len({one[:length] for one in digests}) < len(digests):
        length += 1
    return {one: one[:length] for one in digests}
