"""What it would be worth to know an input for sure, told from the worlds of a comparison alone.

In: how many standard deviations an input was off in each world, what each option brought there beside the others.
Out: the expected value of perfect partial information, and how much of it chance alone would feign. Must not know:
scenarios, words.

Who knows the input before choosing gets E[max over options of E(gain | input)], who does not gets the max of the
means. The means given the input are regressed on it (Strong, Oakley and Brennan 2014, Medical Decision Making
34(3):311-326), by a polynomial whose degree is that which foretells worlds left out best. The largest of several noisy
curves is too large on average, so the same is done with the worlds shuffled, where the input tells nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import nan
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from planner.study.intervals import FloatArray

DEGREES: Final = 3
"""Of the polynomial at most."""
LEAST_WORLDS: Final = 20
"""Fewer tell nothing of a curve (assumed)."""
SHUFFLES: Final = 200
FEIGNED_AT_MOST: Final = 0.95
"""So many shuffles in a hundred feign no more than what is called noise."""
ALONG: Final = 400
"""Places along the input at which the best option is looked for, each as likely as the others."""
TERMS_EACH: Final = 10
"""Worlds for each term of a regression, at least; else squares are left out."""


@dataclass(frozen=True, slots=True)
class Worth:
    """What knowing an input for sure is worth.

    Parameters
    ----------
    money : float
        In the unit of the gains; 0 where no option overtakes the best one along it; nan where worlds are too few.
    noise : float
        What chance alone would feign nineteen times in twenty at most.
    """

    money: float
    noise: float


def worth(z: FloatArray, gains: FloatArray, seed: int) -> Worth:
    """What it is worth to know one input before choosing.

    Parameters
    ----------
    z : array, shape (worlds,)
        The input, standard normal.
    gains : array, shape (options, worlds)
        Beside one and the same option; that one, a row of zeros, is added here. nan where an option was not played.
    seed : int
        Of the shuffling.
    """
    groups = _groups(gains)
    if not groups or min(int(there.sum()) for there, _ in groups) < LEAST_WORLDS:
        return Worth(nan, nan)
    money, chance = _value(z, groups), np.random.default_rng(seed)
    feigned = [_value(chance.permutation(z), groups) for _ in range(SHUFFLES)]
    return Worth(money, float(np.quantile(feigned, FEIGNED_AT_MOST)))


def _groups(gains: FloatArray) -> list[tuple[NDArray[np.bool_], FloatArray]]:
    """Options that were played in the same worlds, together: where, and what they brought there, an option a column."""
    found: dict[bytes, tuple[NDArray[np.bool_], list[FloatArray]]] = {}
    for row in gains:
        there = ~np.isnan(row)
        found.setdefault(there.tobytes(), (there, []))[1].append(row[there])
    return [(there, np.array(rows).T) for there, rows in found.values()]


def _value(z: FloatArray, groups: list[tuple[NDArray[np.bool_], FloatArray]]) -> float:
    along = np.clip(ndtri((np.arange(ALONG) + 0.5) / ALONG), z.min(), z.max())
    curves = [np.zeros((ALONG, 1))]
    curves += [curve(z[there], gains, along) for there, gains in groups]
    every = np.concatenate(curves, axis=1)
    return max(0.0, round(float(every.max(axis=1).mean() - every.mean(axis=0).max()), 6))


def curve(x: FloatArray, y: FloatArray, along: FloatArray) -> FloatArray:
    """Means of each column of ``y`` given ``x``, at places along it; shape (places, columns)."""
    degrees = min(DEGREES, len(np.unique(x)) - 1)
    basis, triangle = np.linalg.qr(np.vander(x, degrees + 1, increasing=True))
    weights = basis.T @ y
    errors = []
    fitted, leverage = np.zeros_like(y), np.zeros(len(x))
    for degree in range(degrees + 1):
        column = basis[:, degree]
        fitted = fitted + np.outer(column, weights[degree])
        leverage = leverage + column**2
        # what the curve misses a world by that it was not told of
        errors.append((((y - fitted) / np.maximum(1.0 - leverage, 1e-9)[:, None]) ** 2).sum(axis=0))
    best = np.argmin(errors, axis=0)
    weights = np.where(np.arange(degrees + 1)[:, None] <= best, weights, 0.0)
    found: FloatArray = (
        np.linalg.solve(triangle.T, np.vander(along, degrees + 1, increasing=True).T).T @ weights
    )
    return found


def explained(z: FloatArray, y: FloatArray) -> float:
    """Share of the variance of ``y`` that inputs bring about, about (adjusted R2 of a regression on them).

    Parameters
    ----------
    z : array, shape (inputs, worlds)
        Standard normal.
    y : array, shape (worlds,)
        Without nan.

    Returns
    -------
    float
        From 0 to 1; nan where worlds are too few, or nothing varies.
    """
    inputs, worlds = z.shape
    if worlds < LEAST_WORLDS or worlds < TERMS_EACH * inputs:
        return nan
    terms = [np.ones(worlds), *z]
    if worlds >= 2 * TERMS_EACH * inputs:
        terms += [row**2 - 1.0 for row in z]
    spread = float(((y - y.mean()) ** 2).sum())
    if not spread > 1e-9 * max(1.0, float((y**2).sum())):
        return nan
    columns = np.array(terms).T
    left = y - columns @ np.linalg.lstsq(columns, y, rcond=None)[0]
    rest = float((left**2).sum()) / (worlds - len(terms))
    return float(min(1.0, max(0.0, 1.0 - rest / (spread / (worlds - 1)))))
