"""Chance that remembers: each value keeps a share of the one before.

In: a step for each hour or day. Out: the first-order autoregressive series. Must not know: what the series stands for.
"""

from __future__ import annotations

from planner.world.parts import FloatArray

_NOTHING_LEFT = 1e-18


def remembering(steps: FloatArray, keeps: float) -> FloatArray:
    """Series with ``y[i] = keeps * y[i - 1] + steps[i]`` and ``y[0] = steps[0]``.

    Parameters
    ----------
    steps : FloatArray
        What comes new at each step, shape (steps,).
    keeps : float
        Share of the last value that stays, 0 <= keeps < 1.

    Notes
    -----
    Summed by doubling (first pairs, then fours, ...) until nothing is left of what is added. It takes only products
    and sums element by element, so it gives the same bits on any machine, and costs a few array operations where
    ``scipy.signal.lfilter``, which the tests compare it with, costs more than a second to import.
    """
    series = steps.copy()
    reach, weight = 1, keeps
    while reach < series.size and weight > _NOTHING_LEFT:
        series[reach:] = series[reach:] + weight * series[:-reach]
        reach, weight = 2 * reach, weight * weight
    return series
