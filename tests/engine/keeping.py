"""Stores of runs whose figures are known, for tests."""

from __future__ import annotations

import hashlib
from array import array
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from math import inf, nan
from pathlib import Path

from planner.engine import Batch, Failure, Here, Outcome, Play, Signs, Store, Stored, worlds
from planner.engine.store import Told
from planner.scenario import Given

FIGURES = (0.1, -0.0, nan, inf, 5e-324, 1e308)
WORK = worlds(["expected", "hard winter"], range(30), ["as today", "bigger pot", "post"], "expected")
TOLD = Told("compare", (), "planner compare my.yaml", "my.yaml", "My business", "a" * 64, 1, ("profit",) * 20)
ID = "b" * 64


class Named:
    """Keys made of names."""

    told = "my.yaml as it is"

    def key(self, option: str, outlook: str, replicate: int, inputs: tuple[Given, ...]) -> bytes:
        return hashlib.sha256(repr((option, outlook, replicate, inputs)).encode()).digest()


class Counted:
    """Makes a player whose figures are known, and counts what it plays."""

    def __init__(self, failing: dict[tuple[str, int], Failure] | None = None) -> None:
        self.played: list[tuple[str, str, int]] = []
        self.failing = failing or {}

    def __call__(self) -> Play:
        def play(batch: Batch, signs: Signs) -> tuple[Outcome, ...]:
            return tuple(
                self.outcome(name, batch, world) for world in batch.replicates for name in batch.options
            )

        return play

    def outcome(self, option: str, batch: Batch, world: int) -> Outcome:
        self.played.append((option, batch.outlook, world))
        failure = self.failing.get((option, world))
        if failure is not None:
            return Outcome(option, batch.outlook, world, (), failure, inputs=batch.inputs)
        figures = array(
            "d",
            (
                world,
                len(option + batch.outlook),
                *FIGURES,
                *(world / n for n in range(1, 13)),
            ),
        )
        months = array("d", [world + n / 7 for n in range(24)]) if batch.by_month else ()
        return Outcome(option, batch.outlook, world, figures, months=months, inputs=batch.inputs)


@contextmanager
def kept_in(
    path: Path, player: Counted, told: list[str] | None = None, digest: str = ID, keys: Named | None = None
) -> Iterator[Stored]:
    """A study that keeps its runs in a store."""
    with Store(path, (told if told is not None else []).append) as store:
        store.begin(digest, TOLD)
        with Stored(Here(player), store, keys or Named()) as engine:
            yield engine


def playing(path: Path, player: Counted, told: list[str] | None = None, digest: str = ID) -> list[Outcome]:
    """All of the work, played or found."""
    with kept_in(path, player, told, digest) as engine:
        return ordered(engine.run(WORK))


def plainly(work: Sequence[Batch] = WORK) -> list[Outcome]:
    """The same without a store."""
    return ordered(Here(Counted()).run(work))


def ordered(found: Iterator[tuple[Outcome, ...]]) -> list[Outcome]:
    return sorted(
        (one for those in found for one in those), key=lambda one: (one.outlook, one.replicate, one.option)
    )


def bits(outcomes: Sequence[Outcome]) -> list[str]:
    """Everything of outcomes as text: nan equals nan, and -0.0 is not 0.0."""
    return list(map(repr, outcomes))
