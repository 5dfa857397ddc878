"""What is drawn before a run: supply, weather and yard prices by the built-in models, against what theory says of them.

In: nothing. Out: rows. Must not know: what the owner does with any of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from math import exp, log
from typing import Any, Final

import numpy as np

from planner.plugin.builtin.rates import MEAN_REVERTING, YEAR_DAYS
from planner.plugin.builtin.shops import SHOPS
from planner.plugin.builtin.weather import SYNTHETIC
from planner.plugin.protocol import Provider
from planner.testing.quiet import CURRENCY
from planner.testing.rows import Row, by_chance, mean_of
from planner.world.draw import Draw
from planner.world.parts import FloatArray, Horizon

SEED: Final = 20260103
BATCHES: Final = 40
START: Final = date(2026, 1, 1)
IDENTITIES: Final = "textbook identity"

GAP_DAYS, YEARS_OF_SHOP = 6.0, 50
"""A bucket every so many days; years a batch."""
LOW_KG, MODE_KG, HIGH_KG = 40.0, 50.0, 66.0
AIR_C, SPELLS_K, LASTS_H = 15.0, 4.0, 72.0
ROUNDED_C: Final = 0.5
"""Temperatures are rounded to this; it adds a twelfth of its square to their variance."""
LATER_H: Final = 24
MEAN_PER_KG, FIRST_PER_KG, HALF_LIFE_DAYS, VOLATILITY = 1.34, 0.9, 90.0, 0.25
PATHS: Final = 60
AT_DAY: Final = 120


def rows() -> Iterator[Row]:
    """Supply, weather, rates."""
    yield from supply()
    yield from weather()
    yield from rates()


def model(provider: Provider, settings: dict[str, Any]) -> Any:
    """A built-in model with these settings."""
    return provider.build(provider.settings.model_validate(settings, context={"currency": CURRENCY}))


def supply() -> Iterator[Row]:
    """A shop whose buckets fill at random: mass in a year, its mean and variance."""
    gap = {"exponential": {"mean": f"{GAP_DAYS} days"}}
    mass = {"triangular": {"low": f"{LOW_KG} kg", "mode": f"{MODE_KG} kg", "high": f"{HIGH_KG} kg"}}
    settings = {"x": "1 km", "y": "0 km", "gap": gap, "first": gap, "mass": mass}
    shops = model(SHOPS, {"shops": {"corner": settings}, "season": {"jan-dec": 1}})
    horizon = Horizon(START, 365, 45.0)
    year_kg = np.array(
        [
            shops.draw(Draw(SEED, i).within("supply"), horizon).shops[0].mass_kg.sum()
            for i in range(BATCHES * YEARS_OF_SHOP)
        ]
    ).reshape(BATCHES, YEARS_OF_SHOP)
    buckets = 365.0 / GAP_DAYS
    first = (LOW_KG + MODE_KG + HIGH_KG) / 3.0
    sides = LOW_KG**2 + MODE_KG**2 + HIGH_KG**2
    products = LOW_KG * MODE_KG + LOW_KG * HIGH_KG + MODE_KG * HIGH_KG
    second = (sides - products) / 18.0 + first**2
    source = f"compound Poisson: lambda t E[X], lambda t E[X2]; {IDENTITIES}"
    case = "kilograms that a shop fills in a year"
    yield by_chance("supply", f"{case}, mean", "kg", buckets * first, mean_of(year_kg.mean(axis=1)), source)
    squares = ((year_kg - buckets * first) ** 2).mean(axis=1)
    yield by_chance("supply", f"{case}, variance", "kg2", buckets * second, mean_of(squares), source)


def weather() -> Iterator[Row]:
    """Made-up weather without seasons and days: what a warm spell leaves for the next hour and day."""
    same = {"coldest": f"{AIR_C} degC", "warmest": f"{AIR_C} degC", "daily_swing": "0 degC"}
    settings = same | {"spells": f"{SPELLS_K} degC", "spells_last": f"{LASTS_H} h"}
    climate = model(SYNTHETIC, settings)
    horizon = Horizon(START, 365, 45.0)
    off = np.array(
        [climate.draw(Draw(SEED, i).within("weather"), horizon).temperature_c - AIR_C for i in range(BATCHES)]
    )
    source = f"AR(1): sigma2 / (1 - phi2), correlation phi^k; {IDENTITIES}"
    case = "air temperature from hour to hour"
    variance = SPELLS_K**2 + ROUNDED_C**2 / 12.0
    yield by_chance("weather", f"{case}, variance", "K2", variance, mean_of((off**2).mean(axis=1)), source)
    for hours, words in ((1, "an hour"), (LATER_H, "a day")):
        expected = SPELLS_K**2 * exp(-hours / LASTS_H)
        together = (off[:, hours:] * off[:, :-hours]).mean(axis=1)
        what = f"{case}, covariance with {words} later"
        yield by_chance("weather", what, "K2", expected, mean_of(together), source)


def rates() -> Iterator[Row]:
    """A yard price that begins below its mean: the logarithm's mean and variance after a while."""
    lead = {
        "mean": f"{MEAN_PER_KG} EUR/kg",
        "start": f"{FIRST_PER_KG} EUR/kg",
        "half_life": f"{HALF_LIFE_DAYS} days",
        "volatility_share": VOLATILITY,
    }
    yard = model(MEAN_REVERTING, {"lead": lead})
    horizon = Horizon(START, AT_DAY + 1, 45.0)
    logs: FloatArray = np.array(
        [
            log(yard.draw(Draw(SEED, i).within("rates"), horizon).per_kg["lead"][AT_DAY])
            for i in range(BATCHES * PATHS)
        ]
    ).reshape(BATCHES, PATHS)
    pull = log(2.0) / HALF_LIFE_DAYS
    settled = VOLATILITY**2 / YEAR_DAYS / (2.0 * pull)
    centre = log(MEAN_PER_KG) - 0.5 * settled
    mean = centre + (log(FIRST_PER_KG) - centre) * exp(-pull * AT_DAY)
    variance = settled * (1.0 - exp(-2.0 * pull * AT_DAY))
    source = f"Ornstein-Uhlenbeck: mu + (x0 - mu) e^-th t, sigma2 / 2 th (1 - e^-2 th t); {IDENTITIES}"
    case = f"logarithm of the yard's price after {AT_DAY} days"
    yield by_chance("rates", f"{case}, mean", "", mean, mean_of(logs.mean(axis=1)), source)
    yield by_chance(
        "rates", f"{case}, variance", "", variance, mean_of(((logs - mean) ** 2).mean(axis=1)), source
    )
