"""Climbing: step by step, what to do next on top of what is done already, each on the same worlds, confirmed afresh.

In: a scenario, a sum of money, a seed. Out: ``Ladder``. Must not know: files, the terminal.

At each step:

1. Every option that is not yet taken, can be paid from what is left and breaks no hard limit is tried on top of those
   taken in the first worlds; those that surely lose are dropped by the procedure of Kim and Nelson
   (``kim_nelson.py``, here on single worlds), until one is left or the worlds for this are used up.
2. The one that is ahead is played in worlds kept for that, which have no part in picking, beside what is taken. What is
   reported is read from these. It is taken if it surely brings more than nothing there, and on average no less than
   is cared about.
3. Of those that cost less than the step taken, the best is found in the same way, for whom has less to spend.
4. Where no single option is taken, two that may pay only together are tried in the same way.

Which runs there are hangs on scenario, sum and seed only, never on workers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from typing import Final

import numpy as np

from planner.engine import Engine, Where
from planner.scenario import Given, Scenario
from planner.scenario.header import AS_TODAY
from planner.scenario.units import quantity
from planner.study.chains import Chains
from planner.study.intervals import interval
from planner.study.keeping import Asked, KeptIn
from planner.study.kim_nelson import KimNelson, Screening
from planner.study.ladder import (
    Chain,
    Cheaper,
    Ladder,
    Reason,
    Rung,
    SetAside,
    Spare,
    Stop,
    TooDear,
    Why,
)
from planner.study.playing import Progress, playing
from planner.study.sources import cautions, subject, warnings_of
from planner.study.start_up import payback_months
from planner.study.study import Subject
from planner.workshop.premises import premises

FIRST: Final = 10
"""Worlds in which every step that may come next is tried."""

MORE: Final = 5
"""Worlds by which those still in are played on."""

MOST: Final = 100
"""Worlds at most in which a step is picked; then the highest mean of those still in."""

FRESH: Final = 100
"""Worlds kept for confirming, the same at every step, so that gains of steps add up."""

PAIR_WORLDS: Final = 5
"""Worlds in which all pairs are looked at."""

PAIRS: Final = 8
"""Pairs at most that are then tried like single options."""

CENT: Final = 1e-6
"""Money that is no money [currency]."""

_PICKING, _CONFIRMING, _ALL = range(MOST), range(MOST, MOST + FRESH), range(MOST + FRESH)


def climb(
    scenario: Scenario,
    *,
    money: float | None = None,
    inputs: Sequence[Given] = (),
    seed: int | None = None,
    workers: int = 1,
    progress: Progress | None = None,
    engine: Engine | Where | None = None,
    store: KeptIn = None,
) -> Ladder:
    """Find what to do first, second, third.

    Parameters
    ----------
    scenario : Scenario
        Loaded by ``planner.load``.
    money : float, optional
        What may be spent on all steps together [currency]; the cash at the start less the reserve if left out.
    inputs : sequence of Given
        Values of the scenario that are others, before any option is applied.
    seed : int, optional
        Start of all chance; what the scenario says if left out.
    workers, progress, engine, store
        As of :func:`planner.study.comparison.compare`.

    Raises
    ------
    planner.scenario.InputError
        The scenario as today makes no possible business with these inputs.
    planner.world.build.ModelError
        A model cannot be made from its settings.
    """
    root = scenario.study.seed if seed is None else seed
    given = tuple(inputs)
    least = FIRST * len(scenario.options)
    asked = Asked(store, "ladder", {"sum": money, "set": tuple(map(str, given))})
    with playing(scenario, root, workers, least, progress, engine, asked) as (player, runs):
        return _Climb(scenario, given, root, Chains(given, player, runs)).climb(money)


def sum_of(text: str, currency: str) -> float:
    """A sum of money as a user writes it, such as ``500 EUR``.

    Raises
    ------
    ValueError
        It is none, of another currency, or below zero.
    """
    found = quantity(text, "money", currency)
    if found < 0.0:
        raise ValueError(f"{text} is below zero; write what may be spent, such as 500 {currency}")
    return found


class _Climb:
    """One ladder, from the ground up."""

    def __init__(self, scenario: Scenario, inputs: tuple[Given, ...], seed: int, chains: Chains) -> None:
        self.scenario, self.inputs, self.seed, self.chains = scenario, inputs, seed, chains
        self.today, self.study = chains.business(()), scenario.study
        self.subject: Subject = subject(chains.scenario, seed, FRESH, [self.today])
        self.set_aside: dict[str, SetAside] = {}
        self.closed: dict[Chain, Why] = {}
        self.too_dear: tuple[TooDear, ...] = ()

    def climb(self, money: float | None) -> Ladder:
        cash = self.today.cash
        given = max(0.0, cash.opening - cash.reserve) if money is None else money
        self.chains.play([()], _CONFIRMING)
        rungs, stop = list[Rung](), self._ground()
        while stop is None:
            taken, left = _chain(rungs), rungs[-1].left if rungs else given
            stop, found = self._next(taken, left, len(rungs) + 1)
            if found is not None:
                rungs.append(found)
                for name in found.options:
                    self.set_aside.pop(name, None)
        chain = _chain(rungs)
        return Ladder(
            self.subject,
            tuple(map(str, self.inputs)),
            given,
            money is not None,
            self.today.owner.hour_price_per_h,
            self.chains.standing((), _CONFIRMING, self.subject.weeks),
            tuple(rungs),
            stop,
            tuple(self.set_aside[name] for name in self.chains.scenario.options if name in self.set_aside),
            self.too_dear,
            tuple(self._spares(rungs)),
            FIRST,
            MOST,
            self.chains.played,
            self.chains.failures(self.seed),
            cautions([self.today, *(self.chains.business(chain[:n]) for n in range(1, len(chain) + 1))]),
            warnings_of(self.scenario),
        )

    def _ground(self) -> Stop | None:
        """Why there is no ladder at all: there is nothing sound to measure the first step by."""
        broken = self.chains.broken((), _ALL)
        if broken is not None:
            return Stop("refused", words=broken)
        return Stop("failed runs") if self.chains.failed((), _CONFIRMING) else None

    def _next(self, taken: Chain, left: float, number: int) -> tuple[Stop | None, Rung | None]:
        """The next step, or why there is none: of single options, then of two together."""
        singles = list(self._singles(taken, left))
        single, reason = self._best(taken, singles, left, number)
        if reason is None:
            return None, single and self._beside_cheaper(taken, single, singles, number)
        if reason == "failed runs":
            return Stop(reason), None
        alone = [chain[-1] for chain in singles if self.closed.get(chain) in (None, "changes nothing")]
        pairs = self._promising(taken, list(self._pairs(taken, alone, left)))
        both, unlike = self._best(taken, pairs, left, number)
        if both is not None and unlike is None:
            return None, self._beside_cheaper(taken, both, pairs, number)
        if single is None:
            return Stop("money" if self.too_dear else "nothing left"), None
        return Stop(reason, single), None

    # what may come next

    def _singles(self, taken: Chain, left: float) -> Iterator[Chain]:
        """Every single option that may come next."""
        dear = []
        for name, option in self.chains.scenario.options.items():
            if name == AS_TODAY or name in taken:
                continue
            if option.start_up_cost > left + CENT:
                dear.append(TooDear(name, option.start_up_cost))
            elif self._possible((*taken, name), taken):
                yield (*taken, name)
        self.too_dear = tuple(dear)

    def _pairs(self, taken: Chain, alone: Sequence[str], left: float) -> Iterator[Chain]:
        """Every two of the options that may come next and do not set the same."""
        for first, second in combinations(alone, 2):
            same = self.chains.replaces([second], (first,)) or self.chains.replaces([first], (second,))
            both = (*taken, first, second)
            if same or self.chains.cost((first, second)) > left + CENT:
                continue
            if self.chains.impossible(both) is None and not premises(self.chains.business(both)).refusals:
                yield both

    def _possible(self, chain: Chain, taken: Chain) -> bool:
        """Does it make a business that breaks no hard limit by its settings?"""
        wrong = self.chains.impossible(chain)
        if wrong is not None:
            self._put_aside(chain, taken, "impossible", wrong)
            return False
        broken = premises(self.chains.business(chain)).refusals
        if broken:
            self._put_aside(chain, taken, "refused", f"{broken[0].limit}: {broken[0].reason}")
        return not broken

    def _promising(self, taken: Chain, pairs: list[Chain]) -> list[Chain]:
        """The pairs that bring most in a few worlds."""
        numbers = range(PAIR_WORLDS)
        self.chains.play([taken, *pairs], numbers)
        gains = {pair: self.chains.gain(pair, taken, numbers) for pair in pairs}
        ranked = sorted(pairs, key=lambda pair: -gains[pair] if gains[pair] == gains[pair] else np.inf)
        return [pair for pair in ranked[:PAIRS] if gains[pair] > 0.0]

    # picking and confirming

    def _best(
        self, taken: Chain, those: list[Chain], left: float, number: int
    ) -> tuple[Rung | None, Reason | None]:
        """The step that is ahead, and why it is not to be taken; None if it is."""
        self.chains.play([taken, *those], range(FIRST))
        if self.chains.failed(taken, _PICKING):
            return None, "failed runs"
        for chain in those:
            if (self.chains.values(chain, range(FIRST)) == self.chains.values(taken, range(FIRST))).all():
                self._put_aside(chain, taken, "changes nothing", "")
        tried = len(those)
        while True:
            entrants = [
                chain for chain in those if chain not in self.closed and not self._fails(chain, taken)
            ]
            if not entrants:
                return None, "nothing left"
            leader, as_good = self._pick(taken, entrants)
            if self._fails(leader, taken):
                continue
            self.chains.play([taken, leader], _CONFIRMING)
            if self.chains.failed(taken, _CONFIRMING):
                return None, "failed runs"
            if self._fails(leader, taken) or self._breaks(leader, taken):
                continue
            rung = self._rung(taken, leader, as_good, left, number, tried)
            return rung, _why_not(rung, self.study.worth_caring_about)

    def _beside_cheaper(self, taken: Chain, rung: Rung, those: Sequence[Chain], number: int) -> Rung:
        """The step with the best of those that cost less, if that would be taken itself."""
        less = [chain for chain in those if self.chains.cost(chain[len(taken) :]) < rung.cost - CENT]
        found, why_not = self._best(taken, less, rung.cost, number)
        if found is None or why_not is not None:
            return rung
        return replace(rung, cheaper=Cheaper(found.options, found.cost, found.gain))

    def _pick(self, taken: Chain, those: list[Chain]) -> tuple[Chain, tuple[Chain, ...]]:
        """The step that is ahead in the first worlds, and those that cannot be told from it there."""
        rows = [taken, *those]
        procedure = KimNelson(len(rows), FIRST, self.study.confidence, self.study.worth_caring_about)
        race = Screening(procedure, self.chains.deciding(rows, range(FIRST)))
        while race.alive[1:].sum() > 1 and race.count < MOST:
            numbers = range(race.count, race.count + MORE)
            alive = [chain for chain, still in zip(rows, race.alive, strict=True) if still]
            self.chains.play(alive, numbers)
            values = self.chains.deciding(rows, numbers)
            if np.isnan(values[race.alive]).any():
                break  # whose runs fail is set aside, and the others race anew
            for column in values.T:
                race.add(np.nan_to_num(column))
        still_in = [chain for chain, still in zip(those, race.alive[1:], strict=True) if still]
        seen = range(race.count if still_in else FIRST)
        ahead = {chain: self.chains.gain(chain, taken, seen) for chain in still_in or those}
        failing = [chain for chain in still_in if self.chains.failed(chain, _PICKING)]
        leader = failing[0] if failing else max(ahead, key=lambda chain: ahead[chain])
        return leader, tuple(chain[len(taken) :] for chain in still_in if chain != leader)

    def _rung(
        self, taken: Chain, chain: Chain, as_good: tuple[Chain, ...], left: float, number: int, tried: int
    ) -> Rung:
        """What a step brings in the fresh worlds."""
        new = chain[len(taken) :]
        comparisons = 3 * 2**number  # as sure as asked for over all steps, however many there will be
        sure = self.study.confidence
        money, hours = (self.chains.gain(chain, taken, _CONFIRMING, one) for one in ("profit", "hours_h"))
        gain = interval(self.chains.gains(chain, taken, _CONFIRMING), sure, comparisons)
        cost, resale = self.chains.cost(new), self.chains.resale(new)
        running = gain.mean + (cost - resale) / self.subject.years
        low, high = self._prices(taken, chain, money, hours)
        return Rung(
            new,
            cost,
            resale,
            self.chains.cost(chain),
            left - cost,
            gain,
            interval(self.chains.gains(chain, (), _CONFIRMING), sure, comparisons),
            money,
            hours,
            self.chains.standing(chain, _CONFIRMING, self.subject.weeks),
            low,
            high,
            payback_months(cost, running, self.subject) if cost else None,
            self.chains.replaces(new, taken),
            as_good,
            tried,
        )

    def _prices(
        self, taken: Chain, chain: Chain, money: float, hours: float
    ) -> tuple[float | None, float | None]:
        """Prices of an hour between which a step pays: money less price times hours is above zero."""
        same = len({self.chains.business(one).owner.hour_price_per_h for one in (taken, chain)}) == 1
        if not same or abs(hours) < CENT:
            return None, None
        price = money / hours
        if hours > 0.0:
            return None, max(0.0, price)
        return (price if price > 0.0 else None), None

    def _spares(self, rungs: Sequence[Rung]) -> Iterator[Spare]:
        """Steps without which the others bring as much, or nearly: those before the last, each left out alone."""
        whole, chains = _chain(rungs), dict[int, Chain]()
        for i in range(len(rungs) - 1):
            without = _chain([*rungs[:i], *rungs[i + 1 :]])
            if self.chains.impossible(without) is None:
                chains[i] = without
        self.chains.play(chains.values(), _CONFIRMING)
        for i, without in chains.items():
            if self.chains.failed(without, _CONFIRMING) or self.chains.broken(without, _ALL) is not None:
                continue
            found = interval(
                self.chains.gains(without, whole, _CONFIRMING), self.study.confidence, len(rungs) - 1
            )
            if found.low > -self.study.worth_caring_about:
                yield Spare(rungs[i].options, rungs[i].cost, found)

    # what is set aside

    def _put_aside(self, chain: Chain, taken: Chain, why: Why, words: str) -> None:
        """It is not looked at again; of a single option it is told."""
        self.closed[chain] = why
        if len(chain) == len(taken) + 1:
            self.set_aside[chain[-1]] = SetAside(chain[-1], why, words, taken)

    def _fails(self, chain: Chain, taken: Chain) -> bool:
        """Did any of its runs fail? A mean without them may mislead."""
        failed: bool = self.chains.failed(chain, _ALL)
        if failed:
            self._put_aside(chain, taken, "failed runs", "some of its runs failed")
        return failed

    def _breaks(self, chain: Chain, taken: Chain) -> bool:
        """Does it break a hard limit in its runs? Asked of the one that is ahead, since few worlds cannot tell."""
        broken = self.chains.broken(chain, _ALL)
        if broken is not None:
            self._put_aside(chain, taken, "refused", broken)
        return broken is not None


def _chain(rungs: Sequence[Rung]) -> Chain:
    """All that is taken after some steps."""
    return tuple(name for rung in rungs for name in rung.options)


def _why_not(rung: Rung, worth: float) -> Reason | None:
    """Why a step is not to be taken; None if it is."""
    if rung.gain.low > 0.0 and not rung.gain.mean < worth:
        return None
    little = rung.gain.high < worth or (rung.gain.low > 0.0 and rung.gain.mean < worth)
    return "little" if little else "cannot tell"
