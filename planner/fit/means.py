"""A spread of the scenario that is multiplied by a factor, so that its mean is that of the records.

In: records of one kind, the scenario's spread. Out: the factor's logarithm and how sure it is, and an ``Estimate``.
Must not know: which records.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log, sqrt
from typing import Final

import numpy as np
from scipy import optimize

from planner.fit.estimate import Estimate, FloatArray, Picture, together
from planner.fit.prior import RECORDS_WORTH, ROUNDED_SHARE, Prior
from planner.scenario.spread import Spread

_GRID: Final[FloatArray] = (np.arange(2000, dtype=np.float64) + 0.5) / 2000.0
_FARTHEST: Final = 4.0
"""Logarithm of the largest factor that is looked for."""
_BINS: Final = 8


@dataclass(frozen=True, slots=True)
class Scaled:
    """The factor of a spread, before any prior."""

    shift: float
    sd: float


def scaled(values: FloatArray, spread: Spread, least: float = 0.0, scatter: float = ROUNDED_SHARE) -> Scaled:
    """The factor that gives a spread the mean of these records.

    Parameters
    ----------
    values : FloatArray
        Records, shape (n,), n at least 1.
    spread : Spread
        What the scenario says.
    least : float
        What is below counts as this, in the records and in the scenario alike.
    scatter : float
        How much single records vary at least, as a share of their mean.

    Notes
    -----
    Method of moments; the standard error is that of a mean, with the coefficient of variation of the records and of the
    scenario pooled, so that one record does for a start.
    """
    grid = spread.from_uniform(_GRID)

    def mean_at(shift: float) -> float:
        return float(np.maximum(grid * np.exp(shift), least).mean())

    mean = float(np.clip(values.mean(), mean_at(-_FARTHEST) + 1e-12, mean_at(_FARTHEST)))
    shift = float(optimize.brentq(lambda x: mean_at(x) - mean, -_FARTHEST, _FARTHEST + 1e-9, xtol=1e-10))
    slope = (log(mean_at(shift + 1e-4)) - log(mean_at(shift - 1e-4))) / 2e-4
    within = np.maximum(grid * np.exp(shift), least)
    expected = float(within.var()) / mean**2
    seen = float(((values - values.mean()) ** 2).sum()) / mean**2
    n = values.size
    variance = (RECORDS_WORTH * expected + seen) / (RECORDS_WORTH + n - 1)
    return Scaled(shift, sqrt(max(variance, scatter**2) / n) / max(slope, 0.1))


def cv_of(spread: Spread) -> float:
    """Standard deviation over mean."""
    drawn = spread.from_uniform(_GRID)
    return float(drawn.std() / drawn.mean()) if drawn.mean() > 0.0 else 0.0


def estimate_of(
    name: str, path: str, unit: str, spread: Spread, found: Scaled, prior: Prior, **further: object
) -> Estimate:
    """An estimate of one factor alone."""
    mean, covariance = together(np.array([prior.sd]), np.array([found.shift]), np.array([[found.sd**2]]))
    return Estimate(
        name=name,
        path=path,
        way="times",
        before=spread.mean,
        unit=unit,
        shift=float(mean[0]),
        sd=sqrt(float(covariance[0, 0])),
        prior_sd=prior.sd,
        **further,  # type: ignore[arg-type]
    )


def picture_of(values: FloatArray, spread: Spread, shift: float, title: str, what: str) -> Picture:
    """Records in bins, with how many the spread expects in each, before and after."""
    before, after = spread.from_uniform(_GRID), spread.from_uniform(_GRID) * np.exp(shift)
    low = min(float(values.min()), float(np.quantile(before, 0.01)), float(np.quantile(after, 0.01)))
    high = max(float(values.max()), float(np.quantile(before, 0.99)), float(np.quantile(after, 0.99)))
    if high - low < 1e-9:
        low, high = low * 0.9 - 1e-6, high * 1.1 + 1e-6
    edges = np.linspace(low, high, _BINS + 1)
    counts = np.histogram(values, edges)[0].astype(float)

    def expected(drawn: FloatArray) -> FloatArray:
        return np.histogram(drawn, edges)[0] * values.size / drawn.size

    middles = 0.5 * (edges[1:] + edges[:-1])
    return Picture(title, what, middles, counts, middles, expected(after), expected(before), kind="counts")
