"""Studies that were kept: which there are, their runs as a table, what their pages are drawn from.

In: the path of a store, the first letters of a study's id. Out: rows, tables, bytes. Must not know: how they are shown.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import contextmanager
from math import nan
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from planner.engine import Store, StoreError
from planner.engine.store import Row, Status
from planner.engine.store import Study as Entry
from planner.engine.store.store import silent
from planner.engine.store.studies import shortened
from planner.study.tables import Cell, Table

if TYPE_CHECKING:
    from collections.abc import Iterator

RUN_COLUMNS: Final = ("option", "outlook", "inputs", "replicate", "status")
Tell = Callable[[str], None]


class KeptStudy(NamedTuple):
    """One row a study."""

    id: str
    """Its first letters, as many as tell it from all others."""
    entry: Entry

    @property
    def name(self) -> str:
        """What it is called in a sentence."""
        return f"{self.id} ({self.entry.told.command} {self.entry.told.file})"


@contextmanager
def _opened(path: Path, tell: Tell) -> Iterator[Store]:
    if not path.exists():
        raise StoreError(f"there is no store {path}; planner compare FILE makes one", wrong_input=True)
    with Store(path, tell) as store:
        yield store


def kept_studies(path: Path, tell: Tell = silent) -> tuple[KeptStudy, ...]:
    """Every study of a store, in the order in which they were begun; none where there is no store.

    Raises
    ------
    planner.engine.StoreError
        It cannot be read.
    """
    if not path.exists():
        return ()
    with _opened(path, tell) as store:
        return _all(store)


def _all(store: Store) -> tuple[KeptStudy, ...]:
    entries = store.studies()
    ids = shortened([one.digest for one in entries])
    return tuple(KeptStudy(ids[one.digest], one) for one in entries)


def _one(store: Store, letters: str) -> KeptStudy:
    """The study whose id begins so."""
    there = _all(store)
    found = [one for one in there if letters and one.entry.digest.startswith(letters.lower())]
    if len(found) == 1:
        return found[0]
    names = ", ".join(one.name for one in found or there) or "none"
    if found:
        words = f"'{letters}' is the beginning of {len(found)} studies: {names}; give more letters"
    else:
        words = f"no study in {store.path} has an id that begins with '{letters}'; there are: {names}"
    raise StoreError(words, wrong_input=True)


def runs_table(path: Path, letters: str, tell: Tell = silent) -> Table:
    """The runs of a study: one row a run; option, outlook, inputs, world, what came of it, then every figure.

    Raises
    ------
    planner.engine.StoreError
        There is no such study, or the store cannot be read.
    """
    with _opened(path, tell) as store:
        entry = _one(store, letters).entry
        columns, rows = entry.told.columns, list[tuple[Cell, ...]]()
        for label, world, row in store.runs(entry.digest):
            rows.append((*label, world, row.status.name.lower(), *_figures(row, len(columns)), row.summary))
    return Table((*RUN_COLUMNS, *columns, "failure"), rows)


def _figures(row: Row, number: int) -> tuple[float, ...]:
    return tuple(row.numbers) if row.status is Status.OK else (nan,) * number


def page_files(path: Path, letters: str, tell: Tell = silent) -> tuple[KeptStudy, dict[str, bytes]]:
    """A study, and what its page is drawn from.

    Raises
    ------
    planner.engine.StoreError
        There is no such study, it has no page, or the store cannot be read.
    """
    with _opened(path, tell) as store:
        study = _one(store, letters)
        files = store.files(study.entry.digest)
    if not files:
        told = study.entry.told
        again = f": {told.words}" if told.words else ""
        words = "was not finished" if told.command == "compare" else "has no page of its own in the store"
        raise StoreError(
            f"the study {study.name} {words}; its command goes on from the runs that are kept{again}",
            wrong_input=True,
        )
    return study, files


def remove_study(path: Path, letters: str, tell: Tell = silent) -> tuple[KeptStudy, int]:
    """Remove a study and the runs that no other needs; the study, and how many runs these were.

    Raises
    ------
    planner.engine.StoreError
        There is no such study, it is being played, or the store cannot be written.
    """
    with _opened(path, tell) as store:
        study = _one(store, letters)
        return study, store.remove(study.entry.digest)
