"""The models that come with the planner, registered through the same hook as any package's.

In: nothing. Out: providers of the namespace ``core``. Must not know: which of them a scenario names.
"""

from __future__ import annotations

from collections.abc import Iterable

from planner.plugin.builtin import crowds, pricing, rates, shops, weather
from planner.plugin.protocol import Provider, hookimpl


@hookimpl
def planner_models() -> Iterable[Provider]:
    """Every built-in model."""
    return (
        pricing.FIXED,
        pricing.BREAKS,
        shops.SHOPS,
        weather.SYNTHETIC,
        weather.CONSTANT,
        rates.FIXED,
        rates.MEAN_REVERTING,
        rates.REPLAY,
        crowds.RETURNING,
        crowds.BULK,
        crowds.POST,
    )
