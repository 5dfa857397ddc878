"""Runs as they are played: each once, kept, whoever asks for them.

In: a scenario, a seed, an engine, which runs are wanted. Out: their outcomes. Must not know: what they are for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from dataclasses import replace
from typing import Final

from planner.engine import Batch, Engine, Outcome, Where, engine_for
from planner.engine.player import Player, Setting
from planner.scenario import Given, Scenario
from planner.study.foresight import foresee
from planner.study.keeping import Asked

LEAST_RUN_S: Final = 0.0005
"""No run takes less [s]."""

Progress = Callable[[int, int], None]
"""Told after each batch how many runs are done, of how many."""

Key = tuple[str, str, int, tuple[Given, ...]]
"""Option, outlook, world, values of the scenario that are others."""


class Runs:
    """Runs of one study.

    Parameters
    ----------
    engine : Engine
        Executes them.
    progress : callable, optional
        Called with the number of runs done and of all that are known to be wanted.
    """

    def __init__(self, engine: Engine, progress: Progress | None = None) -> None:
        self._engine = engine
        self._progress = progress
        self._wanted = 0
        self.outcomes: dict[Key, Outcome] = {}

    @property
    def done(self) -> int:
        """How many were played."""
        return len(self.outcomes)

    @property
    def next_world(self) -> int:
        """A world that no run has met, nor any after it."""
        return max((replicate for _, _, replicate, _ in self.outcomes), default=-1) + 1

    def play(self, batches: Sequence[Batch]) -> None:
        """Play what of these was not played yet; batches of one world each."""
        missing = self.missing(batches)
        self._wanted = max(self._wanted, self.done + sum(one.runs for one in missing))
        self._tell()
        for outcomes in self._engine.run(missing):
            self.outcomes |= {(one.option, one.outlook, one.replicate, one.inputs): one for one in outcomes}
            self._tell()

    def outcome(
        self, option: str, outlook: str, replicate: int, inputs: tuple[Given, ...] = ()
    ) -> Outcome | None:
        """One run; None if it was not played."""
        return self.outcomes.get((option, outlook, replicate, inputs))

    def missing(self, batches: Sequence[Batch]) -> list[Batch]:
        """What of these was not played yet."""
        return [found for one in batches if (found := self._missing(one)).options]

    def _missing(self, batch: Batch) -> Batch:
        (world,) = batch.replicates
        left = tuple(
            name for name in batch.options if (name, batch.outlook, world, batch.inputs) not in self.outcomes
        )
        return replace(batch, options=left)

    def _tell(self) -> None:
        if self._progress is not None:
            self._progress(self.done, self._wanted)


@contextmanager
def playing(
    scenario: Scenario,
    seed: int,
    workers: int,
    least: int,
    progress: Progress | None = None,
    engine: Engine | Where | None = None,
    asked: Asked | None = None,
    allowed: int | None = None,
) -> Iterator[tuple[Player, Runs]]:
    """A player of this process, and runs that are executed by ``workers`` processes or an engine of one's own.

    ``least`` runs will surely be wanted: whether processes are worth starting hangs on that, and whether it can be
    played at all (`planner.study.foresight`); where a budget allows more, whether that can. ``asked`` says where runs
    are kept.
    """
    kept = asked.kept_before(scenario, seed) if asked else 0
    foresee(scenario, least, workers, progress, kept, allowed or 0)
    setting = Setting(scenario, seed)
    player = Player(setting)
    if engine is None or isinstance(engine, Where):
        engine = engine_for(setting, player, workers, LEAST_RUN_S * least, engine)
    with asked.kept(scenario, seed, engine) if asked else nullcontext(engine) as chosen, chosen as running:
        yield player, Runs(running, progress)
