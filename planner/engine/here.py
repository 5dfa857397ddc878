"""The engine that plays in this process.

In: batches. Out: outcomes, in the order of the batches. Must not know: processes, what a run is made of.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from types import TracebackType
from typing import Self

from planner.engine.batch import Batch, Make, Outcome, Play
from planner.engine.signs import Signs


class Here:
    """Plays one batch after the other in the process that asks.

    Parameters
    ----------
    make : Make
        Makes the player, when the first batch is played.
    play : Play, optional
        A player that is there already.
    patience_s : float, optional
        How long one run may take [s], where the system can cut it short.
    """

    def __init__(self, make: Make, play: Play | None = None, patience_s: float | None = None) -> None:
        self._make = make
        self._play = play
        self._signs = Signs(patience_s)

    def play(self, batch: Batch) -> tuple[Outcome, ...]:
        """Play one batch."""
        if self._play is None:
            self._play = self._make()
        with self._signs.watching():
            return self._play(batch, self._signs)

    def run(self, batches: Sequence[Batch]) -> Iterator[tuple[Outcome, ...]]:
        """Play every batch, in order."""
        for batch in batches:
            yield self.play(batch)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._play = None
