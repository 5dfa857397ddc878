"""Options played in the same worlds while inputs of the scenario move.

In: a scenario, a seed, how many worlds; at which inputs which options are wanted. Out: what each brings in each world,
or why that is nobody's figure there. Must not know: which inputs, what is looked for along them.

The price of the owner's hour is never played: what an option brings is its money less its hours at that price, and
neither depends on the price.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import nan
from typing import Final, Literal

import numpy as np

from planner.engine import Batch, worlds
from planner.engine.player import Player
from planner.scenario import Input, InputError, Scenario
from planner.scenario.business import Business
from planner.scenario.header import AS_TODAY
from planner.study.break_even import without_rounding
from planner.study.failures import FailedRun, failed_run
from planner.study.intervals import FloatArray
from planner.study.limits import refusals
from planner.study.playing import Runs
from planner.study.sample import DECIDING
from planner.workshop.measures import MEASURES
from planner.workshop.premises import Refusal, premises

HOUR_PRICE: Final = "owner.hour_price"
NOTHING: Final = ""
"""Stands for an option that brings nothing, takes no hour and is always there."""

State = Literal["played", "refused", "impossible", "failed"]
Inputs = tuple[Input, ...]
_COLUMN: Final = {one.name: m for m, one in enumerate(MEASURES)}


@dataclass(frozen=True, slots=True)
class Here:
    """How an option stands at some inputs.

    Parameters
    ----------
    state : State
        ``played``; ``refused``: it breaks a hard limit; ``impossible``: the inputs make no possible business of it;
        ``failed``: runs of it have no result.
    why : str
        In words; empty where it was played.
    """

    state: State
    why: str = ""


@dataclass(eq=False)
class Held:
    """Worlds held fixed.

    Parameters
    ----------
    scenario : Scenario
        As it is written.
    seed : int
        Start of all chance.
    outlook : str
        Under which everything is played.
    number : int
        Worlds, from 0 on.
    player : Player
        Makes businesses.
    runs : Runs
        Plays, and keeps what was played.
    """

    scenario: Scenario
    seed: int
    outlook: str
    number: int
    player: Player
    runs: Runs
    _businesses: dict[tuple[str, Inputs], Business | str] = field(default_factory=dict)
    _refusals: dict[tuple[str, Inputs], tuple[Refusal, ...]] = field(default_factory=dict)
    _whole: dict[tuple[str, Inputs], FloatArray] = field(default_factory=dict)

    def play(self, wanted: Iterable[tuple[Sequence[str], Inputs]]) -> None:
        """Play options at inputs, all in one go; what cannot be played there is left out."""
        names: dict[Inputs, dict[str, None]] = {}
        for options, inputs in wanted:
            there = [name for name in options if name != NOTHING and self._may_play(name, inputs)]
            names.setdefault(played(inputs), {}).update(dict.fromkeys(there))
        batches: list[Batch] = []
        for inputs, those in names.items():
            batches += worlds([self.outlook], range(self.number), those, inputs=inputs)
        self.runs.play(batches)

    def here(self, option: str, inputs: Inputs) -> Here:
        """How an option stands at some inputs, once it was played there."""
        if option == NOTHING:
            return Here("played")
        business, base = self._business(option, played(inputs)), self._business(AS_TODAY, inputs)
        if isinstance(base, str):
            return Here("impossible", base)
        if isinstance(business, str):
            return Here("impossible", business)
        if option != AS_TODAY and (found := self._refused(option, played(inputs), business)):
            return Here("refused", f"{found[0].limit}: {found[0].reason}")
        values = self._values(option, inputs)
        if failed := int(np.isnan(values[_COLUMN[DECIDING]]).sum()):
            return Here("failed", f"{failed} of {self.number} runs have no result")
        broken = refusals(business, {name: values[m] for name, m in _COLUMN.items()})
        return Here("refused", f"{broken[0].limit}: {broken[0].reason}") if broken else Here("played")

    def money(self, option: str, inputs: Inputs) -> FloatArray:
        """Money after the owner's hours in each world; nan where the figure is nobody's.

        The base has one even where it is refused, since all others are compared with it.
        """
        if option == NOTHING:
            return np.zeros(self.number)
        state = self.here(option, inputs).state
        if state != "played" and not (state == "refused" and option == AS_TODAY):
            return np.full(self.number, nan)
        values = self._values(option, inputs)
        found: FloatArray
        if played(inputs) == inputs:
            found = values[_COLUMN[DECIDING]]
        else:
            found = values[_COLUMN["profit"]] - self._hour_price(option, inputs) * values[_COLUMN["hours_h"]]
        return found

    def difference(self, option: str, other: str, inputs: Inputs) -> FloatArray:
        """What an option brings more than another in each world."""
        money, base = self.money(option, inputs), self.money(other, inputs)
        return without_rounding(money - base, np.stack([money, base]))

    def mean(self, option: str, measure: str, inputs: Inputs = ()) -> float:
        """The mean of one measure over the worlds."""
        return float(self._values(option, inputs)[_COLUMN[measure]].mean())

    @property
    def confidence(self) -> float:
        """Of each interval by itself."""
        return float(self.scenario.study.confidence)

    def sets(self, option: str) -> tuple[str, ...]:
        """Paths at which an option, or the outlook, puts a value of its own whatever stood there."""
        changes = self.scenario.options[option].changes | self.scenario.outlooks[self.outlook].changes
        found: tuple[str, ...] = self.scenario.variants.sets(changes, (option, self.outlook))
        return found

    def failures(self) -> tuple[FailedRun, ...]:
        """Runs without a result, in order."""
        found = [
            failed_run(self.scenario.path, self.seed, one, one.failure)
            for one in self.runs.outcomes.values()
            if one.failure is not None
        ]
        return tuple(sorted(found, key=lambda row: (row.option, row.repeat, row.replicate)))

    def _may_play(self, option: str, inputs: Inputs) -> bool:
        business = self._business(option, played(inputs))
        if isinstance(business, str):
            return False
        return option == AS_TODAY or not self._refused(option, played(inputs), business)

    def _refused(self, option: str, inputs: Inputs, business: Business) -> tuple[Refusal, ...]:
        """Hard limits that its settings break, whatever is played."""
        key = (option, inputs)
        if key not in self._refusals:
            self._refusals[key] = premises(business).refusals
        return self._refusals[key]

    def _hour_price(self, option: str, inputs: Inputs) -> float:
        """Price of an hour at some inputs; an option or outlook that sets it has one of its own."""
        changes = (*self.scenario.options[option].changes, *self.scenario.outlooks[self.outlook].changes)
        own = any(path in ("owner", HOUR_PRICE) for path in changes)
        business = self._business(option if own else AS_TODAY, inputs)
        return nan if isinstance(business, str) else float(business.owner.hour_price_per_h)

    def _business(self, option: str, inputs: Inputs) -> Business | str:
        """The business of an option at some inputs; why there is none, in words."""
        key = (option, inputs)
        if key not in self._businesses:
            try:
                self._businesses[key] = self.player.scenario(inputs).business(option, self.outlook)
            except InputError as error:
                self._businesses[key] = _said(error)
        return self._businesses[key]

    def _values(self, option: str, inputs: Inputs) -> FloatArray:
        """Every measure in each world; nan where a run failed. Shape (measures, worlds)."""
        key = (option, played(inputs))
        if key in self._whole:
            return self._whole[key]
        values = np.full((len(MEASURES), self.number), nan)
        found = [self.runs.outcome(option, self.outlook, world, key[1]) for world in range(self.number)]
        for world, one in enumerate(found):
            if one is not None and one.failure is None:
                values[:, world] = one.measures
        if None not in found:
            values.setflags(write=False)
            self._whole[key] = values
        return values


def played(inputs: Inputs) -> Inputs:
    """Those of the inputs that a run depends on."""
    return tuple(one for one in inputs if one.path != HOUR_PRICE)


def _said(error: InputError) -> str:
    """What is wrong, without the place: it is the input that is."""
    if not error.problems:
        return str(error)
    one = error.problems[0]
    return f"{one.path}: {one.message}" if one.path else one.message
