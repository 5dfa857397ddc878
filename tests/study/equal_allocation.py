"""How many values each option would get if all got the same: two-stage choosing, the yardstick for the procedure.

In: the first values of each option, the confidence, the difference that matters. Out: values an option with which the
option of the highest mean is the best as often as the confidence says. Equal for all is dear: the option or the pair
whose variance was found highest decides for all, and the choice is right far more often than asked for.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from scipy.optimize import brentq
from scipy.special import ndtr, roots_genlaguerre, stdtrit

from planner.study.intervals import FloatArray
from planner.study.kim_nelson import KimNelson

NODES = 80
"""Points of the quadrature: 120 change no h below by more than 1e-4."""


@cache
def rinott_h(options: int, confidence: float, degrees: int) -> float:
    """Rinott's constant.

    Parameters
    ----------
    options : int
    confidence : float
    degrees : int
        Of freedom of the first-stage variances, n0 - 1.

    Notes
    -----
    Rinott (1978), Communications in Statistics A7(8), 799-811: with x and y two independent chi squares, the root h of
    E_y[E_x[Phi(h / sqrt(degrees (1/x + 1/y)))]^(options - 1)] = confidence. Gauss-Laguerre over both.
    """
    node, weight = roots_genlaguerre(NODES, degrees / 2.0 - 1.0)
    chi2, weight = 2.0 * node, weight / weight.sum()
    spread = np.sqrt(degrees * (1.0 / chi2[:, None] + 1.0 / chi2[None, :]))

    def beyond(h: float) -> float:
        return float(weight @ (ndtr(h / spread) @ weight) ** (options - 1)) - confidence

    return float(brentq(beyond, 0.0, 50.0, xtol=1e-9))


def rinott(rule: KimNelson, first: FloatArray) -> FloatArray:
    """Values of each option if each has worlds of its own, and as many as its own variance needs.

    Parameters
    ----------
    rule : KimNelson
    first : array, shape (..., options, n0)

    Returns
    -------
    array, shape (..., options)
    """
    h = rinott_h(rule.options, rule.confidence, rule.first - 1)
    found: FloatArray = np.maximum(rule.first, np.ceil(h * h * first.var(axis=-1, ddof=1) / rule.delta**2))
    return found


def unpaired(rule: KimNelson, first: FloatArray) -> FloatArray:
    """Values an option if each has worlds of its own and all get what the most variable needs; shape (...)."""
    most: FloatArray = rinott(rule, first).max(axis=-1)
    return most


def paired(rule: KimNelson, first: FloatArray) -> FloatArray:
    """Values an option if all share their worlds and get what the most variable difference needs; shape (...).

    Notes
    -----
    Clark and Yang (1986), from memory; it follows from Stein's two stages for each of options - 1 differences (t with
    n0 - 1 degrees of freedom) and Bonferroni, and a test repeats it on known means.
    """
    t = stdtrit(rule.first - 1, 1.0 - (1.0 - rule.confidence) / (rule.options - 1))
    most = KimNelson.variances(rule, first).max(axis=(-1, -2))
    found: FloatArray = np.maximum(rule.first, np.ceil(t * t * most / rule.delta**2))
    return found
