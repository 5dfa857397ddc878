"""Counts of what comes one after the other with gaps that are more or less alike, and a regression of them.

In: gaps' variation, intervals. Out: covariance of counts; a posterior. Must not know: what is counted.

Counts of such things are more regular than Poisson's over long times and hardly over short ones, and what comes in one
interval is missing from the next; a regression that took no heed of it would be too sure of each month, or not sure
enough of the year.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
from scipy import special

from planner.fit.estimate import FloatArray

_REACH: Final = 12.0
"""Beyond so many gaps the variance of a count grows evenly."""
_STEPS: Final = 600
_ITERATIONS: Final = 60
_CLOSE: Final = 2e-3
"""A step of so many standard deviations is the last."""
_HELD_FROM: Final = 6
"""After so many steps the covariance stays as it is, so that they come to an end."""
_STEP: Final = 1e-4
_LONGEST_STEP: Final = 0.5
_LEAST_CV: Final = 0.1
"""Gaps that are more alike than this are reckoned with as if they varied so much (assumed)."""


def variance_of(cv: float) -> Callable[[FloatArray], FloatArray]:
    """Variance of a count over a time, for times in mean gaps, of a stationary renewal process with gamma gaps.

    Parameters
    ----------
    cv : float
        Standard deviation of a gap over its mean.

    Notes
    -----
    V(t) = 2 * integral of (H(u) - u + 1/2) over 0..t, where H is the renewal function (Cox 1962, Renewal Theory,
    section 4.5, from memory).
    """
    shape = max(cv, _LEAST_CV) ** -2.0
    u = np.linspace(0.0, _REACH, _STEPS + 1)
    number = np.arange(1, int(3 * _REACH) + 60)
    renewals = special.gammainc(number[:, None] * shape, shape * u[None, :]).sum(axis=0)
    excess = 2.0 * (renewals - u + 0.5)
    steps = 0.5 * (excess[1:] + excess[:-1]) * np.diff(u)
    grown = np.concatenate(([0.0], np.cumsum(steps)))

    def variance(t: FloatArray) -> FloatArray:
        beyond = np.maximum(t - _REACH, 0.0) * max(cv, _LEAST_CV) ** 2
        found: FloatArray = np.interp(np.minimum(t, _REACH), u, grown) + beyond
        return found

    return variance


def covariance_of(
    expected: FloatArray, kept_share: FloatArray, variance: Callable[[FloatArray], FloatArray]
) -> FloatArray:
    """Covariance of the counts of intervals that follow on each other.

    Parameters
    ----------
    expected : FloatArray
        Expected count of each, shape (n,), of what is still there.
    kept_share : FloatArray
        Share of what comes that is still there to be counted; what is lost is lost by chance.
    variance : callable
        See :func:`variance_of`.
    """
    came = expected / kept_share
    ends = np.concatenate(([0.0], np.cumsum(came)))
    between = variance(np.abs(ends[:, None] - ends[None, :]))
    both = 0.5 * (between[:-1, 1:] + between[1:, :-1] - between[:-1, :-1] - between[1:, 1:])
    return both * np.outer(kept_share, kept_share) + np.diag(expected * (1.0 - kept_share))


def regressed(
    found: FloatArray,
    expected: Callable[[FloatArray], FloatArray],
    prior_sd: FloatArray,
    covariance: Callable[[FloatArray, FloatArray], FloatArray],
) -> tuple[FloatArray, FloatArray]:
    """Parameters of expected counts, with a prior.

    Parameters
    ----------
    found : FloatArray
        Counts, shape (n,).
    expected : callable
        What is expected, above 0, for parameters of shape (k,).
    prior_sd : FloatArray
        Each parameter is N(0, sd^2) before, shape (k,).
    covariance : callable
        Of the counts, for parameters and what is expected with them.

    Returns
    -------
    mean, covariance : FloatArray
        Of the posterior, shapes (k,) and (k, k).

    Notes
    -----
    Generalised estimating equations with the covariance given (Liang and Zeger 1986, Biometrika 73, 13-22, from
    memory), solved by iterated generalised least squares; the prior stands beside the counts as records of its own.
    """
    import statsmodels.api as sm
    from scipy.linalg import block_diag

    k = prior_sd.size
    x, unscaled = np.zeros(k), np.diag(prior_sd**2)
    scatter = np.empty(0)
    for number in range(_ITERATIONS):
        at = expected(x)
        if number < _HELD_FROM:
            scatter = covariance(x, at)
        slopes = _slopes(expected, x, at)
        working = slopes @ x + found - at
        result = sm.GLS(
            np.concatenate([working, np.zeros(k)]),
            np.vstack([slopes, np.eye(k)]),
            sigma=block_diag(scatter, np.diag(prior_sd**2)),
        ).fit()
        step = np.clip(np.asarray(result.params) - x, -_LONGEST_STEP, _LONGEST_STEP)
        x, unscaled = x + step, np.asarray(result.normalized_cov_params)
        if float((np.abs(step) / np.sqrt(np.diag(unscaled))).max()) < _CLOSE:
            break
    return x, unscaled


def _slopes(expected: Callable[[FloatArray], FloatArray], x: FloatArray, at: FloatArray) -> FloatArray:
    """Change of each expected count with each parameter, shape (n, k)."""
    columns = []
    for number in range(x.size):
        moved = x.copy()
        moved[number] += _STEP
        columns.append((expected(moved) - at) / _STEP)
    return np.stack(columns, axis=1)
