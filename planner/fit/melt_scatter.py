"""Least squares of two logarithms a melt, hours and propane, whose scatter is estimated along with the rest.

In: how far off each melt is at any shift, prior deviations. Out: the posterior of the shift, the scatter. Must not
know: melts, the heat balance.

A gust that makes a melt long makes it burn more too, so the two are off together: taken for two records that know
nothing of each other they would count double. Their covariance is estimated from what is left over, and the least
squares are weighted with its inverse, in turns (seemingly unrelated regressions: Zellner, Journal of the American
Statistical Association 57 (1962) 348, from memory).
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.optimize import least_squares

from planner.fit.estimate import FloatArray
from planner.fit.prior import MELT_SCATTER, MELTS_WORTH

Off = Callable[[FloatArray], FloatArray]
"""Logarithms of what was written down over what is foretold, shape (melts, 2), at a shift; nan where not written."""
STEP: Final = 0.02
"""Slopes are those of chords this long, on the scale of a logarithm."""
PIECES: Final = (-2, -1, 0, 1)
"""Ends of chords, in steps: where a charge just fits into a load less hours jump, and the middle of three does not."""
TURNS: Final = 6
STEPS: Final = 3
"""Of each turn; the next goes on from there."""
CLOSE: Final = 0.02
"""Turns end when no deviation of the scatter changes by more than this share."""
NORMAL: Final = 1.4826
"""Standard deviation of a normal distribution over the median of distances from its middle."""
SHARES: Final = 30
"""Turns in which what is left over is shared out between scatter and what is not known."""
NOT_WRITTEN: Final = 1e6
"""Variance of what was not written down."""
MOST_TOGETHER: Final = 0.95
"""Hours and propane are never taken to be off together more closely than this correlation (assumed)."""


@dataclass(frozen=True, eq=False)
class Balance:
    """What the shift is held against beside the melts themselves.

    Parameters
    ----------
    prior_sd : FloatArray
        Shape (n,).
    most : FloatArray
        No shift is larger, shape (n,).
    unknown : FloatArray
        Covariance by what is not known of each melt, shape (melts, 2, 2).
    """

    prior_sd: FloatArray
    most: FloatArray
    unknown: FloatArray


@dataclass(frozen=True, eq=False)
class Scatter:
    """How far single melts lie off, as logarithms.

    Parameters
    ----------
    covariance : FloatArray
        Of hours and propane, shape (2, 2), beside what is not known of single melts.
    fuels : int
        How many melts told their propane.
    """

    covariance: FloatArray
    fuels: int = 0

    @property
    def hours_sd(self) -> float:
        """Standard deviation of hours."""
        return float(np.sqrt(self.covariance[0, 0]))

    @property
    def fuel_sd(self) -> float:
        """Standard deviation of propane."""
        return float(np.sqrt(self.covariance[1, 1]))


def posterior(off: Off, balance: Balance, start: FloatArray) -> tuple[FloatArray, FloatArray, Scatter]:
    """Mean and covariance of the shift, and the scatter.

    Parameters
    ----------
    off : callable
        How far off each melt is.
    balance : Balance
        What holds the shift back.
    start : FloatArray
        Where to begin, shape (n,).
    """
    scatter = Scatter(MELT_SCATTER.sd**2 * np.eye(2))
    shift = start
    off = _kept(off)
    for _ in range(TURNS):
        shift, covariance, told = _weighted(off, balance, shift, scatter)
        before, scatter = scatter, _scatter(off(shift), balance.unknown, told, scatter)
        changes = np.log(np.diag(scatter.covariance) / np.diag(before.covariance))
        if np.abs(changes).max() < 2.0 * CLOSE:
            break
    return shift, covariance, scatter


def _kept(off: Off) -> Off:
    """The same, each shift worked out once."""
    known: dict[bytes, FloatArray] = {}

    def found(shift: FloatArray) -> FloatArray:
        key = shift.tobytes()
        if key not in known:
            known[key] = off(shift)
        return known[key]

    return found


def _weighted(
    off: Off, balance: Balance, start: FloatArray, scatter: Scatter
) -> tuple[FloatArray, FloatArray, float]:
    """Least squares with one scatter: shift, its covariance, and how many numbers the records told."""
    size = start.size
    factors = np.linalg.inv(np.linalg.cholesky(scatter.covariance + balance.unknown))

    def whitened(off: FloatArray) -> FloatArray:
        """In deviations that know nothing of each other; 0 where propane is not written."""
        hours = factors[:, 0, 0] * off[:, 0]
        fuel = factors[:, 1, 0] * off[:, 0] + factors[:, 1, 1] * off[:, 1]
        return np.concatenate([hours, np.where(np.isfinite(fuel), fuel, 0.0)])

    def left(shift: FloatArray) -> FloatArray:
        return np.concatenate([whitened(off(shift)), shift / balance.prior_sd])

    def slopes(shift: FloatArray) -> FloatArray:
        columns = []
        for i in range(size):
            along = np.zeros(size)
            along[i] = STEP
            last = PIECES[-1] if shift[i] + PIECES[-1] * STEP <= balance.most[i] else 0
            ends = [off(shift + (piece - PIECES[-1] + last) * along) for piece in PIECES]
            columns.append(whitened(np.median(np.diff(ends, axis=0), axis=0) / STEP))
        return np.vstack([np.column_stack(columns), np.diag(1.0 / balance.prior_sd)])

    inside = np.clip(start, -balance.most * 0.999, balance.most * 0.999)
    found = least_squares(
        left,
        inside,
        jac=slopes,
        bounds=(-balance.most, balance.most),
        x_scale=balance.prior_sd,
        max_nfev=STEPS,
        xtol=1e-3,
        ftol=1e-4,
    )
    jacobian = slopes(found.x)
    covariance: FloatArray = np.linalg.inv(jacobian.T @ jacobian).astype(np.float64)
    told = size - float(np.sum(np.diag(covariance) / balance.prior_sd**2))
    return found.x, covariance, told


def _scatter(off: FloatArray, unknown: FloatArray, told: float, scatter: Scatter) -> Scatter:
    """Mean of the posterior of the scatter: what is left over, and a prior worth some melts.

    Parameters
    ----------
    off : FloatArray
        What is left over.
    unknown : FloatArray
        Covariance by what is not known of each melt.
    told : float
        How many numbers the records told; taken from both alike.
    scatter : Scatter
        Before.

    Notes
    -----
    With an inverse Wishart prior the mean is (prior + sum of squares) over the degrees of freedom (Gelman et al.,
    Bayesian Data Analysis, 3rd ed. 2013, section 3.6, from memory). The part of the squares that belongs to the scatter
    and not to what is unknown is found in turns, by expectation and maximisation.
    """
    both = np.isfinite(off[:, 1])
    fuels = int(both.sum())
    told_each = told / 2.0 if fuels else told
    prior = MELTS_WORTH * MELT_SCATTER.sd**2 * np.eye(2)
    freedom = MELTS_WORTH + np.maximum(
        np.array([[len(off), fuels], [fuels, fuels]], dtype=np.float64) - told_each, 0.0
    )
    there = np.where(both[:, None], off, np.column_stack([off[:, 0], np.zeros(len(off))]))
    missing = np.where(both, 0.0, NOT_WRITTEN)[:, None, None] * np.diag([0.0, 1.0])
    counts = np.stack([np.ones(len(off)), both, both, both], axis=1).reshape(-1, 2, 2)
    covariance = scatter.covariance
    for _ in range(SHARES):
        gain = covariance @ np.linalg.inv(covariance + unknown + missing)
        own = np.einsum("nij,nj->ni", gain, there)
        squares = np.einsum("ni,nj->nij", own, own) + covariance - gain @ covariance
        covariance = (prior + (counts * squares).sum(axis=0)) / freedom
        most = MOST_TOGETHER * float(np.sqrt(covariance[0, 0] * covariance[1, 1]))
        covariance[0, 1] = covariance[1, 0] = np.clip(covariance[0, 1], -most, most)
    return Scatter(covariance, fuels)


def middle_and_sd(off: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Median of each column, and its standard deviation told by the median of distances; nan where none is written.

    Parameters
    ----------
    off : FloatArray
        Shape (melts, 2); nan where not written.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # a column of nan alone
        middle: FloatArray = np.nanmedian(off, axis=0)
        return middle, NORMAL * np.nanmedian(np.abs(off - middle), axis=0)
