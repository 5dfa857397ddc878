"""Tiny businesses whose answers are known, how far the program's own may lie from them, and the kit for models.

In: nothing, a scenario, or what a package offers. Out: rows: what is expected, what came out, and whether the two
agree; classes of checks that a package's tests take as their base (``from planner.testing import PricingConformance``),
imported when one is first asked for.
Must not know: files written, the terminal.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from planner.testing.conformance import (
        DemandConformance,
        PricingConformance,
        RatesConformance,
        SupplyConformance,
        WeatherConformance,
    )

__all__ = [
    "DemandConformance",
    "PricingConformance",
    "RatesConformance",
    "SupplyConformance",
    "WeatherConformance",
]


def __getattr__(name: str) -> Any:
    if name in __all__:
        return getattr(import_module("planner.testing.conformance"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
