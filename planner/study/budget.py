"""How much may be played before an answer must be given.

In: runs or minutes. Out: whether some more runs are within them. Must not know: what the runs are for.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic
from typing import Final

FURTHER_RUNS: Final = 10_000
"""Runs for choosing beyond those that every study takes, where no budget is given: about a minute on two processors."""


class BudgetError(ValueError):
    """The budget does not cover what every study takes: one plain sentence."""


@dataclass(frozen=True, slots=True)
class Budget:
    """What may be spent; without either, what every study takes and ``FURTHER_RUNS``.

    Parameters
    ----------
    runs : int or None
        Runs at most, all together.
    minutes : float or None
        Minutes at most, about. How much is played in them is chance, so such a study cannot be repeated to the bit.
    """

    runs: int | None = None
    minutes: float | None = None

    @property
    def repeatable(self) -> bool:
        """Do the same files, seed and versions give the same numbers?"""
        return self.minutes is None


class Purse:
    """A budget while it is being spent.

    Parameters
    ----------
    budget : Budget
        What may be spent.
    least : int
        Runs that every study of this kind takes.
    clock : callable
        Tells the time [s].
    advice : str
        What else would do, if something would.

    Raises
    ------
    BudgetError
        ``budget.runs`` is less than ``least``.
    """

    def __init__(
        self, budget: Budget, least: int, clock: Callable[[], float] = monotonic, advice: str = ""
    ) -> None:
        self.budget = budget
        self.most = least + FURTHER_RUNS if budget.runs is None else budget.runs
        if self.most < least:
            raise BudgetError(
                f"a budget of {self.most:,} runs is not enough: {least:,} are needed at least, so that every option "
                f"meets the same worlds under every outlook; give more{advice}"
            )
        self._seconds = None if budget.minutes is None else 60.0 * budget.minutes
        self._clock = clock
        self._start = clock()

    def left(self, done: int) -> int:
        """Runs that may still be played, after ``done`` of them."""
        if self._seconds is None:
            return max(0, self.most - done)
        spent = self._clock() - self._start
        return max(0, int((self._seconds - spent) * done / spent)) if spent > 0.0 else 0
