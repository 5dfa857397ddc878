"""A scenario with what records told put in, in memory.

In: a ``Fit``. Out: a ``Scenario``. Must not know: files.
"""

from __future__ import annotations

from planner.fit.changed import changed, leaves
from planner.fit.fitting import Fit
from planner.scenario import Scenario
from planner.scenario.inputs import Input


def applied(fit: Fit) -> Scenario:
    """The scenario with every estimate in the place of what it said before."""
    values = changed(fit.scenario, fit.estimates)
    inputs = [Input(path, one) for whole, value in values.items() for path, one in leaves(whole, value)]
    return fit.scenario.at(inputs)
