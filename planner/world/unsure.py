"""What is not known for sure, drawn once a world.

In: chance of one replicate, estimates. Out: a number for each, and what is to stand where. Must not know: options,
outlooks, what the values are used for.

Each estimate has a stream of its own, named after it, so that another one shifts none of the others; what hangs
together is made of these numbers afterwards.
"""

from __future__ import annotations

from planner.scenario import Input
from planner.scenario.estimates import Estimates
from planner.world.draw import Draw


def drawn_z(estimates: Estimates, draw: Draw) -> tuple[float, ...]:
    """How many standard deviations each estimate is off in this world, in the order of their names."""
    chance = draw.within("estimates")
    return estimates.correlated([float(chance.normal(name, 1)[0]) for name in estimates.names])


def drawn_inputs(estimates: Estimates, draw: Draw) -> tuple[Input, ...]:
    """What is to stand where in this world."""
    return estimates.inputs(drawn_z(estimates, draw))
