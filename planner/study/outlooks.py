"""Options beside outlooks: what each brings if it comes so, and how much one would regret having taken another.

In: a table of means (options x outlooks) with what is refused. Out: ``Map``. Must not know: how the means were made.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from planner.study.intervals import FloatArray
from planner.workshop.premises import Refusal


class Refused(NamedTuple):
    """One row an option under an outlook: the hard limits that it breaks there; empty if none."""

    option: str
    outlook: str
    refusals: tuple[Refusal, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Map:
    """What options bring under each outlook, and what choosing them would cost.

    Parameters
    ----------
    value : array, shape (options, outlooks)
        Means.
    regret : array, shape (options, outlooks)
        What the best allowed option brings more; nan for an option that is refused there.
    best_expected, best_worst, least_regret : int or None
        Rows: best under the first outlook, with the best worst case, with the smallest largest regret; of those that
        are allowed under every outlook. None if there are none.
    """

    value: FloatArray
    regret: FloatArray
    best_expected: int | None
    best_worst: int | None
    least_regret: int | None

    @property
    def agree(self) -> bool:
        """Do the three ways of choosing name the same option?"""
        return self.best_expected == self.best_worst == self.least_regret


def outlook_map(value: FloatArray, refused: NDArray[Any]) -> Map:
    """Regret of each option under each outlook.

    Parameters
    ----------
    value : array, shape (options, outlooks)
        Mean of the measure that decides; nan where it is not known.
    refused : boolean array, shape (options, outlooks)
        Which break a hard limit; they are no measure for the others.

    Notes
    -----
    Regret R[i, w] = max over j of P[j, w] - P[i, w] (Savage 1951, minimax regret).
    """
    usable = np.where(refused | np.isnan(value), -np.inf, value)
    with np.errstate(invalid="ignore"):  # where nothing is allowed, nothing is to be regretted
        regret = usable.max(axis=0) - usable
    regret = np.where(np.isfinite(regret), regret, np.nan)
    everywhere = np.flatnonzero(np.isfinite(usable).all(axis=1))
    if not everywhere.size:
        return Map(value, regret, None, None, None)
    rows = usable[everywhere]
    return Map(
        value,
        regret,
        int(everywhere[np.argmax(rows[:, 0])]),
        int(everywhere[np.argmax(rows.min(axis=1))]),
        int(everywhere[np.argmin(regret[everywhere].max(axis=1))]),
    )
