"""The engine that starts here and calls processes in when there is enough work left for them.

In: batches. Out: outcomes, as they are ready: the same for any number of workers. Must not know: what a run is made of.

Starting processes costs one to two seconds (measured on two cores), so a short study never starts any: the first
worlds are timed, and what is left decides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from time import perf_counter
from types import TracebackType
from typing import Final, Self

from planner.engine.batch import Batch, Make, Outcome, Play
from planner.engine.here import Here
from planner.engine.processes import Processes

WORTH_STARTING_S: Final = 2.0
"""Work left, in one process, above which processes are started [s]."""

BATCH_S: Final = 0.3
"""A batch is made about this long: short against a wait for the last, long against a message [s]."""


class AsNeeded:
    """Plays here first; in ``workers`` processes what would take longer than ``worth_starting_s``.

    Parameters
    ----------
    make : Make
        Picklable; called once in each process.
    workers : int
        Processes at most; 1 stays here.
    worth_starting_s : float
        Work left above which processes are started [s].
    play : Play, optional
        The player of this process, if there is one already.
    at_least_s : float
        How much work there surely is [s]; where that is worth starting processes for, they start at once.
    patience_s : float, optional
        How long one run may take [s].
    apart : bool
        Play nothing here, if there may be processes: a run may end the one that plays it, or never return.
    """

    def __init__(
        self,
        make: Make,
        workers: int,
        worth_starting_s: float = WORTH_STARTING_S,
        play: Play | None = None,
        at_least_s: float = 0.0,
        patience_s: float | None = None,
        apart: bool = False,
    ) -> None:
        self._make = make
        self._workers = workers
        self._worth_starting_s = worth_starting_s
        self._at_least_s = at_least_s
        self._patience_s = patience_s
        self._apart = apart and workers > 1
        self._here = Here(make, play, patience_s)
        self._each_s = 0.0
        """What a batch takes here [s]; 0 until that is known."""
        self._beside: Processes | None = None

    def run(self, batches: Sequence[Batch]) -> Iterator[tuple[Outcome, ...]]:
        """Play every batch."""
        if self._apart:
            yield from self._processes().run(batches)
            return
        left = list(reversed(batches))
        started = perf_counter()
        for played in range(len(batches)):
            if self._each_s > 0.0 and self._beside is not None and self._beside.ready():
                left.reverse()
                yield from self._beside.run(left, self._size(len(left)))
                return
            yield self._here.play(left.pop())
            if played == 0:
                started = perf_counter()  # the first fills tables that the others find
                continue
            self._each_s = (perf_counter() - started) / played
            self._start_for(self._each_s * len(left))

    def _start_for(self, work_s: float) -> None:
        """Start processes, unless they run already or so much work [s] is not worth it."""
        if self._beside is None and self._workers > 1 and work_s > self._worth_starting_s:
            self._processes().start()

    def _processes(self) -> Processes:
        if self._beside is None:
            self._beside = Processes(self._make, self._workers, patience_s=self._patience_s)
        return self._beside

    def _size(self, left: int) -> int:
        """Worlds a batch."""
        share = left // (self._workers * 4)
        return max(1, min(share, round(BATCH_S / self._each_s)))

    def __enter__(self) -> Self:
        self._start_for(self._at_least_s)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._beside is not None:
            self._beside.__exit__(kind, error, trace)
            self._beside = None
