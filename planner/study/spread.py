"""How results spread over worlds: the middle one, a bad and a good one, the chance of a loss, the worst tenth.

In: arrays with one number a replicate along the last axis. Out: ``Spreads``, with an interval of each where one can be
said. Must not know: what the numbers mean.

A sample's quantile lies between its two nearest values, in proportion (type 7 of Hyndman & Fan 1996, numpy's default).
The interval of a quantile is two of the sorted values; it holds whatever the distribution (David & Nagaraja 2003, Order
Statistics, section 7.1).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import nan
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import bdtr, ndtri

from planner.study.intervals import FloatArray, share_below_zero

LEAST_FOR_WORST_TENTH: Final = 200
"""Values below which a mean of the worst tenth is not said: it would be one of fewer than twenty."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """What a sample says of something, and where it lies with the confidence asked for; nan where it does not say."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, eq=False)
class Estimates:
    """Estimates of many rows at once; every array has the shape of the rows."""

    value: FloatArray
    low: FloatArray
    high: FloatArray

    def at(self, *index: int) -> Estimate:
        """One of them."""
        return Estimate(float(self.value[index]), float(self.low[index]), float(self.high[index]))


@dataclass(frozen=True, slots=True)
class Spread:
    """How one row of values spreads.

    Parameters
    ----------
    median, p10, p90 : Estimate
        Half, a tenth and nine tenths of all worlds bring less.
    loss : Estimate
        Share of the worlds that bring less than nothing.
    worst_tenth : float
        Mean of the lowest tenth; approximate, and nan below ``LEAST_FOR_WORST_TENTH`` values.
    n : int
        Values.
    """

    median: Estimate
    p10: Estimate
    p90: Estimate
    loss: Estimate
    worst_tenth: float
    n: int


@dataclass(frozen=True, slots=True, eq=False)
class Spreads:
    """Spreads of many rows at once; every array has the shape of the rows. See :class:`Spread`."""

    median: Estimates
    p10: Estimates
    p90: Estimates
    loss: Estimates
    worst_tenth: FloatArray
    n: NDArray[np.int64]

    def at(self, *index: int) -> Spread:
        """One of them."""
        return Spread(
            self.median.at(*index),
            self.p10.at(*index),
            self.p90.at(*index),
            self.loss.at(*index),
            float(self.worst_tenth[index]),
            int(self.n[index]),
        )


def spreads(values: FloatArray, confidence: float) -> Spreads:
    """How each row of values spreads.

    Parameters
    ----------
    values : array, shape (..., replicates)
        nan where a replicate has no value; it does not count.
    confidence : float
        Chance that one interval holds, such as 0.95.

    Returns
    -------
    Spreads
        Shape (...).
    """
    n = _count(values)
    return Spreads(
        quantile(values, 0.5, confidence),
        quantile(values, 0.1, confidence),
        quantile(values, 0.9, confidence),
        wilson(share_below_zero(values), n, confidence),
        worst_tenth(values),
        n,
    )


def _count(values: FloatArray) -> NDArray[np.int64]:
    n: NDArray[np.int64] = (~np.isnan(values)).sum(axis=-1, dtype=np.int64)
    return n


def quantile_ranks(n: int, q: float, confidence: float) -> tuple[int, int]:
    """Which two of the sorted values enclose a quantile of what they were drawn from.

    Parameters
    ----------
    n : int
        Values.
    q : float
        Share of all that lies below, between 0 and 1.
    confidence : float
        Chance that the two enclose it, at least; each end errs by no more than half of the rest.

    Returns
    -------
    low, high : int
        Ranks, counted from 1; 0 and n + 1 where even the least or the greatest value is not sure enough.

    Notes
    -----
    The value of rank r lies above the quantile where fewer than r values lie below: a binomial chance. A 95 % interval
    of the 5 % quantile has its low end from 72 values on.
    """
    return _rank_below(n, q, confidence), n + 1 - _rank_below(n, 1.0 - q, confidence)


def _rank_below(n: int, q: float, confidence: float) -> int:
    """The highest rank of which the value lies above the quantile no more often than an end may err; 0 if none."""
    too_high = bdtr(np.arange(n + 1.0), n, q)  # of rank 1, 2, ...: fewer values than that lie below
    return int(np.searchsorted(too_high, (1.0 - confidence) / 2.0, side="right"))


def quantile(values: FloatArray, q: float, confidence: float) -> Estimates:
    """A quantile of each row and its interval by order statistics.

    Parameters
    ----------
    values : array, shape (..., replicates)
        nan does not count.
    q : float
        Share of all that lies below, between 0 and 1.
    confidence : float
        See :func:`quantile_ranks`.

    Returns
    -------
    Estimates
        Shape (...); an end is nan where the row has too few values for it.
    """
    n = _count(values)
    ordered = np.sort(values, axis=-1)  # nan last
    sizes, which = np.unique(n, return_inverse=True)
    ranks = np.array([quantile_ranks(int(size), q, confidence) for size in sizes]).reshape(-1, 2)
    low, high = np.moveaxis(ranks[which.reshape(n.shape)], -1, 0)
    before = np.maximum((n - 1) * q, 0.0)
    rank = before.astype(np.int64) + 1
    at, after = _of_rank(ordered, rank, n), _of_rank(ordered, np.minimum(rank + 1, n), n)
    return Estimates(
        at + (after - at) * (before % 1.0), _of_rank(ordered, low, n), _of_rank(ordered, high, n)
    )


def _of_rank(ordered: FloatArray, rank: NDArray[np.int64], n: NDArray[np.int64]) -> FloatArray:
    """The value of this rank in each row; nan where the row has none."""
    there = (rank >= 1) & (rank <= n)
    if not ordered.shape[-1]:
        return np.full(n.shape, nan)
    index = np.where(there, rank - 1, 0)
    found: FloatArray = np.take_along_axis(ordered, index[..., None], axis=-1)[..., 0]
    return np.where(there, found, nan)


def wilson(share: FloatArray, n: NDArray[np.int64], confidence: float) -> Estimates:
    """The interval of a share that was counted.

    Parameters
    ----------
    share : array
        Share of those that were looked at.
    n : array of int, same shape
        How many these were; without any there is no interval.
    confidence : float
        Chance that one interval holds, about.

    Notes
    -----
    Score interval, Wilson 1927, J. Am. Stat. Assoc. 22, 209. Where none or all were found it still reaches as far as
    that many looks cannot rule out.
    """
    z2 = float(ndtri(1.0 - (1.0 - confidence) / 2.0)) ** 2
    with np.errstate(invalid="ignore", divide="ignore"):
        middle = (share + z2 / (2.0 * n)) / (1.0 + z2 / n)
        half = np.sqrt(z2 * (share * (1.0 - share) / n + z2 / (4.0 * n * n))) / (1.0 + z2 / n)
    low = np.where(share == 0.0, 0.0, middle - half)  # exactly, whatever rounding says
    high = np.where(share == 1.0, 1.0, middle + half)
    return Estimates(share, low, high)


def worst_tenth(values: FloatArray) -> FloatArray:
    """Mean of the lowest tenth of each row, approximate.

    Parameters
    ----------
    values : array, shape (..., replicates)
        nan does not count.

    Returns
    -------
    array, shape (...)
        nan below ``LEAST_FOR_WORST_TENTH`` values.

    Notes
    -----
    Expected shortfall at 10 % (Acerbi & Tasche 2002, J. Banking & Finance 26, 1487): where the tenth ends within a
    value, that value counts in part. In few values it comes out a little too good.
    """
    tenth = _count(values)[..., None] / 10.0
    ordered = np.sort(values, axis=-1)
    weight = np.clip(tenth - np.arange(values.shape[-1]), 0.0, 1.0)
    total = np.where(weight > 0.0, ordered * weight, 0.0).sum(axis=-1)
    tenth = tenth[..., 0]
    enough = 10.0 * tenth >= LEAST_FOR_WORST_TENTH
    return np.where(enough, total / np.where(enough, tenth, 1.0), nan)
