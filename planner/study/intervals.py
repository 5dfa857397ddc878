"""Means and how sure they are.

In: arrays with one number a replicate along the last axis. Out: mean and Student-t interval of each row; the
variance that pairing saved. Must not know: what the numbers mean.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, isfinite, nan
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

FloatArray = NDArray[np.float64]

MOST_SKEWNESS: Final = 2.0
"""Skewness of single worlds up to which choices and intervals keep their promise: differences of 1.1 to 1.4 do, in
repeats on known means, of 5 to 7 they do not (DEVELOPERS.md, "Choosing, checked"); that 2 parts them is assumed.
"""


@dataclass(frozen=True, slots=True)
class Interval:
    """A mean, and where it lies with the confidence asked for; nan where the runs do not say."""

    mean: float
    low: float
    high: float
    n: int


@dataclass(frozen=True, slots=True, eq=False)
class Intervals:
    """Intervals of many rows at once; every array has the shape of the rows."""

    mean: FloatArray
    low: FloatArray
    high: FloatArray
    n: NDArray[np.int64]

    def at(self, *index: int) -> Interval:
        """One of them."""
        return Interval(
            float(self.mean[index]), float(self.low[index]), float(self.high[index]), int(self.n[index])
        )


def t_quantile(n: Any, confidence: float, comparisons: int = 1) -> Any:
    """How many standard errors an interval reaches to either side of its mean.

    Parameters
    ----------
    n : int or array
        Replicates, 2 or more.
    confidence : float
        Chance that all intervals together hold, such as 0.95.
    comparisons : int
        Number of intervals that are looked at together (Bonferroni: each may err this much less often).

    Returns
    -------
    float or array
        Student's t quantile with n - 1 degrees of freedom.

    Notes
    -----
    Five options against each other's common baseline are four comparisons: n = 20 gives 2.758586 at 95 %.
    """
    return stdtrit(np.asarray(n) - 1.0, 1.0 - (1.0 - confidence) / (2.0 * max(1, comparisons)))


def intervals(values: FloatArray, confidence: float, comparisons: int = 1) -> Intervals:
    """Mean and interval of each row.

    Parameters
    ----------
    values : array, shape (..., replicates)
        nan where a replicate has no value; it does not count.
    confidence : float
        See :func:`t_quantile`.
    comparisons : int
        See :func:`t_quantile`.

    Returns
    -------
    Intervals
        Shape (...). Without two values a row has no interval, without any no mean.
    """
    there = ~np.isnan(values)
    n = there.sum(axis=-1)
    filled = np.where(there, values, 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = filled.sum(axis=-1) / n
        off = np.where(there, values - mean[..., None], 0.0)
        half = np.sqrt((off * off).sum(axis=-1) / (n - 1) / n)
        half = np.where(n > 1, half * t_quantile(np.maximum(n, 2), confidence, comparisons), np.nan)
        return Intervals(mean, mean - half, mean + half, n.astype(np.int64))


def interval(values: FloatArray, confidence: float, comparisons: int = 1) -> Interval:
    """Mean and interval of one row of values."""
    found = intervals(np.asarray(values, dtype=np.float64)[None, :], confidence, comparisons)
    return found.at(0)


def pairing_saved(values: FloatArray, base: FloatArray) -> float:
    """How many times more runs unpaired worlds would have needed for the same precision.

    The variance of the difference, were the two played in worlds of their own, over the variance of the paired
    difference; inf where the paired difference never varies but the two do, nan where nothing does.
    """
    both = ~(np.isnan(values) | np.isnan(base))
    if both.sum() < 2:
        return nan
    a, b = values[both], base[both]
    apart, paired = float(a.var(ddof=1) + b.var(ddof=1)), float((a - b).var(ddof=1))
    if paired > 0.0:
        return apart / paired
    return float("inf") if apart > 0.0 else nan


def runs_needed(differences: FloatArray, confidence: float, comparisons: int, least: float) -> int | None:
    """Replicates that would tell two options apart, if they go on differing as they have.

    Parameters
    ----------
    differences : array, shape (replicates,)
        Paired differences.
    confidence, comparisons
        See :func:`t_quantile`.
    least : float
        A difference smaller than this need not be told from nothing.

    Returns
    -------
    int or None
        All replicates, those played included; None where that cannot be said.
    """
    found = interval(differences, confidence, comparisons)
    half = (found.high - found.low) / 2.0
    goal = max(abs(found.mean), least)
    if not isfinite(half) or goal <= 0.0:
        return None
    return max(found.n + 1, ceil(found.n * (half / goal) ** 2))


def skewness(values: FloatArray) -> float:
    """How lopsided values lie round their mean: third central moment over the standard deviation cubed (Fisher).

    0 where they are even, above 0 where few are very high; nan where they do not vary.
    """
    off = values - values.mean()
    var = float((off * off).mean())
    return float((off**3).mean()) / var**1.5 if var > 0.0 else nan


def lopsided(values: FloatArray) -> bool:
    """Are a few of these values so far from the others that their interval may err more often than it says?"""
    there = values[~np.isnan(values)]
    return bool(there.size) and abs(skewness(there)) > MOST_SKEWNESS


def share_below_zero(values: FloatArray) -> FloatArray:
    """Share of the values of each row that are below zero; nan does not count, and a row of nan has none.

    Parameters
    ----------
    values : array, shape (..., replicates)
    """
    there = ~np.isnan(values)
    with np.errstate(invalid="ignore"):
        share: FloatArray = ((values < 0.0) & there).sum(axis=-1) / there.sum(axis=-1)
    return share
