"""How well a forecast did: bands, scores, and how far from it things may come if it is right.

In: arrays of worlds and of what happened. Out: arrays and numbers. Must not know: what the figures are.

Every reference is made by the same simulation: each world is held against all the others as what happened is held
against all of them. Weeks of one world hang together, and so do figures; no formula that takes them to be independent
is used.
"""

from __future__ import annotations

from math import nan, sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from planner.study.intervals import Interval, t_quantile
from planner.world.draw import Draw

FloatArray = NDArray[np.float64]
LOW, MIDDLE, HIGH = 0.1, 0.5, 0.9
"""Eight of ten lie between low and high."""
RESAMPLES: Final = 2000
BLOCK_WEEKS: Final = 4
"""Weeks that are drawn together: stock carries over, and what was not sold this week is sold in the next (assumed)."""
LEAST_BLOCKS: Final = 3
"""Of fewer there is no interval (assumed)."""


def quantiles(worlds: FloatArray) -> FloatArray:
    """Low, middle and high of each period; worlds have shape (worlds, periods), the result (3, periods)."""
    found: FloatArray = np.quantile(worlds, (LOW, MIDDLE, HIGH), axis=0)
    return found


def inside(worlds: FloatArray, happened: FloatArray) -> NDArray[np.bool_]:
    """In which periods what happened lies between low and high, both counted in."""
    low, _, high = quantiles(worlds)
    found: NDArray[np.bool_] = (low <= happened) & (happened <= high)
    return found


def inside_of_others(worlds: FloatArray) -> NDArray[np.bool_]:
    """Each world held against all the others; shape (worlds, periods)."""
    low, high = (_without_each(worlds, share) for share in (LOW, HIGH))
    found: NDArray[np.bool_] = (low <= worlds) & (worlds <= high)
    return found


def _without_each(worlds: FloatArray, share: float) -> FloatArray:
    """Quantile of all worlds but one, for each that is left out; shape (worlds, periods)."""
    number = worlds.shape[0]
    order = np.argsort(worlds, axis=0, kind="stable")
    ranked = np.take_along_axis(worlds, order, axis=0)
    rank = np.argsort(order, axis=0, kind="stable")
    at = (number - 2) * share
    below = int(at)

    def nth(n: int) -> FloatArray:
        """The n-th of the others: one further where the one left out comes before."""
        last = number - 1
        values: FloatArray = np.where(rank <= n, ranked[min(n + 1, last)], ranked[min(n, last)])
        return values

    first, then = nth(below), nth(min(below + 1, number - 2))
    found: FloatArray = first + (at - below) * (then - first)
    return found


def far(worlds: FloatArray, value: float) -> float:
    """How far a value lies from the middle of worlds, in units of how far worlds lie to that side; 0 in the middle.

    Parameters
    ----------
    worlds : FloatArray
        Shape (worlds,).

    Notes
    -----
    The unit is the root mean square of the worlds beyond the middle on that side; where there are none on it, of all.
    Infinite where all worlds are the same, and the value is another.
    """
    off = worlds - np.median(worlds)
    here = value - float(np.median(worlds))
    if here == 0.0:
        return 0.0
    side = off[off * here > 0.0]
    unit = float(np.sqrt(np.mean((side if side.size else off) ** 2)))
    return here / unit if unit > 0.0 else float(np.inf) * here


def far_of_others(worlds: FloatArray) -> FloatArray:
    """Each world held against all the others; shape (worlds,)."""
    return np.array([far(np.delete(worlds, i), float(one)) for i, one in enumerate(worlds)])


def crps(worlds: FloatArray, happened: FloatArray) -> FloatArray:
    """Continuous ranked probability score of each period; less is better, in the unit of the figure.

    Parameters
    ----------
    worlds : FloatArray
        Shape (worlds, periods): the forecast, each world as likely as another.
    happened : FloatArray
        Shape (periods,).

    Notes
    -----
    E|X - y| - E|X - X'|/2 with X, X' drawn from the worlds: Gneiting and Raftery 2007, Journal of the American
    Statistical Association 102, 359-378, equation 21. The second mean is reckoned from the worlds in order of size:
    with x_1 <= ... <= x_n it is the sum of 2 (2 i - n - 1) x_i over n squared. Of a single world it is the distance.
    """
    number = worlds.shape[0]
    ranked = np.sort(worlds, axis=0)
    weights = 2.0 * np.arange(1, number + 1) - number - 1.0
    apart = 2.0 * (weights[:, None] * ranked).sum(axis=0) / number**2
    found: FloatArray = np.abs(worlds - happened).mean(axis=0) - 0.5 * apart
    return found


def skill(model: FloatArray, other: FloatArray, seed: int, confidence: float) -> Interval:
    """How much smaller the mean score of a model is than another's: 1 is perfect, 0 no better, below 0 worse.

    Parameters
    ----------
    model, other : FloatArray
        Scores of the same periods, shape (periods,).
    seed : int
        The same seed draws the same sets of periods.
    confidence : float
        Of the interval.

    Returns
    -------
    Interval
        nan where the other's score is nothing; no interval of fewer periods than three blocks.

    Notes
    -----
    The interval is that of the ratio in sets of periods drawn in blocks that run round from the end to the beginning
    (circular block bootstrap, Politis and Romano 1992, in LePage and Billard, Exploring the Limits of Bootstrap, from
    memory), the same for both. So few blocks vary less among themselves than they should, so the quantiles are further
    out than the confidence says: Student's instead of the normal ones, for as many blocks (expanded percentile
    interval, Hesterberg 2015, The American Statistician 69, 4, from memory).
    """
    number = model.size
    if not number or not other.sum() > 0.0:
        return Interval(nan, nan, nan, number)
    mean = 1.0 - float(model.sum() / other.sum())
    if number < LEAST_BLOCKS * BLOCK_WEEKS:
        return Interval(mean, nan, nan, number)
    blocks = -(-number // BLOCK_WEEKS)
    uniform = Draw(seed, 0).uniform("bootstrap/weeks", (RESAMPLES, blocks))
    firsts = np.minimum((uniform * number).astype(np.int64), number - 1)
    drawn = (firsts[:, :, None] + np.arange(BLOCK_WEEKS)).reshape(RESAMPLES, -1)[:, :number] % number
    with np.errstate(divide="ignore", invalid="ignore"):
        found = 1.0 - model[drawn].sum(axis=1) / other[drawn].sum(axis=1)
    found = found[~np.isnan(found)]
    apart = number // BLOCK_WEEKS
    further = sqrt(apart / (apart - 1.0)) * float(t_quantile(apart, confidence))
    half = float(ndtr(-further))
    low, high = np.quantile(found, (half, 1.0 - half), method="inverted_cdf")
    return Interval(mean, float(low), float(high), number)
