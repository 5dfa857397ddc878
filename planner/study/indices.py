"""How much each of several inputs moves a figure: elementary effects, and shares of the variance.

In: a number of inputs, a size, a seed; then a figure at every point of the design. Out: designs in the unit cube, one
column an input; `Effect` and `Shares`, one an input. Must not know: what the inputs are, what was computed at a point.

Morris (1991), Technometrics 33, 161; Saltelli et al. (2010), Comput. Phys. Commun. 181, 259; both as SALib has them.
Each needs every point: what is missing is not made up here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from planner.study.intervals import FloatArray, Interval

LEVELS: Final = 4
"""Values of each input in a screening, its ends among them (as Morris did)."""

RESAMPLES: Final = 400
"""Sets of points drawn anew for the interval of a share."""


@dataclass(frozen=True, slots=True)
class Effect:
    """What an input does to the figure on its way from one end to the other.

    Parameters
    ----------
    size : float
        Mean of the absolute effects (mu*).
    mean : float
        Mean of the effects; near zero beside ``size`` where more of it now raises, now lowers.
    spread : float
        Their standard deviation; large where the effect hangs on the other inputs, or is no straight line.
    """

    size: float
    mean: float
    spread: float


@dataclass(frozen=True, slots=True)
class Shares:
    """Share of the figure's variance that an input accounts for: alone, and with what it does together with others."""

    first: Interval
    total: Interval


def screening(inputs: int, trajectories: int, seed: int) -> FloatArray:
    """Points of a screening: from each point to the next one input moves, by two thirds of its range.

    Returns
    -------
    array, shape (trajectories * (inputs + 1), inputs)
    """
    from SALib.sample import morris

    found: FloatArray = morris.sample(_problem(inputs), trajectories, num_levels=LEVELS, seed=seed)
    return found


def effects(points: FloatArray, values: FloatArray, seed: int) -> tuple[Effect, ...]:
    """Effects of each input, from the figure at every point of a screening."""
    from SALib.analyze import morris

    whole = _whole(values)
    found = morris.analyze(_problem(points.shape[1]), points, whole, num_levels=LEVELS, seed=seed)
    columns = (found["mu_star"], found["mu"], found["sigma"])
    return tuple(
        Effect(float(size), float(mean), float(spread)) for size, mean, spread in zip(*columns, strict=True)
    )


def crossing(inputs: int, base: int, seed: int) -> FloatArray:
    """Points from which shares are told: ``base`` (a power of two) times ``inputs + 2``."""
    from SALib.sample import sobol

    found: FloatArray = sobol.sample(_problem(inputs), base, calc_second_order=False, seed=seed)
    return found


def shares(values: FloatArray, inputs: int, confidence: float, seed: int) -> tuple[Shares, ...]:
    """Shares of each input, from the figure at every point of a crossing; nothing where it never varies."""
    from SALib.analyze import sobol

    whole = _whole(values)
    if float(np.ptp(whole)) == 0.0:
        return ()
    found = sobol.analyze(
        _problem(inputs),
        whole,
        calc_second_order=False,
        num_resamples=RESAMPLES,
        conf_level=confidence,
        seed=seed + 1,  # it takes 0 for none
    )
    base = whole.size // (inputs + 2)
    return tuple(
        Shares(
            _around(found["S1"][i], found["S1_conf"][i], base),
            _around(found["ST"][i], found["ST_conf"][i], base),
        )
        for i in range(inputs)
    )


def _around(mean: Any, half: Any, base: int) -> Interval:
    return Interval(float(mean), float(mean - half), float(mean + half), base)


def _whole(values: FloatArray) -> FloatArray:
    if not np.isfinite(values).all():
        raise ValueError("the figure is missing at a point, and none is made up")
    return np.asarray(values, dtype=np.float64)


def _problem(inputs: int) -> dict[str, Any]:
    """As the library wants it."""
    names = [str(number) for number in range(inputs)]
    return {"num_vars": inputs, "names": names, "bounds": [[0.0, 1.0]] * inputs}
