"""Hard limits that an option breaks: by its settings, or in its runs.

In: a business, and one option's measures in every world. Out: refusals, each with reason and source.
Must not know: other options.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np

from planner.scenario.business import Business
from planner.study.intervals import FloatArray
from planner.workshop.premises import Refusal as Refusal
from planner.workshop.premises import premises

MOST_OUT_OF_CASH_SHARE: Final = 0.05
"""An option that runs out of cash in more worlds than this is refused (assumed: one year in twenty)."""

ROUNDING: Final = 1e-9
"""A share of overload below this is the rounding of a load that is just within its rating."""


def refusals(business: Business, measured: Mapping[str, FloatArray]) -> tuple[Refusal, ...]:
    """Hard limits broken.

    Parameters
    ----------
    business : Business
        Option and outlook applied.
    measured : mapping of str to array, shape (replicates,)
        Measures by name; nan where a run failed.
    """
    by_settings = premises(business).refusals
    known = {one.limit for one in by_settings}
    return (*by_settings, *(one for one in refusals_of_runs(measured) if one.limit not in known))


def refusals_of_runs(measured: Mapping[str, FloatArray]) -> tuple[Refusal, ...]:
    """Hard limits broken in runs, whatever the settings say; see :func:`refusals`."""
    return tuple(found for found in (_overload(measured), _cash(measured)) if found is not None)


def _overload(measured: Mapping[str, FloatArray]) -> Refusal | None:
    over = measured["highest_load_share"]
    if not (over > ROUNDING).any():
        return None
    return Refusal(
        "payload",
        f"the vehicle is driven up to {100 * np.nanmax(over):.0f} % above its rated load",
        "the vehicle's plate; 49 CFR 567.4",
    )


def _cash(measured: Mapping[str, FloatArray]) -> Refusal | None:
    lowest = measured["lowest_cash"]
    played = lowest[~np.isnan(lowest)]
    short = played < 0.0
    if not played.size or short.mean() <= MOST_OUT_OF_CASH_SHARE:
        return None
    often = "in every world" if short.all() else f"in {short.sum()} of {played.size} worlds"
    return Refusal(
        "cash",
        f"cash runs out {often}; the middle one of those falls to {_below(float(np.median(played[short])))}",
        "cash at hand, as the scenario says; this project's rule",
    )


def _below(amount: float) -> str:
    """An amount below 0, which rounds to no whole one only in words."""
    return f"{amount:,.0f}" if amount <= -0.5 and round(amount) else "just below 0"
