"""A study that keeps its runs, so that it can be stopped at any moment and goes on where it was.

In: where the runs are to be kept, what is studied, what was asked. Out: an engine that plays only what is missing
there. Must not know: how runs are kept, the terminal.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from planner.engine import Engine, Store, Stored, StoreError
from planner.engine.store import Told
from planner.engine.store.store import silent
from planner.scenario import Scenario
from planner.study.keys import RunKeys
from planner.workshop.measures import MEASURES


@dataclass
class Keep:
    """Where a study keeps its runs, and what became of that.

    Parameters
    ----------
    path : Path
        The store; made if it is not there.
    words : str
        The command of the shell that would go on with the study.
    tell : callable
        Told in a sentence what the user should know.
    optional : bool
        Where nothing may be written there, say so and play without.
    """

    path: Path
    words: str = ""
    tell: Callable[[str], None] = silent
    optional: bool = False
    digest: str = field(default="", init=False)
    """Which study it was; empty until it has begun, and where nothing is kept."""
    kept: int = field(default=0, init=False)
    """Runs of it that are there, once it has ended."""
    _told: Told | None = field(default=None, init=False)

    @contextmanager
    def store(self, digest: str, told: Told) -> Iterator[Store | None]:
        """The store with this study begun; None where the study does without."""
        try:
            opened = Store(self.path, self.tell)
        except StoreError as error:
            if not (self.optional and error.cannot_write):
                raise
            self.tell(f"Runs are not kept: {error}.")
            yield None
            return
        with opened:
            opened.begin(digest, told)
            self.digest, self._told = digest, told
            try:
                yield opened
                opened.finish()
            finally:
                self._count(opened)
                if not self.kept:  # nothing came of it
                    opened.forget()

    def _count(self, opened: Store) -> None:
        try:
            opened.commit()
            self.kept = opened.kept
        except StoreError:  # what went wrong is on its way already
            pass

    def files(self, files: Mapping[str, bytes]) -> None:
        """Keep what the study's page is drawn from."""
        if self._told is None:
            return
        try:
            with Store(self.path, self.tell) as opened:
                opened.begin(self.digest, self._told)
                opened.finish(files)
        except StoreError as error:  # all else is done
            self.tell(f"The page cannot be drawn anew from the store: {error}.")


KeptIn = Keep | Path | str | None
"""Where runs are kept; None: nowhere."""


@dataclass(frozen=True)
class Asked:
    """A study as it is known again.

    Parameters
    ----------
    store : Keep, Path, str or None
        Where its runs are kept.
    command : str
        Which kind of study.
    arguments : mapping
        All that says which runs it is made of, beside scenario and seed.
    """

    store: KeptIn
    command: str
    arguments: Mapping[str, Any]

    @contextmanager
    def kept(self, scenario: Scenario, seed: int, engine: Engine) -> Iterator[Engine]:
        """The engine, playing only what is not kept yet."""
        if self.store is None:
            yield engine
            return
        keep = self.store if isinstance(self.store, Keep) else Keep(Path(self.store))
        keys = RunKeys(scenario, seed)
        told = Told(
            self.command,
            self._arguments,
            keep.words,
            scenario.path.name,
            scenario.title,
            scenario.digest,
            seed,
            tuple(one.name for one in MEASURES),
        )
        with keep.store(self._digest(scenario, seed, keys), told) as store:
            yield engine if store is None else Stored(engine, store, keys)

    def kept_before(self, scenario: Scenario, seed: int) -> int:
        """Runs of this very study that are kept already, so that nobody waits for them; nothing is written."""
        path = self.store.path if isinstance(self.store, Keep) else self.store
        if path is None or not os.path.isfile(path):  # noqa: PTH113  (Path raises where a name is too long)
            return 0
        digest = self._digest(scenario, seed, RunKeys(scenario, seed))
        try:
            with Store(Path(path)) as opened:
                return sum(one.kept for one in opened.studies() if one.digest == digest)
        except StoreError:  # told when the study is to be kept there
            return 0

    @property
    def _arguments(self) -> tuple[tuple[str, str], ...]:
        return tuple((name, _shown(value)) for name, value in self.arguments.items() if value or value == 0)

    def _digest(self, scenario: Scenario, seed: int, keys: RunKeys) -> str:
        made_of = [
            self.command,
            self._arguments,
            scenario.digest,
            seed,
            keys.code,
            repr((scenario.study, scenario.ranges, *([scenario.estimates] if scenario.estimates else []))),
        ]
        return hashlib.sha256(json.dumps(made_of).encode()).hexdigest()


def _shown(value: Any) -> str:
    return ", ".join(map(str, value)) if isinstance(value, tuple) else str(value)
