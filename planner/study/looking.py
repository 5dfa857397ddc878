"""What a scenario's models are asked without playing: with the clock of a run, and apart from us as runs are.

In: a scenario, an option, a function that asks the models in one world. Out: what the function returned, or words like
those of a run that failed. Must not know: what is asked, how it is shown.

Models of packages are asked in a process beside ours, if there may be one: whatever they do does not end us.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any, TypeVar

from planner.engine import AsNeeded, Batch, Outcome, Play, Signs, patience_s
from planner.engine.player import failure_of
from planner.interrupts import Overdue
from planner.plugin.models import Watched, models_for
from planner.plugin.packages import is_outside
from planner.plugin.registry import Registry
from planner.scenario import Scenario
from planner.scenario.business import Business
from planner.scenario.header import EXPECTED
from planner.world.asking import ModelError
from planner.world.build import Models, build
from planner.world.draw import Draw
from planner.world.parts import Pricing, World

Found = TypeVar("Found")
Look = Callable[[Scenario, str, World, Pricing], Found]
"""Asks what it wants to know of one option. A function of a module, since it may be called in another process."""

WORLD = 0
"""The world that is looked at."""


class CheckError(Exception):
    """A model failed when it was asked. One line, as of a run that failed."""


@dataclass(frozen=True, slots=True)
class _Looked(Outcome):
    """What was found, or why the models could not even be made."""

    found: Any = None
    unmade: str = ""


@dataclass(frozen=True, slots=True)
class _Looking:
    """Makes a player that looks instead of playing. Picklable."""

    scenario: Scenario
    look: Look[Any]

    def __call__(self) -> Play:
        return self.play

    def play(self, batch: Batch, signs: Signs) -> tuple[Outcome, ...]:
        """Look at the one option of the batch in its one world."""
        (option,), (world,) = batch.options, batch.replicates
        say = partial(_Looked, option, batch.outlook, world, ())
        signs.begins()
        try:
            models = _models(self.scenario, option, signs)
        except ModelError as error:
            return (say(unmade=str(error)),)
        try:
            return (say(found=_asked(self.scenario, option, models, self.look, signs)),)
        except (Exception, Overdue) as error:
            return (say(failure=failure_of(error)),)


def looked(scenario: Scenario, option: str, look: Look[Found], apart: bool = False) -> Found:
    """What a look at one option finds.

    Parameters
    ----------
    scenario : Scenario
        Loaded by ``planner.load``.
    option : str
        Under the expected outlook.
    look : callable
        A function of a module.
    apart : bool
        Ask packages in a process beside this one.

    Raises
    ------
    planner.scenario.InputError
        An unknown option.
    planner.world.asking.ModelError
        A model cannot be made from its settings; or one of the planner's own failed.
    CheckError
        A model of a package failed, or took longer than a run may.
    """
    if not any(map(is_outside, _names(scenario.business(option)))):
        nobody = Signs()
        return _asked(scenario, option, _models(scenario, option, nobody), look, nobody)
    make = _Looking(scenario, look)
    with AsNeeded(make, 1 + apart, patience_s=patience_s(scenario), apart=apart) as engine:
        ((answer,),) = engine.run([Batch(EXPECTED, (WORLD,), (option,))])
    if answer.failure is not None:
        raise CheckError(answer.failure.summary)
    if not isinstance(answer, _Looked) or answer.unmade:
        raise ModelError(getattr(answer, "unmade", ""))
    found: Found = answer.found
    return found


def _names(business: Business) -> list[str]:
    """Every model of a business."""
    ones = (business.weather, business.rates, business.pricing, *business.supply, *business.demand)
    return [one.model for one in ones]


def _models(scenario: Scenario, option: str, signs: Signs) -> Models:
    where = partial(scenario.where, option, EXPECTED)
    return models_for(Registry(), scenario.business(option), where, signs.asks)


def _asked(scenario: Scenario, option: str, models: Models, look: Look[Found], signs: Signs) -> Found:
    draw = Draw(scenario.study.seed, WORLD)
    world = build(draw, scenario.business(option), models, asks=signs.asks)
    pricing = models.pricing
    if not isinstance(pricing, Watched):
        return look(scenario, option, world, pricing)
    watched = pricing.during(draw, signs.asks)
    found = look(scenario, option, world, watched)
    watched.see_all_left_alone()
    return found
