"""A price that comes back to its mean, with shocks: what follows from its parameters.

In: parameters. Out: its long-run mean, and where it is likely to be after some time. Must not know: files, chance.

The logarithm X of the price follows dX = pull (mean_log - X) dt + volatility dW + dJ: the one-factor model of Schwartz
(1997, Journal of Finance 52, 923-973), an Ornstein-Uhlenbeck process, with the compound Poisson shocks of Merton (1976,
Journal of Financial Economics 3, 125-144), whose sizes are normal. Both from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

YEAR_DAYS: Final = 365.0
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)


@dataclass(frozen=True, slots=True)
class Shocks:
    """Sudden changes of the logarithm: so many a year, sizes normal."""

    a_year: float = 0.0
    mean: float = 0.0
    sd: float = 0.0


@dataclass(frozen=True, slots=True)
class Process:
    """Parameters of the price.

    Parameters
    ----------
    mean_log : float
        Logarithm that the price is pulled to; shocks come on top.
    half_life_years : float
        Time in which half of a departure has gone.
    volatility : float
        Of the logarithm in a year, if nothing drew it back [1/sqrt(year)].
    shocks : Shocks
        Sudden changes.
    """

    mean_log: float
    half_life_years: float
    volatility: float
    shocks: Shocks = Shocks()

    @property
    def pull(self) -> float:
        """Speed of reversion [1/year]."""
        return math.log(2.0) / self.half_life_years

    def keeps(self, years: float) -> float:
        """Share of a departure that is left after some time."""
        return math.exp(-self.pull * years)

    def calm_sd(self, years: float) -> float:
        """Standard deviation of the logarithm after some time, shocks apart."""
        return self.volatility * math.sqrt(self._spread(years))

    def expected_log(self, log_price: float, years: float) -> float:
        """Mean of the logarithm so long after it stood at ``log_price``, shocks included."""
        keeps = self.keeps(years)
        shocks = self.shocks.a_year * self.shocks.mean * (1.0 - keeps) / self.pull
        return self.mean_log + (log_price - self.mean_log) * keeps + shocks

    def log_sd(self, years: float) -> float:
        """Standard deviation of the logarithm after some time, shocks included; infinite time: in the long run."""
        size = self.shocks.mean**2 + self.shocks.sd**2
        return math.sqrt((self.volatility**2 + self.shocks.a_year * size) * self._spread(years))

    def _spread(self, years: float) -> float:
        return (1.0 - math.exp(-2.0 * self.pull * years)) / (2.0 * self.pull)

    def lift(self) -> float:
        """Logarithm of the mean price in the long run, less ``mean_log``.

        Notes
        -----
        Of the calm part volatility^2 / (4 pull). Of the shocks a_year / pull times the integral over y from 0 to 1 of
        (exp(y mean + y^2 sd^2 / 2) - 1) / y: a shock of the age s has shrunk to the share y = exp(-pull s) (the
        cumulant function of a filtered Poisson process). By Gauss-Legendre with 24 nodes.
        """
        y = 0.5 * (_NODES + 1.0)
        inside = np.expm1(y * self.shocks.mean + 0.5 * (y * self.shocks.sd) ** 2) / y
        shocks = self.shocks.a_year / self.pull * 0.5 * float(_WEIGHTS @ inside)
        return self.volatility**2 / (4.0 * self.pull) + shocks

    def mean_price(self) -> float:
        """Mean price in the long run."""
        return math.exp(self.mean_log + self.lift())
