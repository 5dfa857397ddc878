"""Choosing the best of several, one value more at a time, and dropping what has lost.

In: rows of values, one row an option, paired: the n-th value of each was made in the same circumstances. Out: which
options are still in. Must not know: what the values are, how they are made.

The procedure of Kim and Nelson (2001), ACM Transactions on Modeling and Computer Simulation 11(3), 251-273, with c = 1:
fully sequential, valid with common random numbers and unequal variances. It finds the option with the highest mean, or
one that is less than ``delta`` behind it, at least as often as the confidence says, if the values are normal.

Every array may have leading axes: then many choices are made side by side, each as if it were alone.
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from planner.study.intervals import FloatArray


@dataclass(frozen=True, slots=True)
class KimNelson:
    """The settings of one choice.

    Parameters
    ----------
    options : int
        How many there are, 2 or more.
    first : int
        Values of each before anything is decided (n0), 2 or more.
    confidence : float
        How often the choice must be right, such as 0.95.
    delta : float
        Differences below this do not matter [unit of the values], above 0.
    """

    options: int
    first: int
    confidence: float
    delta: float

    @property
    def eta(self) -> float:
        """The root of the procedure's equation for c = 1: half of (2 a)^(-2 / (n0 - 1)) - 1."""
        alpha = (1.0 - self.confidence) / (self.options - 1)
        return float(((2.0 * alpha) ** (-2.0 / (self.first - 1)) - 1.0) / 2.0)

    @property
    def h2(self) -> float:
        """Twice eta, times the degrees of freedom of the first values."""
        return 2.0 * self.eta * (self.first - 1)

    def variances(self, worlds: FloatArray, batch: int = 1) -> FloatArray:
        """Variance of the difference between every two options' values, means of ``batch`` worlds each.

        Parameters
        ----------
        worlds : array, shape (..., options, n0 * batch)
            nan where one has no result.
        batch : int
            Worlds whose mean is one value.

        Returns
        -------
        array, shape (..., options, options)

        Notes
        -----
        From the single worlds, which are independent, not from the n0 means: it is as large on average and much surer,
        while eta stays that of n0 values. The paper takes the values themselves; then a mean that is low by chance
        comes with a variance that is low by chance, if worlds are skewed, and looks sure.
        """
        var = np.nanvar if np.isnan(worlds).any() else np.var
        rows = [
            var(worlds - worlds[..., i : i + 1, :], axis=-1, ddof=1) / batch for i in range(worlds.shape[-2])
        ]
        return np.stack(rows, axis=-2)

    def longest(self, variances: FloatArray) -> FloatArray:
        """Values beyond which two options need no more to be told apart, h2 S2 / delta^2; shape of ``variances``."""
        found: FloatArray = self.h2 * variances / self.delta**2
        return found

    def width(self, variances: FloatArray, count: int) -> FloatArray:
        """How far one option's mean of ``count`` values may lie below another's without its losing."""
        found: FloatArray = np.maximum(0.0, self.delta / (2.0 * count) * (self.longest(variances) - count))
        return found


def batch_means(worlds: FloatArray, batch: int) -> FloatArray:
    """Mean of every ``batch`` worlds after one another, of those that have a result; nan where none has.

    Parameters
    ----------
    worlds : array, shape (..., n * batch)

    Returns
    -------
    array, shape (..., n)
    """
    apart = worlds.reshape(*worlds.shape[:-1], -1, batch)
    there = ~np.isnan(apart)
    with np.errstate(invalid="ignore"):
        found: FloatArray = np.where(there, apart, 0.0).sum(axis=-1) / there.sum(axis=-1)
    return found


class Screening:
    """A choice on its way.

    Parameters
    ----------
    rule : KimNelson
        Settings.
    worlds : array, shape (..., options, n0 * batch)
        What the first values of each option are means of; nan where one has no result.
    batch : int
        Worlds whose mean is one value.

    Attributes
    ----------
    count : int
        Values that options still in have.
    alive : boolean array, shape (..., options)
        Which options are still in. Where only options with exactly the same mean are left, the first of them stays.
    left_at : integer array, shape (..., options)
        After how many values an option was dropped; 0 while it is in.
    beaten_by : integer array, shape (..., options)
        Which option dropped it; -1 while it is in.
    """

    def __init__(self, rule: KimNelson, worlds: FloatArray, batch: int = 1) -> None:
        self.rule = rule
        first = batch_means(worlds, batch)
        self.count = first.shape[-1]
        self.variances = rule.variances(worlds, batch)
        self._sums: FloatArray = first.sum(axis=-1)
        self.alive: NDArray[np.bool_] = np.ones(first.shape[:-1], dtype=np.bool_)
        self.left_at: NDArray[np.int64] = np.zeros(first.shape[:-1], dtype=np.int64)
        self.beaten_by: NDArray[np.int64] = np.full(first.shape[:-1], -1)
        self._screen()

    @property
    def done(self) -> Any:
        """Is one option left? A boolean, or an array of them, shape (...)."""
        return self.alive.sum(axis=-1) == 1

    @property
    def means(self) -> FloatArray:
        """Mean of each option that is still in; shape (..., options)."""
        found: FloatArray = self._sums / self.count
        return found

    def add(self, values: FloatArray) -> None:
        """Take one value more of each option that is still in.

        Parameters
        ----------
        values : array, shape (..., options)
            What stands there for an option that has left does not count.
        """
        self._sums = np.where(self.alive, self._sums + np.where(self.alive, values, 0.0), self._sums)
        self.count += 1
        self._screen()

    def only(self, those: NDArray[Any]) -> Screening:
        """Some of many choices made side by side, which go on without the others.

        Parameters
        ----------
        those : array of booleans or of numbers
            Which, along the first axis of ``alive``.
        """
        some = copy(self)
        some.variances, some._sums = self.variances[those], self._sums[those]
        some.alive, some.left_at = self.alive[those], self.left_at[those]
        some.beaten_by = self.beaten_by[those]
        return some

    def needed(self) -> FloatArray:
        """Values that each option would have, about, when one is left, if means stay as they are; shape (...).

        Two options are told apart once the width that shrinks with every value has come down to their difference d:
        after h2 S2 / delta^2 / (1 + 2 d / delta) values.
        """
        means = np.where(self.alive, self.means, -np.inf)
        leader = means.argmax(axis=-1)[..., None]
        with np.errstate(invalid="ignore"):
            behind = np.where(self.alive, means.max(axis=-1, keepdims=True) - self.means, 0.0)
        longest = np.take_along_axis(self.rule.longest(self.variances), leader[..., None], axis=-2)[..., 0, :]
        values = np.ceil(longest / (1.0 + 2.0 * behind / self.rule.delta))
        found: FloatArray = np.where(self.alive, np.maximum(values, self.count + 1), self.count).max(axis=-1)
        return found

    def _screen(self) -> None:
        """Drop every option that lies too far below one that is still in."""
        means, open_ = self.means, ~self.done
        above = means[..., None, :] - means[..., :, None]  # of the column's option over the row's
        beyond = np.where(
            self.alive[..., None, :], above - self.rule.width(self.variances, self.count), -np.inf
        )
        worst = beyond.argmax(axis=-1)
        beaten = self.alive & open_[..., None] & (beyond.max(axis=-1) > 0.0)
        self._drop(beaten, worst)
        self._part_ties(means)

    def _part_ties(self, means: FloatArray) -> None:
        """Of options that nothing will ever part, keep the first: same mean, and no width left between them."""
        level = np.where(self.alive, means, -np.inf).max(axis=-1) == np.where(self.alive, means, np.inf).min(
            axis=-1
        )
        if not (level & ~self.done).any():
            return
        pair = self.alive[..., :, None] & self.alive[..., None, :]
        parts = (pair & (self.rule.longest(self.variances) > self.count)).any(axis=(-1, -2))
        stuck = level & ~parts
        first = self.alive.argmax(axis=-1)[..., None]
        later = self.alive & (np.arange(self.alive.shape[-1]) != first)
        self._drop(later & stuck[..., None], np.broadcast_to(first, self.alive.shape))

    def _drop(self, those: NDArray[np.bool_], winners: NDArray[Any]) -> None:
        self.left_at = np.where(those, self.count, self.left_at)
        self.beaten_by = np.where(those, winners, self.beaten_by)
        self.alive = self.alive & ~those
