"""What is handed to an engine and what comes back.

In: names of options and outlooks, numbers of worlds. Out: the value types of the contract between a study and
whatever executes its runs. Must not know: what a run is made of.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from types import TracebackType
from typing import Literal, Protocol, Self

from planner.engine.signs import Signs
from planner.scenario import Given


@dataclass(frozen=True, slots=True)
class Batch:
    """Worlds of one outlook, each to be played with every one of these options."""

    outlook: str
    replicates: tuple[int, ...]
    options: tuple[str, ...]
    by_month: bool = False
    """Are the figures of each month wanted too?"""
    inputs: tuple[Given, ...] = ()
    """Values of the scenario that are others in these runs."""

    @property
    def runs(self) -> int:
        """How many runs this asks for."""
        return len(self.replicates) * len(self.options)

    def singles(self) -> Iterator[Batch]:
        """The same runs, one at a time."""
        for replicate in self.replicates:
            for option in self.options:
                yield replace(self, replicates=(replicate,), options=(option,))


@dataclass(frozen=True, slots=True)
class Failure:
    """Why a run has no result."""

    kind: Literal["failed", "crashed"]
    """``failed``: it raised; ``crashed``: the process that played it ended."""
    summary: str
    """One line: what was raised, and where."""
    traceback: str = ""
    late: bool = False
    """It took longer than it may: that may have been the machine."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """One run: one option in one world under one outlook."""

    option: str
    outlook: str
    replicate: int
    measures: Sequence[float]
    """In the order of the table of measures, as doubles without more, since a study keeps all of them; empty if the run
    failed."""
    failure: Failure | None = None
    months: Sequence[float] = ()
    """Figures of each month, one month after the other, if they were asked for."""
    inputs: tuple[Given, ...] = ()
    """As the batch had them."""


def crashed(run: Batch, summary: str) -> tuple[Outcome, ...]:
    """One run set aside: the process that played it ended."""
    failure = Failure("crashed", summary)
    return (Outcome(run.options[0], run.outlook, run.replicates[0], (), failure, inputs=run.inputs),)


class EngineError(RuntimeError):
    """No process could be made to work."""


Play = Callable[[Batch, Signs], tuple[Outcome, ...]]
"""Plays a batch: one outcome for each run, whatever happens in it; says meanwhile what it does. Lives as long as its
process."""

Make = Callable[[], Play]
"""Makes a player; called once in each process, so it is picklable and holds what every run needs."""


class Engine(Protocol):
    """A way to execute runs. Used as a context; leaving it ends every process that it started."""

    def run(self, batches: Sequence[Batch]) -> Iterator[tuple[Outcome, ...]]:
        """Play every batch; outcomes come in whatever order they are ready. May be called again."""
        ...

    def __enter__(self) -> Self: ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...


def worlds(
    outlooks: Iterable[str],
    replicates: Iterable[int],
    options: Iterable[str],
    by_month: str | None = None,
    inputs: Sequence[Given] = (),
) -> tuple[Batch, ...]:
    """One batch a world and outlook, each with every option: the grain in which an engine shares work out.

    ``by_month`` names the outlook under which the figures of each month are wanted; ``inputs`` are values of the
    scenario that are others in all of them.
    """
    numbers, names = tuple(replicates), tuple(options)
    return tuple(
        Batch(outlook, (number,), names, outlook == by_month, tuple(inputs))
        for outlook in outlooks
        for number in numbers
    )


def grouped(batches: Iterable[Batch], at_once: int) -> Iterator[Batch]:
    """The same work in batches of up to ``at_once`` worlds."""
    for kind, alike in groupby(batches, key=_kind):
        numbers = [number for batch in alike for number in batch.replicates]
        for first in range(0, len(numbers), at_once):
            yield replace(kind, replicates=tuple(numbers[first : first + at_once]))


def _kind(batch: Batch) -> Batch:
    """What batches must have in common to be played as one: all but their worlds."""
    return replace(batch, replicates=())
