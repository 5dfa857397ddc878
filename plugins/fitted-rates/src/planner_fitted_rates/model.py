"""What the yard pays, following a metal price that is drawn from a fitted process.

In: prices, a fit, settings, named streams. Out: the world's ``Rates``. Must not know: files.

Each day has its own marks: a normal for the calm change, a uniform for how many shocks fall on it and one for their
size. So another half-life, volatility or number of shocks moves the same days' changes, and a longer horizon adds days.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtri

from planner.plugin.builtin.memory import remembering
from planner.world.draw import Draw
from planner.world.parts import GOODS, FloatArray, Good, Horizon, Rates
from planner_fitted_rates.fit import fit
from planner_fitted_rates.prices import Prices, read_prices
from planner_fitted_rates.process import YEAR_DAYS, Process, Shocks
from planner_fitted_rates.settings import FittedSettings, Linked
from planner_fitted_rates.told import told

_SMALLEST = 2.0**-53
_DAY = 1.0 / YEAR_DAYS


@dataclass(frozen=True, slots=True, eq=False)
class FittedRates:
    """Draws a metal price day by day, exactly, and what the yard pays for each good.

    Parameters
    ----------
    prices : Prices
        Where it starts from.
    process : Process
        How it goes on.
    settings : FittedSettings
        How the goods are linked to it.
    note : str
        What was fitted.
    """

    prices: Prices
    process: Process
    settings: FittedSettings
    note: str

    def draw(self, draw: Draw, horizon: Horizon) -> Rates:
        """Daily prices of every good."""
        relative = self.metal_per_kg(draw, horizon) / float(self.prices.per_kg[-1])
        per_kg: dict[Good, FloatArray] = {}
        for good in GOODS:
            link: Linked = getattr(self.settings, good)
            per_kg[good] = link.paid_per_kg * (1.0 - link.follows_share + link.follows_share * relative)
        return Rates(per_kg, self.note)

    def metal_per_kg(self, draw: Draw, horizon: Horizon) -> FloatArray:
        """The metal's price on each day, shape (days,)."""
        process = self.process
        normal = draw.normal("days", horizon.days)
        steps = process.calm_sd(_DAY) * normal + shocks(
            process.shocks, draw.uniform("shocks", (horizon.days, 2))
        )
        steps[0] = self._first_log(horizon, float(normal[0])) - process.mean_log
        log_price = process.mean_log + remembering(steps, process.keeps(_DAY))
        trend = (1.0 + self.settings.trend_a_year_share) ** (np.arange(horizon.days) / YEAR_DAYS)
        price: FloatArray = np.exp(log_price) * trend
        return price

    def _first_log(self, horizon: Horizon, normal: float) -> float:
        """Logarithm of the first day's price: what has become of the last one known by then, or what is set."""
        if self.settings.start_times is not None:
            return math.log(self.settings.start_times * float(self.prices.per_kg[-1]))
        known = [row for row, day in enumerate(self.prices.days) if day <= horizon.start]
        row = known[-1] if known else 0
        years = max((horizon.start - self.prices.days[row]).days, 0) / YEAR_DAYS
        last = math.log(self.prices.per_kg[row])
        return self.process.expected_log(last, years) + self.process.log_sd(years) * normal


def shocks(of: Shocks, u: FloatArray) -> FloatArray:
    """Sum of the sizes of each day's shocks: how many by the inverse of Poisson's distribution.

    Parameters
    ----------
    of : Shocks
        Their number a year and their sizes.
    u : FloatArray
        Uniforms, shape (days, 2).
    """
    a_day = of.a_year * _DAY
    count, share, below = np.zeros(u.shape[0]), math.exp(-a_day), 0.0
    for already in range(1, 100):
        below += share
        more = u[:, 0] >= below
        if a_day == 0.0 or not more.any():
            break
        count += more
        share *= a_day / already
    sums: FloatArray = count * of.mean + np.sqrt(count) * of.sd * ndtri(np.maximum(u[:, 1], _SMALLEST))
    return sums


def build(settings: FittedSettings) -> FittedRates:
    """Read the file and fit.

    Raises
    ------
    ValueError
        In one sentence, where the file cannot be read or nothing can be fitted to it.
    """
    prices = read_prices(settings.file, settings.column)
    sudden = settings.shocks
    found = fit(
        np.log(prices.per_kg),
        prices.whole,
        prices.step_days / YEAR_DAYS,
        settings.half_life_days / YEAR_DAYS,
        0.0 if sudden is not None and sudden.number_per_year == 0.0 else settings.false_alarm_share,
    )
    process = found.process
    if sudden is not None:
        process = replace(process, shocks=Shocks(sudden.number_per_year, sudden.mean_share, sudden.sd_share))
    if settings.mean_times is not None:
        mean = math.log(settings.mean_times * float(prices.per_kg[-1]))
        process = replace(process, mean_log=mean - process.lift())
    return FittedRates(prices, process, settings, told(prices, found))
