"""Options taken one after the other, and their runs.

In: a scenario with some values set, a player, runs. Out: businesses of chains of options, what was played of them, what
they break. Must not know: which chains there should be, what is concluded.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import fsum
from typing import Final

import numpy as np

from planner.engine import Outcome, worlds
from planner.engine.player import Player
from planner.scenario import Given, InputError, Scenario, Taken
from planner.scenario.business import Business
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.study.failures import FailedRun, failed_run
from planner.study.intervals import FloatArray
from planner.study.ladder import Chain, Standing
from planner.study.limits import refusals
from planner.study.playing import Runs
from planner.study.sample import DECIDING
from planner.workshop.measures import MEASURES

ROW: Final = {one.name: m for m, one in enumerate(MEASURES)}
"""Where each measure stands."""


class Chains:
    """Chains of options under the expected outlook.

    Parameters
    ----------
    inputs : tuple of Given
        Values of the scenario that are others, before any option is taken.
    player : Player
        Knows the scenario.
    runs : Runs
        What was played, and what plays more.
    """

    def __init__(self, inputs: tuple[Given, ...], player: Player, runs: Runs) -> None:
        player.prepare([AS_TODAY], [EXPECTED], inputs)
        self._inputs, self._player, self._runs = inputs, player, runs
        self.scenario: Scenario = player.scenario(inputs)

    @property
    def played(self) -> int:
        """How many runs there are."""
        return self._runs.done

    def business(self, chain: Chain) -> Business:
        """The business with all of them taken."""
        option, given = self._key(chain)
        found: Business = self._player.scenario(given).business(option)
        return found

    def impossible(self, chain: Chain) -> str | None:
        """Why they make no business together; None if they do."""
        option, given = self._key(chain)
        try:
            self._player.prepare([option], [EXPECTED], given)
        except InputError as error:
            words: str = error.problems[0].message
            return words
        return None

    def cost(self, names: Sequence[str]) -> float:
        """What some options cost to start, whatever is taken beside them."""
        costs: list[float] = [self.scenario.options[name].start_up_cost for name in names]
        return fsum(costs)

    def resale(self, names: Sequence[str]) -> float:
        """What their gear still brings at the end."""
        found: list[float] = [self.scenario.options[name].resale for name in names]
        return fsum(found)

    def replaces(self, names: Sequence[str], taken: Chain) -> Chain:
        """Of the options taken, those that change what some others set anew."""
        set_anew = self.scenario.variants.set_anew
        return tuple(earlier for earlier in taken if any(set_anew(name, earlier) for name in names))

    def play(self, chains: Iterable[Chain], numbers: range) -> None:
        """Play them in these worlds; what was played already is not."""
        together: dict[tuple[Given, ...], dict[str, None]] = {}
        for chain in chains:
            option, given = self._key(chain)
            together.setdefault(given, {})[option] = None
        self._runs.play(
            [
                batch
                for given, options in together.items()
                for batch in worlds([EXPECTED], numbers, options, inputs=given)
            ]
        )

    def values(self, chain: Chain, numbers: range) -> FloatArray:
        """Every measure in every world; nan where a run failed or was not played; shape (measures, worlds)."""
        values = np.full((len(MEASURES), len(numbers)), np.nan)
        for i, one in enumerate(self._outcomes(chain, numbers)):
            if one is not None and one.failure is None:
                values[:, i] = one.measures
        return values

    def deciding(self, chains: Sequence[Chain], numbers: range) -> FloatArray:
        """What is decided by; shape (chains, worlds)."""
        return np.stack([self.values(chain, numbers)[ROW[DECIDING]] for chain in chains])

    def gains(self, chain: Chain, other: Chain, numbers: range, measure: str = DECIDING) -> FloatArray:
        """How much more of a measure one brings than another, in each of these worlds."""
        one, base = (self.values(those, numbers)[ROW[measure]] for those in (chain, other))
        found: FloatArray = one - base
        return found

    def gain(self, chain: Chain, other: Chain, numbers: range, measure: str = DECIDING) -> float:
        """The mean of the same."""
        return float(self.gains(chain, other, numbers, measure).mean())

    def standing(self, chain: Chain, numbers: range, weeks: float) -> Standing:
        """What the business is like in these worlds, where a figure stands for so many weeks."""
        means = self.values(chain, numbers).mean(axis=1)
        money, after, hours, exposure = (
            float(means[ROW[name]]) for name in ("profit", DECIDING, "hours_h", "exposure_h")
        )
        return Standing(money, after, hours / weeks, exposure)

    def broken(self, chain: Chain, numbers: range) -> str | None:
        """The hard limit that they break by their settings, or in what was played of these worlds."""
        values = self.values(chain, numbers)
        measured = {one.name: values[m] for m, one in enumerate(MEASURES)}
        broken = refusals(self.business(chain), measured)
        return f"{broken[0].limit}: {broken[0].reason}" if broken else None

    def failed(self, chain: Chain, numbers: range) -> bool:
        """Did a run of these worlds fail?"""
        return any(one is not None and one.failure is not None for one in self._outcomes(chain, numbers))

    def failures(self, seed: int) -> tuple[FailedRun, ...]:
        """All runs without a result, the fewest options first."""
        found = [one for one in self._runs.outcomes.values() if one.failure is not None]
        found.sort(key=lambda one: (len(one.inputs), str(one.inputs), one.option, one.replicate))
        path = self.scenario.path
        return tuple(failed_run(path, seed, one, one.failure) for one in found if one.failure is not None)

    def _outcomes(self, chain: Chain, numbers: range) -> Iterator[Outcome | None]:
        option, given = self._key(chain)
        return (self._runs.outcome(option, EXPECTED, number, given) for number in numbers)

    def _key(self, chain: Chain) -> tuple[str, tuple[Given, ...]]:
        """The option that comes last, and what a run is asked with beside it."""
        option = chain[-1] if chain else AS_TODAY
        return option, (*self._inputs, *(Taken(name) for name in chain[:-1]))
