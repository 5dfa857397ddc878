"""What a player says while it plays, and how long anybody waits for it.

In: that a run begins, which hook of a package is asked. Out: when a run takes longer than it may. Must not know: what a
run is made of.

A clock ticks twice a second, so a run costs a note of where the clock stands and nothing else. What counts is ticks: a
machine that slept, or a process that was stopped, was not slow.
"""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import Final

from planner.interrupts import Overdue, ticking

PATIENCE_S: Final = 60.0
"""How long one run may take where nobody says [s] (assumed: a run takes a fraction of a second)."""

LONGEST_TIMES: Final = 20
"""Where nobody says, a run may always take so many times as long as the longest so far (assumed)."""

TICK_S: Final = 0.5


def too_long(most_s: float) -> str:
    """What is said of a run that took longer than it may."""
    return f"it did not end within {most_s:g} s (study.patience says how long a run may take)"


class Signs:
    """Told by a player what it does; cuts short what takes longer than it may.

    Parameters
    ----------
    patience_s : float, optional
        How long one run may take [s]; `PATIENCE_S` or longer, as runs go, if left out.
    """

    def __init__(self, patience_s: float | None = None) -> None:
        self._grows = patience_s is None
        self._now = self._began = 0
        self.most_s = PATIENCE_S if patience_s is None else max(TICK_S, patience_s)
        """How long one run may take [s]."""

    def begins(self) -> None:
        """A run begins; they come in the order of `Batch.singles`."""
        if self._grows:
            self.most_s = max(self.most_s, LONGEST_TIMES * TICK_S * (self._now - self._began - 1))
        self._began = self._now

    def asks(self, hook: str) -> None:
        """A hook of a package is asked; ``""`` once it has answered."""

    def watching(self) -> AbstractContextManager[None]:
        """Raise `Overdue` in a run that takes longer than it may, where the system can."""
        return ticking(self._tick, TICK_S)

    def _tick(self) -> None:
        self._now += 1
        if (self._now - self._began) * TICK_S > self.most_s:
            self._began = self._now  # what was cut short says nothing of how long runs take
            raise Overdue(too_long(self.most_s))
