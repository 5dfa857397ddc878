"""The engine that plays on a cluster of Dask: many machines, or processes of this one.

In: batches. Out: outcomes, as they are ready. Must not know: what a run is made of.

Dask hands batches to workers and plays them again when a worker ends. It does not say whose fault that was: batches
that were with a worker when it ended too often are played again run by run, and a run of these that is so again waits
until nothing else is played anywhere. If its worker ends then too, it is set aside as crashed. A run that takes longer
than it may is cut short on its worker; where it takes no hint, that worker is ended.
"""

from __future__ import annotations

import hashlib
import pickle
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass, field
from math import ceil
from queue import Empty, SimpleQueue
from time import monotonic
from types import TracebackType
from typing import Any, Final, Self
from uuid import uuid4

from distributed import Client, Future, KilledWorker
from distributed.client import FutureCancelledError

from planner.engine.batch import Batch, EngineError, Make, Outcome, crashed, grouped
from planner.engine.connecting import connected
from planner.engine.desk import Answer, Other, Played, Recipe, Stuck, Unmade, Unprepared, lay, play
from planner.engine.papers import Needs, Papers, differences, papers
from planner.engine.signs import LONGEST_TIMES, PATIENCE_S, too_long
from planner.engine.worker import TIMES_ITS_OWN

RUN_S: Final = 0.01
"""What a run takes, until one was played (assumed) [s]."""

LEAST_RUNS, LEAST_S = 20, 0.2
"""Work that is worth a message: so many runs, or so long [s], whichever is less."""

BATCH_S: Final = 0.5
"""A message's work takes about this long, where there is much of it [s]."""

SHARES: Final = 4
"""Each worker gets so many messages at least, where there is enough work: so that all end about together."""

QUIET_S: Final = 1.0
"""Where nothing came for so long, we look whether the workers are there [s]."""

HANDED_S: Final = 5.0
"""Answers that are ready are handed over within this time, or one by one [s]."""

SILENT_S: Final = 15.0
"""A worker that is well is heard of at least so often [s]; by default every half second, of a thousand every five."""

NOBODY_S: Final = 60.0
"""How long we wait for workers where none is left [s]."""

STILLBORN: Final = 4
"""Workers that end before any run was played, until we give up."""

RESTART_S: Final = 30.0
"""How long a worker may take to begin anew [s]."""

Bundle = tuple[Batch, ...]
"""What one message asks for."""


@dataclass(slots=True, eq=False)
class _Work:
    """What is being played, and who is suspected of ending workers."""

    ready: SimpleQueue[Future[Answer]] = field(default_factory=SimpleQueue)
    pending: dict[Any, tuple[Future[Answer], Bundle]] = field(default_factory=dict)
    suspects: deque[Bundle] = field(default_factory=deque)
    alone: Bundle | None = None
    """A suspect that is played while nothing else is."""

    def next(self) -> list[Future[Answer]]:
        """What is ready by now; nothing if nothing was for `QUIET_S`."""
        found = list[Any]()
        with suppress(Empty):
            found.append(self.ready.get(timeout=QUIET_S))
            while True:
                found.append(self.ready.get_nowait())
        return [one for one in found if one.key in self.pending]


class Cluster:
    """Plays on the workers of a Dask scheduler.

    Parameters
    ----------
    make : Make
        Picklable; called once on each worker.
    workers : int
        Processes to start, where there is no scheduler.
    scheduler : str, optional
        Its address, such as ``tcp://192.0.2.7:8786``.
    at_once : int, optional
        Worlds in one batch. Left out: as many as take `BATCH_S`, and no fewer than are worth a message.
    patience_s : float, optional
        How long one run may take [s]; see `Signs`.
    needs : Needs
        What workers must have as we have it.
    """

    def __init__(
        self,
        make: Make,
        workers: int = 1,
        scheduler: str | None = None,
        at_once: int | None = None,
        patience_s: float | None = None,
        needs: Needs | None = None,
    ) -> None:
        recipe = pickle.dumps(make)
        name = f"{hashlib.sha256(recipe).hexdigest()[:16]}-{uuid4().hex[:16]}"
        self._recipe = Recipe(name, recipe, needs or Needs(), patience_s, ours=scheduler is None)
        self._papers = papers(self._recipe.needs)
        self._count = max(1, workers)
        self._scheduler = scheduler
        self._at_once = at_once
        self._runs, self._took_s, self._longest_s = 0, 0.0, 0.0
        self._ends = self._sent = 0
        self._nobody = 0
        self._silent: dict[str, tuple[float, float]] = {}
        self._looked_s = monotonic()
        self._leaving = ExitStack()
        self._connection: Any = None

    @property
    def _client(self) -> Any:
        """The connection, made when it is first needed; Dask publishes types of some of it only."""
        if self._connection is None:
            self._connection = self._leaving.enter_context(connected(self._scheduler, self._count))
            self._prepare(self._connection)
        return self._connection

    def run(self, batches: Sequence[Batch]) -> Iterator[tuple[Outcome, ...]]:
        """Play every batch; outcomes come as they are ready."""
        if not batches:
            return
        work = _Work()
        try:
            self._submit(work, self._bundles(batches))
            while work.pending or work.suspects:
                if not work.pending:
                    work.alone = work.suspects.popleft()
                    self._submit(work, [work.alone])
                heard = False
                for bundle, answer in self._answers(work, work.next()):
                    heard = True
                    yield from self._hear(work, bundle, answer)
                if not heard:
                    yield from self._look_around(work)
        finally:
            if self._connection is not None and work.pending:
                with suppress(Exception):
                    self._connection.cancel([future for future, _ in work.pending.values()])

    def _bundles(self, batches: Sequence[Batch]) -> list[Bundle]:
        """The work in pieces that are worth a message."""
        number, runs = sum(len(one.replicates) for one in batches), sum(one.runs for one in batches)
        run_s = self._took_s / self._runs if self._runs else RUN_S
        each = runs / number
        least = min(LEAST_RUNS, LEAST_S / run_s)
        size = self._at_once
        if size is None:
            share = number // (len(self._client.nthreads()) * SHARES)
            size = max(1, ceil(least / each), min(share, round(BATCH_S / (run_s * each))))
        return list(_bundled(grouped(batches, size), 1 if self._at_once else least))

    def _submit(self, work: _Work, bundles: Iterable[Bundle], asked_by: str | None = None) -> None:
        """Send bundles; before all others, and with the recipe, where a worker asked for it."""
        bundles = list(bundles)
        keys = [f"planner-play-{self._recipe.name}-{self._sent + n}" for n in range(len(bundles))]
        self._sent += len(bundles)
        sent: dict[str, Any] = {}
        if asked_by is not None:
            sent = {"recipe": self._recipe, "ours": self._papers, "priority": 1}
            sent |= {"workers": [asked_by], "allow_other_workers": True}
        futures = self._client.map(play, bundles, key=keys, pure=False, name=self._recipe.name, **sent)
        for future, bundle in zip(futures, bundles, strict=True):
            work.pending[future.key] = (future, bundle)
            future.add_done_callback(work.ready.put)

    def _answers(
        self, work: _Work, ready: Sequence[Future[Answer]]
    ) -> Iterator[tuple[Bundle, Answer | KilledWorker]]:
        """What workers answered, or that they ended."""
        answers = self._gathered([one for one in ready if one.status == "finished"])
        answer: Answer | KilledWorker | None
        late = list[Future[Answer]]()
        for future in ready:
            answer = answers.get(future.key)
            if answer is None and not late:  # one at a time is waited for, so that we get to look around
                answer = self._answer(future)
            if answer is None:
                late.insert(0, future)
            else:
                yield work.pending.pop(future.key)[1], answer
        for future in late:
            work.ready.put(future)

    def _gathered(self, finished: Sequence[Future[Answer]]) -> dict[Any, Answer]:
        """The answers of these; none where that takes long, or a worker ended before it could hand its own over."""

        async def gathered() -> Any:
            return await self._client.gather(finished, asynchronous=True)

        try:
            answers = self._client.sync(gathered, callback_timeout=HANDED_S)
        except Exception:
            return {}
        return dict(zip([one.key for one in finished], answers, strict=True))

    def _answer(self, future: Future[Answer]) -> Answer | KilledWorker | None:
        """One answer; None where the worker that has it does not hand it over now."""
        try:
            return future.result(timeout=QUIET_S)
        except KilledWorker as error:
            return error
        except FutureCancelledError:
            raise self._gone() from None
        except Exception as error:
            if isinstance(error, TimeoutError) and future.status != "error":
                return None
            self._prepare(self._client)  # says which one, if it came later without planner
            raise EngineError(
                f"a worker could not play what it was sent ({type(error).__name__}: {error})"
            ) from error

    def _hear(
        self, work: _Work, bundle: Bundle, answer: Answer | KilledWorker
    ) -> Iterator[tuple[Outcome, ...]]:
        match answer:
            case Played():
                self._note(answer)
                yield answer.outcomes
            case Unprepared():
                self._submit(work, [bundle], answer.worker)
            case Other():
                self._check(answer.worker, answer.theirs)
            case Unmade():
                raise EngineError(answer.words)
            case Stuck():
                yield from self._cut(work, bundle, answer)
            case _:
                self._ends += 1
                if not self._runs and self._ends >= STILLBORN:
                    raise EngineError(
                        f"{self._ends} workers ended before any of them had played a run; what they said last tells "
                        "why (their memory may not suffice)"
                    )
                yield from self._suspect(work, bundle, "the process that played it ended")

    def _note(self, played: Played) -> None:
        """How long runs take."""
        runs = max(1, len(played.outcomes))
        self._runs, self._took_s = self._runs + runs, self._took_s + played.took_s
        self._longest_s = max(self._longest_s, played.took_s / runs)

    def _suspect(self, work: _Work, bundle: Bundle, words: str) -> Iterator[tuple[Outcome, ...]]:
        """A worker ended that had these in hand."""
        singles = [(one,) for batch in bundle for one in batch.singles()]
        if len(singles) > 1:
            self._submit(work, singles)
        elif bundle != work.alone:
            work.suspects.append(bundle)
        else:
            yield crashed(bundle[0], words)

    def _cut(self, work: _Work, bundle: Bundle, stuck: Stuck) -> Iterator[tuple[Outcome, ...]]:
        """A run took longer than it may: set it aside, and play again what was to come after it."""
        words = stuck.words
        if stuck.worker:
            words += "; " + self._end(stuck.worker, stuck.nanny)
        yield stuck.outcomes
        if stuck.run is not None:
            yield crashed(stuck.run, words)
        done = {(one.option, one.outlook, one.replicate, one.inputs) for one in stuck.outcomes}
        left = [
            one
            for batch in bundle
            for one in batch.singles()
            if one != stuck.run and (one.options[0], one.outlook, one.replicates[0], one.inputs) not in done
        ]
        self._submit(work, _bundled(left, LEAST_RUNS))

    def _end(self, worker: str, nanny: bool) -> str:
        """End a worker, and say so."""
        if not nanny:
            return f"it goes on at the worker {worker}, which has no nanny to end it: end it by hand"
        with suppress(Exception):  # it may have ended meanwhile
            self._client.restart_workers([worker], timeout=RESTART_S, raise_for_error=False)
        return "the process that played it was ended"

    def _look_around(self, work: _Work) -> Iterator[tuple[Outcome, ...]]:
        """Nothing came for a while: are the workers there?"""
        try:
            found = self._client.scheduler_info(n_workers=-1)["workers"]
        except Exception:
            raise self._gone() from None
        self._nobody = 0 if found else self._nobody + 1
        if self._nobody * QUIET_S > NOBODY_S:
            raise EngineError(
                f"no worker is left at the scheduler{self._there}; start some, and give the same command again"
            )
        most_s = max(self._recipe.patience_s or PATIENCE_S, LONGEST_TIMES * self._longest_s)
        since_s, self._looked_s = min(HANDED_S * 2, monotonic() - self._looked_s), monotonic()
        for worker, about in found.items():
            last, silent_s = self._silent.get(worker, (0.0, 0.0))
            silent_s = silent_s + since_s if last == about["last_seen"] else 0.0
            self._silent[worker] = (about["last_seen"], silent_s)
            if silent_s > max(SILENT_S, TIMES_ITS_OWN * most_s):
                yield from self._silenced(work, worker, about["nanny"] is not None, too_long(most_s))

    def _silenced(self, work: _Work, worker: str, nanny: bool, words: str) -> Iterator[tuple[Outcome, ...]]:
        """A worker is held up by something that lets nothing else of it through: end it, suspect what it had."""
        del self._silent[worker]
        had = [key for key in map(str, self._client.processing([worker])[worker]) if key in work.pending]
        if not had:
            return
        if not nanny:
            raise EngineError(
                f"the worker {worker} does not answer any more, and has no nanny to end it: end it by hand, start it "
                "again with a nanny, and give the same command again"
            )
        futures, bundles = zip(*(work.pending.pop(key) for key in had), strict=True)
        self._client.cancel(futures)
        words = f"{words}; {self._end(worker, nanny)}"
        for bundle in bundles:
            yield from self._suspect(work, bundle, words)

    def _prepare(self, client: Client) -> None:
        """Give the recipe to all workers that are there."""
        for worker, theirs in client.run(lay, self._recipe, on_error="return").items():
            if isinstance(theirs, OSError):  # it ended just then
                continue
            if isinstance(theirs, Exception):
                raise EngineError(
                    f"the worker {worker} has no planner that fits ({type(theirs).__name__}: {theirs}); install "
                    f"planner {self._papers['planner']} and the scenario's packages there, and start it again"
                )
            self._check(worker, theirs)

    def _check(self, worker: str, theirs: Papers) -> None:
        if wrong := differences(theirs, self._papers):
            raise EngineError(
                f"the worker {worker} would not bring the same as this machine: {'; '.join(wrong)}; then start the "
                "worker again"
            )

    @property
    def _there(self) -> str:
        return f" at {self._scheduler}" if self._scheduler else ""

    def _gone(self) -> EngineError:
        return EngineError(f"the scheduler{self._there} has gone; start it, and give the same command again")

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._connection = None
        self._leaving.close()


def _bundled(batches: Iterable[Batch], least: float) -> Iterator[Bundle]:
    """The same batches in bundles of ``least`` runs or a few more."""
    bundle, runs = list[Batch](), 0
    for batch in batches:
        bundle.append(batch)
        runs += batch.runs
        if runs >= least:
            yield tuple(bundle)
            bundle, runs = [], 0
    if bundle:
        yield tuple(bundle)
