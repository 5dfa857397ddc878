"""The kit for whoever writes a model: a class of checks for each kind.

In: a provider. Out: passing tests, or words that say what a run would stumble over. A test class takes the class of
its kind as its base and names the provider::

    class TestStallPrice(PricingConformance):
        provider = STALL

Any test runner that calls methods named ``test_...`` can run it; pytest is not needed. Every check holds for the
built-in models too. Must not know: the workshop, how runs are executed.
"""

from __future__ import annotations

from planner.testing.conformance.drawing import (
    DemandConformance,
    RatesConformance,
    SupplyConformance,
    WeatherConformance,
)
from planner.testing.conformance.offered import Conformance
from planner.testing.conformance.pricing import PricingConformance

__all__ = [
    "Conformance",
    "DemandConformance",
    "PricingConformance",
    "RatesConformance",
    "SupplyConformance",
    "WeatherConformance",
]
