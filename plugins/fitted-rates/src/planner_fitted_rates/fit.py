"""The process fitted to prices, with what the prices can and cannot tell.

In: logarithms of prices, their steps, what to keep where they do not tell. Out: ``Fit``.
Must not know: files, yards, chance.

Between two prices the process is, exactly, a first-order autoregression: x' = mean (1 - b) + b x + noise with
b = exp(-pull step). So it is fitted by least squares, in this order:

1. Shocks: steps whose residual lies beyond Grubbs' critical value (1969, Technometrics 11, 1-21; from memory) are set
   apart and the rest is fitted anew, until there are none (a recursive filter). A calm series of the same length shows
   a shock with the probability that is handed in.
2. b is freed of its small-sample bias, -(1 + 3 b) / n (Kendall 1954, Biometrika 41, 403-404; from memory).
3. Whether prices come back at all: the Dickey-Fuller test at 5 %, with MacKinnon's (2010) critical values. Where they
   do not tell, the half-life handed in is kept.
4. Mean, noise and shocks follow from b; the first price counts as one of the process in the long run.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from planner.world.parts import BoolArray, FloatArray
from planner_fitted_rates.process import Process, Shocks

TWO_SIDED_95: Final = 1.959963984540054
MACKINNON: Final = (-2.86154, -2.8903, -4.234, -40.040)
"""Critical value of the Dickey-Fuller t with a constant at 5 %, by powers of 1/n (MacKinnon 2010, Queen's Economics
Department working paper 1227, table 2; checked against statsmodels)."""
FASTEST: Final = 0.05
"""Share of a departure that is left after one step: what fades faster cannot be told from a b of 0 (assumed)."""
PASSES: Final = 3
"""The mean hangs on where shocks have brought the first price, their sizes on the mean: found in so many rounds."""
NOISE: Final = 1e-9
"""Standard deviation of the logarithm below which there is no noise (rounding)."""
MOST_SHOCKS_SHARE: Final = 0.1
"""Where more steps than this stand out, the noise is taken to be like that; no more are set apart (assumed)."""


@dataclass(frozen=True, slots=True)
class Fit:
    """What was found. Times in years.

    Parameters
    ----------
    process : Process
        Its parameters.
    mean_log_se, volatility_se, shocks_a_year_se : float
        Standard errors.
    half_life_told : bool
        Did the prices tell the half-life? If not, the one that was handed in is in use.
    half_life_range : (float, float)
        95 % interval of the half-life from the prices; inf where they allow that prices never come back.
    keeps, keeps_se : float
        b, freed of its bias, and its standard error.
    reverts_t, reverts_below : float
        Dickey-Fuller t, and the value below which prices are taken to come back.
    steps, shock_steps : int, tuple of int
        Steps that were used, and which of all steps are shocks.
    shock_sizes : tuple of float
        Change of the logarithm in each of these beyond what was expected.
    beyond : float
        How far out a step must lie to be a shock [standard deviations].
    """

    process: Process
    mean_log_se: float
    volatility_se: float
    shocks_a_year_se: float
    half_life_told: bool
    half_life_range: tuple[float, float]
    keeps: float
    keeps_se: float
    reverts_t: float
    reverts_below: float
    steps: int
    shock_steps: tuple[int, ...]
    shock_sizes: tuple[float, ...]
    beyond: float


@dataclass(frozen=True, slots=True)
class _Line:
    """Least squares of y on x and a constant."""

    constant: float
    slope: float
    slope_se: float
    sd: float


def fit(
    log_price: FloatArray, whole: BoolArray, step_years: float, half_life_years: float, false_alarm: float
) -> Fit:
    """Fit the process.

    Parameters
    ----------
    log_price : FloatArray
        Logarithms of prices, shape (prices,).
    whole : BoolArray
        Which steps between them count, shape (prices - 1,).
    step_years : float
        Length of a step [years].
    half_life_years : float
        Kept where the prices do not tell [years].
    false_alarm : float
        Probability that a calm series shows a shock; 0 looks for none.

    Raises
    ------
    ValueError
        There is no noise to be fitted.
    """
    steps = np.flatnonzero(whole)
    x, y = log_price[:-1][steps], log_price[1:][steps]
    if np.ptp(x) < NOISE or _least_squares(x, y).sd < NOISE:
        raise ValueError("the prices lie on a line without any noise; nothing can be fitted to them")
    calm, line, beyond = _calm(x, y, false_alarm)
    n = int(calm.sum())
    keeps, keeps_se = (n * line.slope + 1.0) / (n - 3.0), line.slope_se * n / (n - 3.0)
    reverts_t, reverts_below = (line.slope - 1.0) / line.slope_se, critical(n)
    told = reverts_t < reverts_below and keeps < 1.0
    half_life = _half_life(keeps, step_years) if told else half_life_years
    b = 0.5 ** (step_years / half_life)

    pull, years = math.log(2.0) / half_life, steps.size * step_years
    process, mean_log_se, sizes = Process(0.0, half_life, 1.0), 0.0, np.empty(0)
    for _ in range(PASSES):
        away = process.shocks.a_year * process.shocks.mean / pull
        first = (1.0 - b * b) * (process.calm_sd(math.inf) / process.log_sd(math.inf)) ** 2
        weight = first + n * (1.0 - b) ** 2
        mean_log = (
            first * (float(log_price[0]) - away) + (1.0 - b) * float((y - b * x)[calm].sum())
        ) / weight
        residual = y - b * x - (1.0 - b) * mean_log
        variance = float(residual[calm] @ residual[calm]) / (n - (2 if told else 1))
        volatility, sizes = math.sqrt(variance * 2.0 * pull / (1.0 - b * b)), residual[~calm]
        process = Process(
            mean_log, half_life, volatility, _shocks(sizes, variance, b, pull * step_years, years)
        )
        mean_log_se = math.sqrt(variance / weight)
    of_slope = 0.5 / (b * math.log(b)) + b / (1.0 - b * b) if told else 0.0
    return Fit(
        process=process,
        mean_log_se=mean_log_se,
        volatility_se=process.volatility * math.hypot(math.sqrt(0.5 / n), of_slope * keeps_se),
        shocks_a_year_se=math.sqrt(sizes.size) / years,
        half_life_told=told,
        half_life_range=(
            _half_life(keeps - TWO_SIDED_95 * keeps_se, step_years),
            _half_life(keeps + TWO_SIDED_95 * keeps_se, step_years),
        ),
        keeps=keeps,
        keeps_se=keeps_se,
        reverts_t=reverts_t,
        reverts_below=reverts_below,
        steps=int(steps.size),
        shock_steps=tuple(steps[~calm].tolist()),
        shock_sizes=tuple(sizes.tolist()),
        beyond=beyond,
    )


def grubbs(n: int, false_alarm: float) -> float:
    """How many standard deviations the most distant of ``n`` normal values lies out with this probability."""
    t = float(stdtrit(n - 2, 1.0 - false_alarm / (2.0 * n)))
    return (n - 1) / math.sqrt(n) * math.sqrt(t * t / (n - 2 + t * t))


def critical(n: int) -> float:
    """Dickey-Fuller t below which a series of ``n`` steps is taken to come back to its mean, at 5 %."""
    return math.fsum(value / float(n) ** power for power, value in enumerate(MACKINNON))


def _half_life(keeps: float, step_years: float) -> float:
    """Half-life of a series that keeps this share of a departure in a step; inf from 1 up."""
    return math.inf if keeps >= 1.0 else step_years * math.log(0.5) / math.log(max(keeps, FASTEST))


def _calm(x: FloatArray, y: FloatArray, false_alarm: float) -> tuple[NDArray[np.bool_], _Line, float]:
    """Which steps are no shocks, the line through them, and how far out a shock lies."""
    calm = np.ones(x.size, dtype=np.bool_)
    while True:
        line, n = _least_squares(x[calm], y[calm]), int(calm.sum())
        beyond = grubbs(n, false_alarm) if false_alarm > 0.0 else math.inf
        far = calm & (np.abs(y - line.constant - line.slope * x) > beyond * line.sd)
        if not far.any() or x.size - n + far.sum() > MOST_SHOCKS_SHARE * x.size:
            return calm, line, beyond
        calm &= ~far


def _least_squares(x: FloatArray, y: FloatArray) -> _Line:
    away = x - x.mean()
    spread = float(away @ away)
    slope = float(away @ y) / spread
    constant = float(y.mean()) - slope * float(x.mean())
    residual = y - constant - slope * x
    variance = float(residual @ residual) / (x.size - 2)
    return _Line(constant, slope, math.sqrt(variance / spread), math.sqrt(variance))


def _shocks(sizes: FloatArray, variance: float, b: float, pulled: float, years: float) -> Shocks:
    """Shocks from the residuals of their steps: freed of the noise, and of what has faded until the step's end.

    A shock comes at any time within its step, so on average (1 - b) / (pull step) of it is left at the end, and
    (1 - b^2) / (2 pull step) of its square.
    """
    if not sizes.size:
        return Shocks()
    mean = float(sizes.mean()) * pulled / (1.0 - b)
    if sizes.size == 1:
        return Shocks(1.0 / years, mean, 0.0)
    square = (float((sizes**2).mean()) - variance) * 2.0 * pulled / (1.0 - b * b)
    spread = (square - mean**2) * sizes.size / (sizes.size - 1)
    return Shocks(sizes.size / years, mean, math.sqrt(max(spread, 0.0)))
