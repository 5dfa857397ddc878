"""One estimate: what a scenario said, what records say, and how sure the two together are.

In: numbers. Out: ``Estimate``, ``Block``. Must not know: how any of them was found.

A parameter is estimated on the scale on which it is drawn later: of ``times`` and ``tilt`` the logarithm of the factor
on what the scenario says, of ``plus`` what is added to it, in its unit. There the prior is N(0, ``prior_sd``).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import ceil, exp
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from planner.scenario.inputs import FACTORS

FloatArray = NDArray[np.float64]
Way = Literal["times", "plus", "tilt"]
USUAL_Z: Final = 1.6448536269514722
"""Nine times in ten: the 95 % quantile of the normal distribution."""
MOST_MORE: Final = 300
"""Of more records than this nobody waits for the answer (assumed)."""
WEAK_SHARE: Final = 0.5
"""Below this share of the prior's variance that records took away, an estimate is weak (assumed)."""


@dataclass(frozen=True, eq=False)
class Picture:
    """What an estimate was seen in: points, the curve of the fit, the curve of the scenario before.

    Parameters
    ----------
    x_title, y_title : str
        With units.
    x, y : FloatArray
        The records, shape (n,).
    curve_x, fitted_y, before_y : FloatArray
        Shape (m,); empty where there is no curve.
    low_y, high_y : FloatArray
        Where nine of ten records are expected, along ``curve_x``; empty where that has no meaning.
    line : tuple of int
        Line of each record in its file, to point at.
    kind : str
        ``points`` over x, or ``counts``: y is a count in the bin at x.
    names : tuple of str
        What stands at each x, where that is no amount; the curves are then values at the same places.
    """

    x_title: str
    y_title: str
    x: FloatArray
    y: FloatArray
    curve_x: FloatArray
    fitted_y: FloatArray
    before_y: FloatArray
    low_y: FloatArray = field(default_factory=lambda: np.empty(0))
    high_y: FloatArray = field(default_factory=lambda: np.empty(0))
    line: tuple[int, ...] = ()
    kind: Literal["points", "counts"] = "points"
    names: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Estimate:
    """One parameter.

    Parameters
    ----------
    name : str
        In the owner's words; the name in the scenario's ``estimates``.
    path : str
        Of the value in the scenario, as of ``--set``; a ``*`` stands for any key.
    way : str
        ``times``, ``plus`` or ``tilt``.
    before : float
        What the scenario says, in ``unit``.
    unit : str
        Of the value; empty where it has none.
    shift, sd : float
        Mean and standard deviation of the posterior, on the scale of the estimate.
    prior_sd : float
        Standard deviation of the prior there.
    records : int
        How many records told it.
    method : str
        How, in words.
    table : str
        The table of records that would tell more.
    picture : Picture, optional
        What it was seen in.
    note : str
        What else the reader should know: what is left out of account, what was left out.
    """

    name: str
    path: str
    way: Way
    before: float
    unit: str
    shift: float
    sd: float
    prior_sd: float
    records: int
    method: str
    table: str
    picture: Picture | None = None
    note: str = ""

    def at(self, shift: float) -> float:
        """The value at a place of the scale of the estimate, in ``unit``."""
        return self.before * exp(shift) if self.way in FACTORS else self.before + shift

    @property
    def value(self) -> float:
        """The estimate."""
        return self.at(self.shift)

    @property
    def interval(self) -> tuple[float, float]:
        """Between these nine times in ten."""
        return self.at(self.shift - USUAL_Z * self.sd), self.at(self.shift + USUAL_Z * self.sd)

    @property
    def is_elsewhere(self) -> bool:
        """Does what was thought before lie outside of the interval?"""
        low, high = self.interval
        return not low <= self.before <= high

    @property
    def told_share(self) -> float:
        """How much of the prior's variance records took away."""
        return max(0.0, 1.0 - (self.sd / self.prior_sd) ** 2) if self.prior_sd > 0 else 0.0

    @property
    def is_weak(self) -> bool:
        """Do records tell less than the prior?"""
        return self.told_share < WEAK_SHARE

    @property
    def more(self) -> int | None:
        """About so many more records of the kind that are there would halve its standard deviation.

        Each record is taken to tell as much as those that are there did; None where none is there to tell.
        """
        if self.records == 0 or self.sd >= self.prior_sd or self.sd <= 0:
            return None
        each = (self.sd**-2 - self.prior_sd**-2) / self.records
        return max(1, ceil(3.0 * self.sd**-2 / each))


@dataclass(frozen=True, eq=False)
class Block:
    """Estimates that were found together.

    Parameters
    ----------
    estimates : tuple of Estimate
        Each once.
    correlation : FloatArray
        Of their posterior, shape (n, n), 1 on the diagonal.
    """

    estimates: tuple[Estimate, ...]
    correlation: FloatArray

    @classmethod
    def of(cls, *estimates: Estimate) -> Block:
        """Estimates that have nothing to do with each other."""
        return cls(estimates, np.eye(len(estimates)))


@dataclass(frozen=True, slots=True)
class Untold:
    """Something that records could tell, and why these do not.

    Parameters
    ----------
    name : str
        What, in the owner's words.
    why : str
        Why, and what to write down.
    """

    name: str
    why: str


def together(
    prior_sd: FloatArray, found: FloatArray, covariance: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Prior N(0, diag(prior_sd^2)) and a likelihood that is about N(found, covariance).

    Parameters
    ----------
    prior_sd : FloatArray
        Shape (n,).
    found : FloatArray
        Maximum of the likelihood, shape (n,), on the scale of the prior.
    covariance : FloatArray
        Inverse of its curvature there, shape (n, n).

    Returns
    -------
    mean, covariance : FloatArray
        Of the posterior, shapes (n,) and (n, n).

    Notes
    -----
    Product of two normal densities: precisions add up (Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, section
    3.5, from memory).
    """
    prior = np.diag(prior_sd**-2.0)
    told = np.linalg.inv(covariance)
    both = np.linalg.inv(prior + told)
    return both @ told @ found, both
