"""What a fit says, in plain sentences with its errors.

In: prices and a fit. Out: one text. Must not know: chance, yards.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from planner_fitted_rates.fit import Fit
from planner_fitted_rates.prices import Prices
from planner_fitted_rates.process import YEAR_DAYS

SHOWN = 5
"""Shocks named by date; of more only the number is told."""


def told(prices: Prices, fit: Fit) -> str:
    """What was fitted to which prices, how sure it is, and what the prices do not tell."""
    return " ".join(_sentences(prices, fit))


def _sentences(prices: Prices, fit: Fit) -> Iterator[str]:
    gaps = int((~prices.whole).sum())
    left = f", {gaps} gap{'s' if gaps > 1 else ''} left out" if gaps else ""
    yield (
        f"{prices.source}: {len(prices.days)} prices, {prices.rhythm}, {prices.days[0]} to {prices.days[-1]}{left}."
    )
    process = fit.process
    mean = math.exp(process.mean_log)
    yield (
        f"The price is pulled to {mean:.3g} a kg (standard error {mean * fit.mean_log_se:.2g}); the last was "
        f"{prices.per_kg[-1]:.3g}."
    )
    low, high = (_days(years) for years in fit.half_life_range)
    if fit.half_life_told:
        yield (
            f"Half of a departure has gone after {_days(process.half_life_years)} days "
            f"(95 %: {low} to {high})."
        )
    else:
        yield (
            f"Whether it comes back at all cannot be told from so few years (Dickey-Fuller t {fit.reverts_t:.2f}, "
            f"below {fit.reverts_below:.2f} needed; half-life 95 %: {low} to {high} days): the half-life of the "
            f"settings is kept, {_days(process.half_life_years)} days, and the mean hangs on it."
        )
    yield (
        f"Volatility {process.volatility:.3f} a year (standard error {fit.volatility_se:.2g}): a price is then within "
        f"{100 * process.log_sd(math.inf):.0f} % of its mean in two of three days."
    )
    yield from _shocks(prices, fit)


def _shocks(prices: Prices, fit: Fit) -> Iterator[str]:
    count = len(fit.shock_steps)
    if not count:
        yield f"No step lies beyond {fit.beyond:.1f} standard deviations: no shocks."
        return
    shocks = fit.process.shocks
    yield (
        f"{count} shock{'s' if count > 1 else ''} beyond {fit.beyond:.1f} standard deviations, {shocks.a_year:.2g} a "
        f"year (standard error {fit.shocks_a_year_se:.2g}), of the size {shocks.mean:+.2f} with a standard deviation "
        f"of {shocks.sd:.2f}{_named(prices, fit)}."
    )


def _named(prices: Prices, fit: Fit) -> str:
    if len(fit.shock_steps) > SHOWN:
        return ""
    found = zip(fit.shock_steps, fit.shock_sizes, strict=True)
    return ": " + ", ".join(
        f"up to {prices.days[step + 1]} {100 * math.expm1(size):+.0f} %" for step, size in found
    )


def _days(years: float) -> str:
    return "never" if math.isinf(years) else f"{years * YEAR_DAYS:,.0f}"
