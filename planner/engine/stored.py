"""The engine that plays only what was not played before, and keeps what it plays.

In: another engine, a store, and what runs are called there. Out: outcomes, as if that engine had played them all.
Must not know: what a run is made of.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import replace
from types import TracebackType
from typing import Protocol, Self

from planner.engine.batch import Batch, Engine, Outcome
from planner.engine.store import Label, Store
from planner.engine.store.rows import row_of
from planner.scenario import Given

BATCHES_AT_ONCE = 40
"""Batches that are looked up together."""


class Keys(Protocol):
    """What runs are called in a store: whatever may change what comes of a run changes its key."""

    told: str
    """What the words of a failure hang on beside the run."""

    def key(self, option: str, outlook: str, replicate: int, inputs: tuple[Given, ...]) -> bytes:
        """The key of one run."""
        ...


class Stored:
    """Hands out what a store has, and plays the rest.

    Parameters
    ----------
    engine : Engine
        Plays what is missing; entered only if something is.
    store : Store
        In which a study has begun.
    keys : Keys
        What runs are called there.
    """

    def __init__(self, engine: Engine, store: Store, keys: Keys) -> None:
        self._engine = engine
        self._store = store
        self._keys = keys
        self._wanted = 0
        self._entered = ExitStack()
        self._running: Engine | None = None

    def run(self, batches: Sequence[Batch]) -> Iterator[tuple[Outcome, ...]]:
        """Play every batch: first comes what is there."""
        self._wanted += sum(one.runs for one in batches)
        missing: list[Batch] = []
        for first in range(0, len(batches), BATCHES_AT_ONCE):
            found, left = self._looked_up(batches[first : first + BATCHES_AT_ONCE])
            missing += left
            if found:
                yield found
        self._store.want(self._wanted, sum(one.runs for one in missing))
        if not missing:
            return
        if self._running is None:
            self._running = self._entered.enter_context(self._engine)
        months = {
            (one.outlook, one.inputs, world) for one in missing if one.by_month for world in one.replicates
        }
        try:
            for outcomes in self._running.run(missing):
                self._store.put(
                    (
                        _label(one),
                        one.replicate,
                        row_of(
                            self._key(one),
                            one,
                            by_month=(one.outlook, one.inputs, one.replicate) in months,
                            told=self._keys.told,
                        ),
                    )
                    for one in outcomes
                )
                yield outcomes
        except BaseException:  # what comes now may be the end
            self._store.commit()
            raise

    def _looked_up(self, batches: Sequence[Batch]) -> tuple[tuple[Outcome, ...], list[Batch]]:
        """What is there of some batches, and what is left to play of them."""
        runs = [(batch, one) for batch in batches for one in _unplayed(batch)]
        keys = [self._key(one) for _, one in runs]
        rows = self._store.find(keys)
        found: list[Outcome] = []
        belonging: list[tuple[Label, int, bytes]] = []
        left: dict[tuple[Batch, int], list[str]] = {}
        for (batch, run), key in zip(runs, keys, strict=True):
            row = rows.get(key)
            one = row and row.outcome(run, by_month=batch.by_month, told=self._keys.told)
            if one:
                found.append(one)
                belonging.append((_label(run), run.replicate, key))
            else:
                left.setdefault((batch, run.replicate), []).append(run.option)
        self._store.belong(belonging)
        return tuple(found), [
            replace(batch, replicates=(world,), options=tuple(names))
            for (batch, world), names in left.items()
        ]

    def _key(self, one: Outcome) -> bytes:
        return self._keys.key(one.option, one.outlook, one.replicate, one.inputs)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._running = None
        self._entered.__exit__(kind, error, trace)


def _unplayed(batch: Batch) -> Iterator[Outcome]:
    """What each run of a batch is called; nothing has come of it yet."""
    for world in batch.replicates:
        for option in batch.options:
            yield Outcome(option, batch.outlook, world, (), inputs=batch.inputs)


def _label(one: Outcome) -> Label:
    return Label(one.option, one.outlook, "; ".join(map(str, one.inputs)) if one.inputs else "")
