"""Series of logarithms of prices with known parameters, drawn from the planner's streams."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from planner.plugin.builtin.memory import remembering
from planner.world.draw import Draw
from planner.world.parts import FloatArray
from planner_fitted_rates.model import shocks
from planner_fitted_rates.process import YEAR_DAYS, Process, Shocks


def series(process: Process, steps: int, step_years: float, number: int = 0, within: int = 12) -> FloatArray:
    """One series of ``steps + 1`` values, drawn ``within`` times as finely, begun long before."""
    before = math.ceil(8 * process.half_life_years / step_years) * within
    fine = before + steps * within
    h = step_years / within
    draw = Draw(20, number)
    sudden = Shocks(process.shocks.a_year * h * YEAR_DAYS, process.shocks.mean, process.shocks.sd)
    news = process.calm_sd(h) * draw.normal("news", fine + 1) + shocks(
        sudden, draw.uniform("shocks", (fine + 1, 2))
    )
    found: FloatArray = process.mean_log + remembering(news, process.keeps(h))[before::within]
    return found


Series = Callable[..., FloatArray]


@pytest.fixture(name="series", scope="session")
def _series() -> Series:
    return series
