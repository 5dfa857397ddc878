"""The clock of one run, which stops what would go round for ever.

In: how many events the size of a business explains. Out: simpy's environment with that bound. Must not know: what the
events are.

simpy numbers events as it takes them on; here the numbers end. That costs nothing an event and changes no order.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain, count
from typing import Final

import simpy

from planner.world.parts import World

A_DAY: Final = 2 * 24 * 60
"""The owner looks again once a minute at most, and may be called as often."""
EACH: Final = 100
"""For each need and each bucket that is drawn. In thousands of businesses, thrown at random and pushed to their ends, a
run took fewer than 8 events a day, and fewer than 3 for each day, need and bucket together."""
AT_LEAST: Final = 10_000


class RunError(Exception):
    """A run failed. One string: simpy re-raises with the arguments alone."""


def clock(most: int) -> simpy.Environment:
    """Simpy's environment, in which only so many events happen.

    A class of its own would cost more: simpy's is found faster (measured: .1 us an event).
    """
    env = simpy.Environment()
    env._eid = chain(range(most), _Spent(most))  # type: ignore[assignment]  # only ever asked for the next
    return env


class _Spent:
    """Numbers of events beyond the last: the first fails, the others carry the failure to whoever plays."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._further: Iterator[int] | None = None

    def __iter__(self) -> Iterator[int]:
        return self

    def __next__(self) -> int:
        if self._further is None:
            self._further = count(self._most)
            raise RunError(
                f"stopped after {self._most:,} events, many times what a business of this size explains: something "
                "happens again and again while hardly any time passes"
            )
        return next(self._further)


def most_events(world: World, looks: int = 0) -> int:
    """Events that a run in this world may take; so many hours at which somebody looks at it come on top."""
    needs = sum(crowd.gap_h.size for crowd in world.crowds)
    buckets = sum(shop.mass_kg.size for supply in world.supplies for shop in supply.shops)
    return AT_LEAST + A_DAY * world.horizon.days + EACH * (needs + buckets) + looks
