"""A scenario with what records told put in, in memory.

In: a ``Fit``. Out: a ``Scenario``. Must not know: files.
"""

from __future__ import annotations

from dataclasses import replace

from planner.fit.changed import changed, leaves
from planner.fit.fitting import Fit
from planner.fit.writing import estimates_of
from planner.scenario import InputError, Scenario
from planner.scenario.estimates import read_estimates
from planner.scenario.header import Estimate
from planner.scenario.inputs import Input


def applied(fit: Fit) -> Scenario:
    """The scenario with every estimate in the place of what it said before."""
    values = changed(fit.scenario, fit.estimates)
    inputs = [Input(path, one) for whole, value in values.items() for path, one in leaves(whole, value)]
    return fit.scenario.at(inputs)


def drawn(fit: Fit) -> Scenario:
    """The same, and every world draws the estimates anew, as from the file that ``planner fit`` writes.

    Raises
    ------
    planner.scenario.InputError
        An estimate may be drawn so that no business is possible.
    """
    found = applied(fit)
    written = {name: Estimate.model_validate(one) for name, one in estimates_of(fit)}
    variants = found.variants
    estimates, problems = read_estimates(variants, variants.tree, written, found.path)
    if problems:
        raise InputError.of(problems)
    return replace(found, estimates=estimates, given=(), loaded=None)
