"""Options beside outlooks: what each brings if it comes so, and how much one would regret having taken another.

In: a table of means (options x outlooks) with what is refused, and how likely each outlook is, if somebody said so.
Out: ``Map``. Must not know: how the means were made.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from planner.study.intervals import FloatArray
from planner.workshop.premises import Refusal

NO_OPTION: Final = -1
"""In the place of a row where no option is allowed under every outlook."""


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
    best_weighted : int or None
        Row: best on average over the outlooks by how likely they are; None also where nobody said how likely.
    """

    value: FloatArray
    regret: FloatArray
    best_expected: int | None
    best_worst: int | None
    least_regret: int | None
    best_weighted: int | None = None

    @property
    def agree(self) -> bool:
        """Do the three ways of choosing name the same option?"""
        return self.best_expected == self.best_worst == self.least_regret


class Chosen(NamedTuple):
    """Rows that the ways of choosing name, of one table or of many: arrays of the tables' shape.

    ``NO_OPTION`` where none is allowed under every outlook; ``best_weighted`` is None where nobody said how likely the
    outlooks are.
    """

    best_expected: NDArray[np.int64]
    best_worst: NDArray[np.int64]
    least_regret: NDArray[np.int64]
    best_weighted: NDArray[np.int64] | None


def outlook_map(value: FloatArray, refused: NDArray[Any], weights: FloatArray | None = None) -> Map:
    """Regret of each option under each outlook, and what to choose.

    Parameters
    ----------
    value : array, shape (options, outlooks)
        Mean of the measure that decides; nan where it is not known.
    refused : boolean array, shape (options, outlooks)
        Which break a hard limit; they are no measure for the others.
    weights : array, shape (outlooks,), optional
        How likely each outlook is; see :func:`weights_of`.
    """
    rows = [None if row is None or row == NO_OPTION else int(row) for row in chosen(value, refused, weights)]
    return Map(value, regrets(value, refused), *rows)


def regrets(value: FloatArray, refused: NDArray[Any]) -> FloatArray:
    """What the best allowed option brings more, of one table of means or of many.

    Parameters
    ----------
    value : array, shape (..., options, outlooks)
        nan where it is not known.
    refused : boolean array, shape (options, outlooks)
        Which break a hard limit.

    Notes
    -----
    Regret R[i, w] = max over j of P[j, w] - P[i, w] (Savage 1951, minimax regret).
    """
    usable = _usable(value, refused)
    with np.errstate(invalid="ignore"):  # where nothing is allowed, nothing is to be regretted
        regret = usable.max(axis=-2, keepdims=True) - usable
    return np.where(np.isfinite(regret), regret, np.nan)


def chosen(value: FloatArray, refused: NDArray[Any], weights: FloatArray | None = None) -> Chosen:
    """What each way of choosing names, in one table of means or in many.

    Parameters
    ----------
    value : array, shape (..., options, outlooks)
        nan where it is not known; such an option is not chosen.
    refused : boolean array, shape (options, outlooks)
        Which break a hard limit; an option that does so under any outlook is not chosen.
    weights : array, shape (outlooks,), optional
        How likely each outlook is.

    Returns
    -------
    Chosen
        Shape (...). Of options that are as good the first counts.
    """
    usable = _usable(value, refused)
    allowed = np.asarray(np.isfinite(usable).all(axis=-1))
    known = np.where(allowed[..., None], usable, 0.0)
    return Chosen(
        _best(known[..., 0], allowed),
        _best(known.min(axis=-1), allowed),
        _best(-np.where(allowed[..., None], regrets(value, refused), 0.0).max(axis=-1), allowed),
        None if weights is None else _best((known * weights).sum(axis=-1), allowed),
    )


def _usable(value: FloatArray, refused: NDArray[Any]) -> FloatArray:
    return np.where(refused | np.isnan(value), -np.inf, value)


def _best(score: FloatArray, allowed: NDArray[Any]) -> NDArray[np.int64]:
    """Which option has the highest score; the first of those that have."""
    best = np.where(allowed, score, -np.inf).argmax(axis=-1)
    return np.where(allowed.any(axis=-1), best, NO_OPTION)


def weights_of(probabilities: Mapping[str, float] | None, outlooks: Sequence[str]) -> FloatArray | None:
    """How likely each of the outlooks is that were played; None where nobody said so, or some were left out.

    Parameters
    ----------
    probabilities : mapping of str to float or None
        Of every outlook of the scenario; they sum to 1.
    outlooks : sequence of str
        Those that were played, in the order of the columns.
    """
    if probabilities is None or set(outlooks) != set(probabilities):
        return None
    return np.array([probabilities[name] for name in outlooks])
