"""Players whose outcomes are known, for the engines to play with. Importable by the processes that are started."""

from __future__ import annotations

import ctypes
import multiprocessing
import os
import time
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from planner.engine import Batch, Outcome, Play, Signs


def outcomes(batch: Batch) -> tuple[Outcome, ...]:
    return tuple(
        Outcome(option, batch.outlook, replicate, (float(replicate), float(len(option))))
        for replicate in batch.replicates
        for option in batch.options
    )


@dataclass(frozen=True)
class Plain:
    seconds: float = 0.0
    ballast: bytes = b""

    def __call__(self) -> Play:
        def play(batch: Batch, signs: Signs) -> tuple[Outcome, ...]:
            time.sleep(self.seconds * len(batch.replicates))
            return outcomes(batch)

        return play


@dataclass(frozen=True)
class Signed:
    """Says which process played: its number stands in the second measure."""

    seconds: float = 0.0

    def __call__(self) -> Play:
        def play(batch: Batch, signs: Signs) -> tuple[Outcome, ...]:
            time.sleep(self.seconds * len(batch.replicates))
            return tuple(
                Outcome(one.option, one.outlook, one.replicate, (one.measures[0], float(os.getpid())))
                for one in outcomes(batch)
            )

        return play


@dataclass(frozen=True)
class Gathered:
    """Says which process played; none that was started goes on before ``number`` have begun, so none comes too late.

    The process that started the others does not wait: each world takes it ``seconds``.
    """

    folder: Path
    number: int
    seconds: float = 0.0

    def __call__(self) -> Play:
        def play(batch: Batch, signs: Signs) -> tuple[Outcome, ...]:
            (self.folder / str(os.getpid())).touch()
            if multiprocessing.parent_process() is None:
                return Signed(self.seconds)()(batch, signs)
            while len(list(self.folder.iterdir())) < self.number:
                time.sleep(0.01)
            return Signed()()(batch, signs)

        return play


@dataclass(frozen=True)
class Threaded:
    """Says with how many threads numpy would work: the number stands in the second measure."""

    def __call__(self) -> Play:
        def play(batch: Batch, signs: Signs) -> tuple[Outcome, ...]:
            threads = float(os.environ.get("OPENBLAS_NUM_THREADS", "nan"))
            return tuple(
                Outcome(one.option, one.outlook, one.replicate, (one.measures[0], threads))
                for one in outcomes(batch)
            )

        return play


@dataclass(frozen=True)
class Deadly:
    """One run ends the process that plays it: always, or only the first time."""

    option: str
    replicate: int
    scar: Path | None = None

    def __call__(self) -> Play:
        def play(batch: Batch, signs: Signs) -> tuple[Outcome, ...]:
            if (
                self.option in batch.options
                and self.replicate in batch.replicates
                and not (self.scar and self.scar.exists())
            ):
                if self.scar:
                    self.scar.write_text("once")
                os._exit(7)
            return outcomes(batch)

        return play


@dataclass(frozen=True)
class Unmakable:
    def __call__(self) -> Play:
        raise ValueError("the weather file is gone")


@dataclass(frozen=True)
class Stillborn:
    def __call__(self) -> Play:
        os._exit(3)


@dataclass(frozen=True)
class Endless:
    """Writes down the number of its process, then never comes back."""

    folder: Path

    def __call__(self) -> Play:
        def play(batch: Batch, signs: Signs) -> tuple[Outcome, ...]:
            (self.folder / str(os.getpid())).touch()
            time.sleep(600)
            return outcomes(batch)

        return play


@dataclass(frozen=True)
class Stuck:
    """One run sleeps, and takes no hint; says what it does, as a player must."""

    option: str
    replicate: int

    def __call__(self) -> Play:
        def play(batch: Batch, signs: Signs) -> tuple[Outcome, ...]:
            for one in batch.singles():
                signs.begins()
                signs.asks(f"asked for {one.options[0]}")
                while (one.options[0], one.replicates[0]) == (self.option, self.replicate):
                    with suppress(BaseException):
                        time.sleep(600)
                signs.asks("")
            return outcomes(batch)

        return play


def left_behind(folder: Path) -> None:
    """Start endless work in two processes: for a test that kills whoever calls this."""
    from planner.engine import Processes, worlds

    with Processes(Endless(folder), 2) as engine:
        list(engine.run(worlds(["expected"], range(8), ["as today"])))


@dataclass(frozen=True)
class Spinning:
    """One run never gets on; Python gets a word in all the time."""

    option: str
    replicate: int

    def __call__(self) -> Play:
        def play(batch: Batch, signs: Signs) -> tuple[Outcome, ...]:
            for one in batch.singles():
                signs.begins()
                while (one.options[0], one.replicates[0]) == (self.option, self.replicate):
                    pass
            return outcomes(batch)

        return play


@dataclass(frozen=True)
class Frozen:
    """One run is in machine code that lets nothing else of its process through."""

    option: str
    replicate: int

    def __call__(self) -> Play:
        def play(batch: Batch, signs: Signs) -> tuple[Outcome, ...]:
            for one in batch.singles():
                signs.begins()
                if (one.options[0], one.replicates[0]) == (self.option, self.replicate):
                    ctypes.PyDLL(None).sleep(600)
            return outcomes(batch)

        return play


@dataclass(frozen=True)
class Counted:
    """Leaves a mark each time a player is made; says which process played."""

    folder: Path
    seconds: float = 0.0

    def __call__(self) -> Play:
        (self.folder / f"{os.getpid()}-{time.monotonic_ns()}").touch()
        return Signed(self.seconds)()


@dataclass(frozen=True)
class Crowded:
    """Says how many play in this process at the same time: the number stands in the second measure."""

    def __call__(self) -> Play:
        at_once = [0]

        def play(batch: Batch, signs: Signs) -> tuple[Outcome, ...]:
            at_once[0] += 1
            time.sleep(0.02)
            most = float(at_once[0])
            at_once[0] -= 1
            return tuple(
                Outcome(one.option, one.outlook, one.replicate, (0.0, most)) for one in outcomes(batch)
            )

        return play


def cluster_left_behind(folder: Path) -> None:
    """Start endless work on a cluster of two processes: for a test that kills whoever calls this."""
    from planner.engine import worlds
    from planner.engine.cluster import Cluster

    with Cluster(Endless(folder), 2, at_once=1) as engine:
        list(engine.run(worlds(["expected"], range(8), ["as today"])))
