"""An engine that deals results out: what each option brings in each world is known beforehand."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from types import TracebackType
from typing import Self

import numpy as np

from planner.engine import Batch, Failure, Outcome
from planner.scenario import Input
from planner.workshop.measures import MEASURES

Brings = Callable[[int], float]
"""Money after hours by the number of the world."""

Inputs = tuple[Input, ...]


def around(mean: float, own: float = 0.0, shared: float = 100.0, name: str = "") -> Brings:
    """Good and bad worlds that all options share, and what only this one sees of them."""
    key = int.from_bytes(name.encode(), "little") % 2**32

    @cache  # the same world is asked for at many places
    def brings(world: int) -> float:
        year = float(np.random.default_rng((1, world)).normal(0.0, shared))
        return mean + year + float(np.random.default_rng((2, key, world)).normal(0.0, own))

    return brings


class Dealt:
    """Deals out what each option brings; the other measures are zero, or what ``others`` says.

    ``moved`` says how much more an option brings where values of the scenario are others.
    """

    def __init__(
        self,
        brings: Mapping[str, Brings],
        *,
        others: Callable[[str, int], Mapping[str, float]] = lambda option, world: {},
        fails: Callable[[str, int], bool] = lambda option, world: False,
        fails_at: Callable[[Inputs], bool] = lambda inputs: False,
        backwards: bool = False,
        moved: Callable[[str, Inputs], float] = lambda option, inputs: 0.0,
    ) -> None:
        self.brings, self.others, self.fails, self.backwards = brings, others, fails, backwards
        self.moved, self.fails_at = moved, fails_at
        self.asked: list[Batch] = []

    def run(self, batches: Sequence[Batch]) -> Iterator[tuple[Outcome, ...]]:
        self.asked += batches
        for batch in reversed(batches) if self.backwards else batches:
            (world,) = batch.replicates
            yield tuple(self.outcome(option, batch.outlook, world, batch.inputs) for option in batch.options)

    def outcome(self, option: str, outlook: str, world: int, inputs: Inputs = ()) -> Outcome:
        if self.fails(option, world) or self.fails_at(inputs):
            return Outcome(option, outlook, world, (), Failure("failed", "ValueError: no"), inputs=inputs)
        money = self.brings[option](world) + self.moved(option, inputs)
        found = {"profit": money, "profit_after_hours": money} | dict(self.others(option, world))
        measures = tuple(found.get(one.name, 0.0) for one in MEASURES)
        return Outcome(option, outlook, world, measures, inputs=inputs)

    def worlds(self, option: str, outlook: str = "expected") -> list[int]:
        """In which worlds an option was played."""
        return sorted(
            number
            for batch in self.asked
            for number in batch.replicates
            if option in batch.options and batch.outlook == outlook
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        pass
