"""How often a class of buyers asks, by the scenario: people whose needs come back, those who stay away, their friends.

In: settings of ``core.returning`` and its kin, days. Out: expected needs of a person since they know of the business.
Must not know: records.

A person's first need lies somewhere within a gap, each further one a gap after the last one ended. Whoever finds it too
dear each time stays away after as many needs as they bear.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

import numpy as np
from scipy import special

from planner.fit.estimate import FloatArray
from planner.fit.means import cv_of

_MOST_NEEDS: Final = 60
"""Of one person within the records; nobody is reckoned to have more."""
_PEOPLE: Final = 1000
_CHANCE: Final = 1
_SPARE: Final = 10
_TIMES: Final = np.linspace(0.0, 50.0, 2501)
"""Times at which needs are reckoned [mean gaps]; between them along a straight line."""


@dataclass(frozen=True)
class Person:
    """Somebody of a class.

    Parameters
    ----------
    settings
        Of the class.
    """

    settings: Any

    @cached_property
    def cv(self) -> float:
        """Standard deviation of a gap over its mean."""
        return cv_of(self.settings.gap_days)

    @cached_property
    def bears(self) -> FloatArray:
        """Chance that the n-th need (from 0) is one that somebody who is never served still has."""
        borne = self.settings.misses_borne
        return np.array([1.0 - borne.share_below(n - 1.5) for n in range(_MOST_NEEDS)])

    def needs(self, gaps: FloatArray, served: bool) -> FloatArray:
        """Expected needs within a time [mean gaps] since they know of the business, same shape.

        Of ``served`` false: of somebody who finds it too dear each time.
        """
        found: FloatArray = np.interp(gaps, _TIMES, self._by_then[0 if served else 1])
        return found

    def covariance(self, ends: FloatArray, served: bool) -> FloatArray:
        """Covariance of one person's needs in spells that follow on each other.

        Parameters
        ----------
        ends : FloatArray
            End of each spell since they know of the business [mean gaps], shape (n,).
        served : bool
            As for :meth:`needs`.

        Notes
        -----
        Counted over a thousand people with gaps of the scenario's kind, always the same thousand.
        """
        times = self._thousand[:, : int(2.0 * ends[-1]) + _SPARE]
        spell = np.searchsorted(ends, times.ravel()).reshape(times.shape)
        if not served:
            spell = np.where(np.arange(times.shape[1]) < self._bears_of_each[:, None], spell, ends.size)
        person = np.repeat(np.arange(_PEOPLE), times.shape[1])
        counts = np.bincount(person * (ends.size + 1) + spell.ravel(), minlength=_PEOPLE * (ends.size + 1))
        found: FloatArray = np.atleast_2d(np.cov(counts.reshape(_PEOPLE, -1)[:, : ends.size], rowvar=False))
        return found

    @cached_property
    def _thousand(self) -> FloatArray:
        """Times of the needs of people [mean gaps], shape (people, needs)."""
        chance = np.random.default_rng(_CHANCE)
        gap = self.settings.gap_days
        gaps = gap.from_uniform(chance.random((_PEOPLE, _MOST_NEEDS))) / gap.mean
        gaps[:, 0] *= chance.random(_PEOPLE)
        return np.cumsum(gaps, axis=1)

    @cached_property
    def _bears_of_each(self) -> FloatArray:
        """Needs that each of them still has if never served."""
        each: FloatArray = (np.arange(_PEOPLE) + 0.5) / _PEOPLE
        return np.asarray(self.settings.misses_borne.from_uniform(each)) + 1.0

    @cached_property
    def _by_then(self) -> tuple[FloatArray, FloatArray]:
        """Needs within each of ``_TIMES``, of somebody who is served and of somebody who finds it too dear."""
        number = np.arange(_MOST_NEEDS)
        variance = (1.0 + self.cv**2) / 3.0 - 0.25 + number * self.cv**2
        mean = number + 0.5
        shape = mean**2 / np.maximum(variance, 1e-6)
        by_then = special.gammainc(shape, _TIMES[:, None] * shape / mean)
        return by_then.sum(axis=1), (by_then * self.bears).sum(axis=1)
