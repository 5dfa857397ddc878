"""The player: what every process does with a batch of worlds.

In: a scenario and a seed once, then batches. Out: one outcome for each run, whatever happens in it.
Must not know: in which process it lives, what the outcomes are for.

In each world all options are played one after the other and share whatever of it does not differ between them; so do
batches of the same world that follow on each other.
"""

from __future__ import annotations

import gc
from array import array
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from itertools import product
from math import isfinite
from pathlib import PurePath
from typing import Any, Final

from planner import interrupts
from planner.engine.batch import Batch, Failure, Outcome
from planner.engine.signs import Signs
from planner.interrupts import Overdue, frames_of
from planner.plugin.models import Watched, models_for
from planner.plugin.registry import Registry
from planner.scenario import Given, InputError, Problem, Scenario
from planner.workshop.measures import MEASURES
from planner.workshop.months import months_of
from planner.workshop.play import play
from planner.workshop.premises import Premises, StartUp, Tables, premises
from planner.workshop.result import Run
from planner.world.asking import ModelError
from planner.world.build import Cache, Models, build
from planner.world.draw import Draw
from planner.world.parts import World
from planner.world.unsure import drawn_inputs

DECISIVE: Final = ("profit", "profit_after_hours")
"""Measures without which a run has failed: a choice that meets nan would reject everything."""

TRACEBACK_LINES: Final = 12

SCENARIOS_KEPT: Final = 32
PREPARED_KEPT: Final = 1024
"""What other values of the scenario need is kept for so many of them; what the scenario itself says is always kept."""

WORLDS_KEPT: Final = 4
"""Scenarios in which estimates came out one way are kept for so many worlds, and with so many sets of other values."""
PREPARED_IN_WORLDS: Final = 64
"""What they need to be played; a study plays each option in a world once."""

ASKED_IN_VAIN: Final = 3
"""A hook of a package that took longer than a run may so many times is not asked again in this process."""

Workshop = Callable[..., Run]


@dataclass(frozen=True, slots=True)
class Setting:
    """What every run of a study needs; calling it makes a player. Picklable."""

    scenario: Scenario
    seed: int
    workshop: Workshop = play

    def __call__(self) -> Player:
        """Make the player of this process."""
        return Player(self)


@dataclass(frozen=True, slots=True, eq=False)
class _Prepared:
    """One option under one outlook, ready to be played."""

    business: Any
    models: Models
    start_up: StartUp
    known: Premises


class _InVainError(ModelError):
    """A hook is not asked any more."""


class Player:
    """Plays options in worlds, and keeps what is the same in every world.

    Parameters
    ----------
    setting : Setting
        Scenario and root seed.
    """

    def __init__(self, setting: Setting) -> None:
        self._setting = setting
        self._registry = Registry()
        self._tables = Tables()
        self._prepared: dict[tuple[str, str], _Prepared] = {}
        self._scenario_at = lru_cache(maxsize=SCENARIOS_KEPT)(setting.scenario.at)
        self._prepared_at = lru_cache(maxsize=PREPARED_KEPT)(self._made)
        self._scenario_in = lru_cache(maxsize=WORLDS_KEPT)(self._in_world)
        self._prepared_in = lru_cache(maxsize=PREPARED_IN_WORLDS)(self._made_in_world)
        self._last: tuple[int, Cache] = (-1, {})
        """The world that was played last, and what was drawn of it."""
        self._signs = Signs()
        self._overdue: Counter[str] = Counter()
        """How often a hook of a package did not answer in time."""

    def __call__(self, batch: Batch, signs: Signs | None = None) -> tuple[Outcome, ...]:
        """Play every option of a batch in every world of it."""
        self._signs = signs or Signs()
        outcomes = []
        for replicate in batch.replicates:
            cache = self._cache_of(replicate)
            with uncollected():
                outcomes += [self._outcome(option, batch, replicate, cache) for option in batch.options]
        return tuple(outcomes)

    def _cache_of(self, replicate: int) -> Cache:
        """What was drawn of this world already, if it is the one that was played last."""
        if self._last[0] != replicate:
            self._last = (replicate, {})
        return self._last[1]

    def scenario(self, inputs: tuple[Given, ...] = ()) -> Scenario:
        """The scenario with some values set to others; its estimates as they stand in the file."""
        return self._scenario_at(inputs) if inputs else self._setting.scenario

    def _in_world(self, replicate: int, inputs: tuple[Given, ...]) -> Scenario:
        """The same as estimates come out in one world, before what is set or taken."""
        if inputs:
            return self._scenario_in(replicate, ()).at(inputs)
        scenario = self._setting.scenario
        return scenario.drawn(drawn_inputs(scenario.estimates, Draw(self._setting.seed, replicate)))

    def prepare(
        self, options: Iterable[str], outlooks: Iterable[str], inputs: tuple[Given, ...] = ()
    ) -> None:
        """Make every business and its models now, so that what is wrong is told before anything runs, all at once.

        What an outlook makes impossible under several options is told of the first.
        """
        told: dict[tuple[str, int, int, str], Problem] = {}
        for outlook, option in product(outlooks, options):
            try:
                self._ready(option, outlook, inputs)
            except InputError as error:
                for one in error.problems:
                    told.setdefault((one.file, one.line, one.column, one.message), one)
        if told:
            raise InputError.of(told.values())

    def run(
        self,
        option: str,
        outlook: str,
        replicate: int,
        cache: Cache | None = None,
        inputs: tuple[Given, ...] = (),
    ) -> Run:
        """Play one option in one world; raises whatever goes wrong."""
        return self.see(option, outlook, replicate, cache, inputs=inputs)[1]

    def see(
        self,
        option: str,
        outlook: str,
        replicate: int,
        cache: Cache | None = None,
        diary: bool = True,
        inputs: tuple[Given, ...] = (),
    ) -> tuple[World, Run]:
        """Play one option in one world, and show the world too; without a diary where nobody will read it."""
        if self._setting.scenario.estimates:
            ready = self._prepared_in(option, outlook, inputs, replicate)
        else:
            ready = self._ready(option, outlook, inputs)
        draw = Draw(self._setting.seed, replicate)
        world = build(draw, ready.business, ready.models, cache, self._asks)
        pricing = ready.models.pricing
        if isinstance(pricing, Watched):
            pricing = pricing.during(draw, self._asks)
        run = self._setting.workshop(
            ready.business, world, pricing, ready.start_up, self._tables, ready.known, diary
        )
        if isinstance(pricing, Watched):
            pricing.see_all_left_alone()
        return world, run

    def _outcome(self, option: str, batch: Batch, replicate: int, cache: Cache) -> Outcome:
        outlook, inputs = batch.outlook, batch.inputs
        try:
            self._signs.begins()
            run = self.see(option, outlook, replicate, cache, diary=False, inputs=inputs)[1]
            measures = run.measures
            months = array("d", months_of(run).tobytes()) if batch.by_month else ()
        except (Exception, Overdue) as error:
            if isinstance(error, Overdue):  # it may have been cut short where something is half done
                self._last, self._tables = (-1, {}), Tables()
                cache.clear()
            elif isinstance(_first_cause(error), Overdue):
                self._overdue[_hook_in(str(error))] += 1
            late = isinstance(error, _InVainError) or isinstance(_first_cause(error), Overdue)
            return Outcome(
                option, outlook, replicate, (), replace(failure_of(error), late=late), inputs=inputs
            )
        unsound = [name for name in DECISIVE if not isfinite(measures[name])]
        if unsound:
            failure = Failure("failed", f"{unsound[0]} came out as {measures[unsound[0]]}")
            return Outcome(option, outlook, replicate, (), failure, inputs=inputs)
        values = array("d", [measures[m.name] for m in MEASURES])
        return Outcome(option, outlook, replicate, values, months=months, inputs=inputs)

    def _asks(self, hook: str) -> None:
        """A package is about to be asked; not again and again one that never answers."""
        if hook and self._overdue[_hook_in(hook)] >= ASKED_IN_VAIN:
            raise _InVainError(
                f"{hook}: it did not answer in time {ASKED_IN_VAIN} times, and is not asked again"
            )
        self._signs.asks(hook)

    def _ready(self, option: str, outlook: str, inputs: tuple[Given, ...] = ()) -> _Prepared:
        if inputs:
            return self._prepared_at(option, outlook, inputs)
        key = (option, outlook)
        if key not in self._prepared:
            self._prepared[key] = self._made(option, outlook, inputs)
        return self._prepared[key]

    def _made_in_world(
        self, option: str, outlook: str, inputs: tuple[Given, ...], replicate: int
    ) -> _Prepared:
        try:
            plain = self._ready(option, outlook)
        except InputError:  # it may be possible with other values
            plain = None
        return self._made_of(self._scenario_in(replicate, inputs), option, outlook, plain)

    def _made(self, option: str, outlook: str, inputs: tuple[Given, ...]) -> _Prepared:
        return self._made_of(self.scenario(inputs), option, outlook)

    def _made_of(
        self, scenario: Scenario, option: str, outlook: str, plain: _Prepared | None = None
    ) -> _Prepared:
        business = scenario.business(option, outlook)
        cost = scenario.options[option]
        with interrupts.held():  # libraries that read files turn Ctrl-C into an error of theirs
            where = partial(scenario.where, option, outlook)
            like = None if plain is None else (plain.business, plain.models)
            models = models_for(self._registry, business, where, self._asks, like)
        return _Prepared(business, models, StartUp(cost.start_up_cost, cost.resale), premises(business))


@contextmanager
def uncollected() -> Iterator[None]:
    """Python does not look for cycles meanwhile: a run's rows are none, and looking through them takes time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def failure_of(error: BaseException) -> Failure:
    """An exception as a row can carry it: the first cause, and where it was raised."""
    first = _first_cause(error)
    said = " ".join(str(error).split())
    frames = frames_of(first)
    where = f" ({_short(frames[-1].filename)}:{frames[-1].lineno})" if frames else ""
    lines = [f"{_short(frame.filename)}:{frame.lineno} in {frame.name}" for frame in frames]
    told = "\n".join([*lines[-TRACEBACK_LINES:], f"{type(first).__name__}: {first}"])
    if isinstance(error, ModelError):  # says itself what was raised, and where
        return Failure("failed", said, told)
    return Failure("failed", f"{type(error).__name__}: {said}{where}", told)


def _first_cause(error: BaseException) -> BaseException:
    while error.__cause__ is not None:
        error = error.__cause__
    return error


def _hook_in(words: str) -> str:
    """The model, its package and the hook, without the run."""
    return words.partition(", replicate ")[0]


def _short(filename: str) -> str:
    """A module's file from its package on, the same on every machine."""
    parts = PurePath(filename).parts
    for mark in ("site-packages", "src"):
        if mark in parts:
            return "/".join(parts[len(parts) - parts[::-1].index(mark) :])
    return "/".join(parts[-3:])
