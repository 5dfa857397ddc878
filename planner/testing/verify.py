"""Every known answer, one after the other.

In: a scenario, or none. Out: rows, each as soon as it is found. Must not know: how they are shown.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Final

from planner.plugin.registry import Registry
from planner.scenario import Scenario, load
from planner.testing import books, bucket, drawn, published, queues, stock
from planner.testing.rows import Row

TOWN: Final = Path(__file__).parent / "town.yaml"
ROWS: Final = 52
"""How many there are, for whoever shows how far it has come."""


def town() -> Scenario:
    """The business that is watched where no other is given."""
    return load(TOWN, Registry())


def verify(scenario: Scenario, part: int = 1) -> Iterator[Row]:
    """Play what has a known answer, and compare.

    Parameters
    ----------
    scenario : Scenario
        Watched for Little's law and for its books; the other cases bring businesses of their own.
    part : int
        Queues are played in one of so many runs, so less is known of each.

    Yields
    ------
    Row
        The same for the same scenario and versions: all seeds are fixed.
    """
    yield from queues.rows(part)
    yield from books.rows(scenario)
    yield from stock.rows()
    yield from drawn.rows()
    yield from published.rows()
    yield from bucket.rows()
