"""What the records tell of a scenario: every estimator asked in turn.

In: a scenario, records. Out: ``Fit``. Must not know: files, how it is shown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from planner.fit.activities import activities
from planner.fit.buckets import buckets
from planner.fit.buyers import buyers
from planner.fit.estimate import Block, Estimate, Untold
from planner.fit.melts import melts
from planner.fit.mixes import mixes
from planner.fit.shops import shops
from planner.fit.units import in_usual
from planner.fit.yard import yard
from planner.records.records import Records, Remark
from planner.scenario import Scenario

Estimator = Callable[[Scenario, Records], Iterable[Block | Untold]]
ESTIMATORS: Final[tuple[Estimator, ...]] = (shops, buckets, mixes, melts, buyers, activities, yard)
"""In the order in which a reader meets them. No two move the same path."""


@dataclass(frozen=True, eq=False)
class Fit:
    """What the records told.

    Parameters
    ----------
    scenario : Scenario
        As it was before.
    blocks : tuple of Block
        Estimates that were found together.
    untold : tuple of Untold
        What the records could tell and do not.
    rows : mapping of str to int
        Rows of each table of records.
    days : (date, date), optional
        First and last day that was written down.
    remarks : tuple of Remark
        What was noticed while the records were read.
    """

    scenario: Scenario
    blocks: tuple[Block, ...]
    untold: tuple[Untold, ...]
    rows: Mapping[str, int]
    days: tuple[date, date] | None
    remarks: tuple[Remark, ...]

    @property
    def estimates(self) -> tuple[Estimate, ...]:
        """All of them, in order."""
        return tuple(one for block in self.blocks for one in block.estimates)


def fit(scenario: Scenario, records: Records, estimators: Iterable[Estimator] = ESTIMATORS) -> Fit:
    """Estimate what the records can tell of a scenario.

    Parameters
    ----------
    scenario : Scenario
        What is thought so far: each of its values is the middle of what is possible before a record is read.
    records : Records
        What was written down.
    estimators : iterable of callable
        Which parts are estimated.
    """
    found = [one for estimator in estimators for one in estimator(scenario, records)]
    us = scenario.units == "us"
    found = [in_usual(one, scenario.currency, us) if isinstance(one, Block) else one for one in found]
    return Fit(
        scenario,
        tuple(one for one in found if isinstance(one, Block)),
        tuple(one for one in found if isinstance(one, Untold)),
        {name: len(frame) for name, frame in records.tables.items()},
        records.days,
        records.remarks,
    )
