"""What a worker of a cluster does: keep the recipe of a player, make the player once, play batches one at a time.

In: a recipe once, then batches. Out: the outcomes of a batch, or why there are none. Must not know: which runs there
are, who else works.

All that is kept hangs on the cluster's own object for the worker. A batch is played in a thread of its own, so that the
worker's thread can look at the clock: a run that takes no hint to end costs that thread, not the worker's.
"""

from __future__ import annotations

import pickle
import sys
import threading
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from time import perf_counter
from typing import Any, Final, cast

from distributed import get_worker

from planner.engine.batch import Batch, Outcome, Play
from planner.engine.papers import Needs, Papers, papers
from planner.engine.signs import TICK_S
from planner.engine.worker import Shared, SharedSigns, Watch
from planner.interrupts import Overdue

KEPT: Final = 2
"""Studies whose players a worker keeps; one whose recipe was let go is asked for it again."""

ATTRIBUTE: Final = "planner_desk"


@dataclass(frozen=True, slots=True)
class Recipe:
    """How to make a player, and what its runs hang on."""

    name: str
    pickled: bytes = field(repr=False)
    needs: Needs
    patience_s: float | None
    ours: bool
    """Was the worker started for this alone?"""


@dataclass(frozen=True, slots=True)
class Played:
    """What came of a batch on a worker."""

    outcomes: tuple[Outcome, ...]
    took_s: float


@dataclass(frozen=True, slots=True)
class Unprepared:
    """The worker does not know the recipe: it came later, or began anew."""

    worker: str


@dataclass(frozen=True, slots=True)
class Other:
    """The worker is not as it should be."""

    worker: str
    theirs: Papers


@dataclass(frozen=True, slots=True)
class Unmade:
    """The player could not be made."""

    words: str


@dataclass(frozen=True, slots=True)
class Stuck:
    """A run did not end in time, and nobody above it took notice."""

    outcomes: tuple[Outcome, ...]
    """Of the batches before."""
    run: Batch | None
    words: str
    worker: str = ""
    """Where it goes on; empty where it was cut short."""
    nanny: bool = False
    """Does somebody look after that worker who can end it?"""


Answer = Played | Unprepared | Other | Unmade | Stuck


class Left(BaseException):
    """Nobody waits for this thread any longer."""


class _Signs(SharedSigns):
    """Signs of a player that may be left alone."""

    left = False

    def begins(self) -> None:
        """A run begins."""
        if self.left:
            raise Left
        super().begins()


@dataclass(slots=True, eq=False)
class _Seat:
    """A recipe, and what was made from it."""

    recipe: Recipe
    signs: _Signs
    shared: Shared
    play: Play | None = None


class Desk:
    """What a worker keeps between batches."""

    def __init__(self) -> None:
        self._one_at_a_time = threading.Lock()
        self._changing = threading.Lock()
        self._seats: OrderedDict[str, _Seat] = OrderedDict()

    def keep(self, recipe: Recipe) -> None:
        """Keep a recipe; the player is made when its first batch comes."""
        with self._changing:
            self._seats[recipe.name] = _seat(recipe)
            while len(self._seats) > KEPT:
                self._seats.popitem(last=False)

    def knows(self, name: str) -> bool:
        """Is there a recipe of this name?"""
        with self._changing:
            return name in self._seats

    def play(self, name: str, batches: Sequence[Batch], worker: str, nanny: bool) -> Answer:
        """Play batches, when no others are being played."""
        with self._one_at_a_time:
            with self._changing:
                seat = self._seats.get(name)
                if seat is None:
                    return Unprepared(worker)
                self._seats.move_to_end(name)
            began, outcomes = perf_counter(), tuple[Outcome, ...]()
            for batch in batches:
                answer = _watched(seat, batch, worker, nanny)
                if isinstance(answer, Unmade):
                    return answer
                if isinstance(answer, Stuck):
                    self.keep(seat.recipe)  # what it was at may be half done
                    return replace(answer, outcomes=outcomes)
                outcomes += answer
            return Played(outcomes, perf_counter() - began)


def _seat(recipe: Recipe) -> _Seat:
    shared = Shared()
    return _Seat(recipe, _Signs(recipe.patience_s, shared), shared)


def _watched(seat: _Seat, batch: Batch, worker: str, nanny: bool) -> tuple[Outcome, ...] | Unmade | Stuck:
    """Play one batch in a thread of its own, and look at the clock meanwhile."""
    watch, found, done = Watch(seat.shared), list[Any](), threading.Event()
    watch.hand(batch)
    threading.Thread(target=_play, args=(seat, batch, found, done), daemon=True).start()
    while not done.wait(TICK_S):
        if watch.overdue() and not done.is_set():
            seat.signs.left = True
            return Stuck((), watch.playing(), watch.late(), worker, nanny)
    (answer,) = found
    if isinstance(answer, Overdue):
        return Stuck((), watch.playing(), f"{watch.where()}{answer}")
    if isinstance(answer, BaseException):
        raise answer
    return cast("tuple[Outcome, ...] | Unmade", answer)


def _play(seat: _Seat, batch: Batch, found: list[Any], done: threading.Event) -> None:
    """Play one batch with the player of a recipe, which is made first if need be."""
    try:
        if seat.play is None:
            try:
                seat.play = pickle.loads(seat.recipe.pickled)()
            except Exception as error:
                found.append(Unmade(f"{type(error).__name__}: {error}"))
                return
        with seat.signs.watching():
            outcomes = seat.play(batch, seat.signs)
        found.append(outcomes)
    except BaseException as error:
        found.append(error)
    finally:
        done.set()


def lay(recipe: Recipe, dask_worker: Any) -> Papers:
    """Give a worker a recipe; it answers with its papers."""
    if recipe.ours:
        sys.stdout = sys.stderr  # the parent's standard output holds one document
    desk = getattr(dask_worker, ATTRIBUTE, None) or Desk()
    setattr(dask_worker, ATTRIBUTE, desk)
    desk.keep(recipe)
    return papers(recipe.needs)


def play(
    batches: Sequence[Batch], name: str, recipe: Recipe | None = None, ours: Papers | None = None
) -> Answer:
    """Play batches on whatever worker this is.

    A worker that does not know the recipe says so, and is sent it with the batches, and what is to be on it.
    """
    worker = get_worker()
    desk: Desk | None = getattr(worker, ATTRIBUTE, None)
    if desk is None or not desk.knows(name):
        if recipe is None or ours is None:
            return Unprepared(worker.address)
        theirs = lay(recipe, worker)
        if theirs != ours:
            return Other(worker.address, theirs)
        desk = cast("Desk", getattr(worker, ATTRIBUTE))
    return desk.play(name, batches, worker.address, worker.nanny is not None)
