"""The engine that plays in processes of this machine, and outlives them.

In: batches. Out: outcomes, as they are ready. Must not know: what a run is made of.

Each process has its own pipe and one batch at a time, so when one ends we know what it was playing: those runs are
played again one by one, and a run that ends its process twice is set aside as crashed while all others go on. A process
cuts short by itself a run that takes longer than it may; where it cannot, since some library does not let it, we end it
after twice that time, set that run aside, and play its others again.
"""

from __future__ import annotations

import multiprocessing
import os
import pickle
from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from multiprocessing import resource_tracker
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from multiprocessing.sharedctypes import RawValue
from time import monotonic
from types import TracebackType
from typing import Any, Final, Self

from planner import interrupts
from planner.engine.batch import Batch, EngineError, Make, Outcome, crashed, grouped
from planner.engine.signs import TICK_S
from planner.engine.worker import HELLO, READY, Shared, Watch, serve

STRIKES: Final = 2
"""A run that was being played this many times when its process ended is set aside."""

ENDING_S: Final = 2.0
"""How long a process may take to end by itself before it is killed [s]."""

ONE_THREAD: Final = {"OPENBLAS_NUM_THREADS": "1"}
"""For a process beside ours: numpy's threads would wait for work on cores that the other processes need."""


@contextmanager
def _inherited(variables: Mapping[str, str]) -> Iterator[None]:
    """Variables that a process started here finds in its environment, unless ours says otherwise."""
    missing = [name for name in variables if name not in os.environ]
    os.environ.update({name: variables[name] for name in missing})
    try:
        yield
    finally:
        for name in missing:
            del os.environ[name]


@dataclass(slots=True, eq=False)
class _Worker:
    process: SpawnProcess
    channel: Connection[Any, Any]
    watch: Watch
    ready: bool = False

    def hand(self, batch: Batch) -> None:
        """Let it play these."""
        self.watch.hand(batch)
        with suppress(OSError):  # it has just ended: its pipe says so when we listen
            self.channel.send(batch)


@dataclass(slots=True)
class _Work:
    """What is still to be handed out, and how often a run has ended its process."""

    queue: deque[Batch]
    strikes: dict[Batch, int] = field(default_factory=dict)


class Processes:
    """Plays in ``workers`` processes, which are kept until the engine is left.

    Parameters
    ----------
    make : Make
        Picklable; called once in each process.
    workers : int
        Number of processes, 1 or more.
    at_once : int, optional
        Worlds in one batch. Left out: so that each process gets about eight batches.
    patience_s : float, optional
        How long one run may take [s]; see `Signs`.
    """

    def __init__(
        self, make: Make, workers: int, at_once: int | None = None, patience_s: float | None = None
    ) -> None:
        self._recipe = pickle.dumps(make)
        self._count = max(1, workers)
        self._at_once = at_once
        self._patience_s = patience_s
        self._ticked_s = monotonic()
        self._workers: list[_Worker] = []
        self._stillborn = 0

    def start(self, batches: int | None = None) -> None:
        """Start the processes that are missing for so many batches; they get ready while we do something else."""
        wanted = self._count if batches is None else min(self._count, batches)
        while len(self._workers) < wanted:
            self._workers.append(self._spawn())

    def ready(self) -> bool:
        """Is a process ready for work? Never waits."""
        for worker in list(self._workers):
            if not worker.ready and worker.channel.poll():
                self._greet(worker)
        return any(worker.ready for worker in self._workers)

    def run(self, batches: Sequence[Batch], at_once: int | None = None) -> Iterator[tuple[Outcome, ...]]:
        """Play every batch, ``at_once`` worlds at a time; outcomes come as they are ready."""
        for worker in [one for one in self._workers if one.watch.batch is not None]:
            worker.process.kill()  # an earlier call was left before its end: nobody waits for this
            self._remove(worker)
        number = sum(len(batch.replicates) for batch in batches)
        size = at_once or self._at_once or max(1, number // (self._count * 8))
        work = _Work(deque(grouped(batches, size)))
        while work.queue or any(worker.watch.batch for worker in self._workers):
            self.start(len(work.queue) + sum(worker.watch.batch is not None for worker in self._workers))
            self._hand_out(work)
            for channel in wait([worker.channel for worker in self._workers], TICK_S):
                worker = next(one for one in self._workers if one.channel is channel)
                yield from self._hear(worker, work)
            yield from self._look_at_the_clock(work)

    def _hand_out(self, work: _Work) -> None:
        for worker in self._workers:
            if worker.ready and worker.watch.batch is None and work.queue:
                worker.hand(work.queue.popleft())

    def _hear(self, worker: _Worker, work: _Work) -> Iterator[tuple[Outcome, ...]]:
        """What a process has to say: ready, outcomes, or that it has ended."""
        if not worker.ready:
            self._greet(worker)
            return
        try:
            outcomes = worker.channel.recv()
        except (EOFError, OSError):
            yield from self._bury(worker, work)
        else:
            worker.watch.batch = None
            yield outcomes

    def _look_at_the_clock(self, work: _Work) -> Iterator[tuple[Outcome, ...]]:
        """End a process that is at one run for too long."""
        if monotonic() - self._ticked_s < TICK_S:
            return
        self._ticked_s = monotonic()
        for worker in [one for one in self._workers if one.watch.overdue() and not one.channel.poll()]:
            worker.process.kill()
            words = f"{worker.watch.late()}; the process that played it was ended"
            self._set_aside(worker, work)
            if (run := worker.watch.playing()) is not None:
                yield crashed(run, words)

    def _set_aside(self, worker: _Worker, work: _Work) -> None:
        """Play again what it had in hand, but for the run that it was at."""
        run, batch = worker.watch.playing(), worker.watch.batch
        self._remove(worker)
        if batch is not None:
            work.queue.extendleft(reversed([one for one in batch.singles() if one != run]))

    def _greet(self, worker: _Worker) -> None:
        try:
            word = worker.channel.recv()
        except (EOFError, OSError):
            code = self._remove(worker)
            self._stillborn += 1
            if self._stillborn > self._count:
                raise EngineError(
                    f"processes end before they have started (exit code {code}); use one worker, or call this from "
                    "below `if __name__ == '__main__':`"
                ) from None
            return
        if word == HELLO:
            with suppress(OSError):  # it has just ended: its pipe says so when we listen
                worker.channel.send_bytes(self._recipe)
            return
        if word != READY:
            raise EngineError(str(word))
        worker.ready = True

    def _bury(self, worker: _Worker, work: _Work) -> Iterator[tuple[Outcome, ...]]:
        batch, where, code = worker.watch.batch, worker.watch.where(), self._remove(worker)
        if batch is None:
            return
        if batch.runs > 1:
            work.queue.extendleft(reversed(list(batch.singles())))
            return
        work.strikes[batch] = work.strikes.get(batch, 0) + 1
        if work.strikes[batch] < STRIKES:
            work.queue.append(batch)
            return
        yield crashed(batch, f"{where}the process that played it ended (exit code {code})")

    def _spawn(self) -> _Worker:
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        # the recipe follows over our own pipe: were it an argument, a child that ends before it has read it would
        # leave us writing for ever
        shared = RawValue(Shared)
        process = context.Process(target=serve, args=(theirs, shared, self._patience_s), daemon=True)
        resource_tracker.ensure_running()  # it would let Ctrl-C through again
        with interrupts.unseen(), _inherited(ONE_THREAD):  # Ctrl-C while it starts prints nothing
            process.start()
        theirs.close()
        return _Worker(process, ours, Watch(shared))

    def _remove(self, worker: _Worker) -> int | None:
        self._workers.remove(worker)
        worker.process.join(ENDING_S)
        if worker.process.is_alive():
            worker.process.kill()
            worker.process.join()
        worker.channel.close()
        return worker.process.exitcode

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        for worker in self._workers:
            if kind is None and worker.ready and worker.watch.batch is None:
                with suppress(OSError):
                    worker.channel.send(None)
            else:
                worker.process.kill()
        for worker in list(self._workers):
            self._remove(worker)
