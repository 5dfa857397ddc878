"""Nine truths in ten lie in the intervals that hold nine times in ten: records come from the real simulation.

Here a few worlds, whose number of truths inside may be what chance leaves it; `make verify` plays hundreds.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

import numpy as np
import pytest
from scipy import stats

from planner.fit.prior import (
    BUCKET_MASS,
    BUCKET_PRICE,
    FILLING,
    NEEDS,
    ORDER,
    PAYS_SHARE,
    SEASON,
    YARD,
)
from planner.scenario.clock import MONTHS
from tests.fit.truths import Covered, Knob, covered, small

NOMINAL = 0.9
BY_CHANCE = 1e-3
"""A count of truths inside that comes up less often than this is not put down to chance."""
TOWN = "supply.town.settings"
PAID = 5.0
KNOBS = (
    *(Knob(f"{TOWN}.shops.{name}.gap", FILLING.sd) for name in ("Quay", "Mill", "Fen")),
    *(Knob(f"{TOWN}.season.{month}", SEASON.sd) for month in MONTHS),
    Knob(f"{TOWN}.typical.mass", BUCKET_MASS.sd),
    Knob(f"{TOWN}.typical.price", BUCKET_PRICE.sd),
    *(
        knob
        for name in ("casters", "anglers")
        for knob in (
            Knob(f"demand.{name}.settings.gap", NEEDS.sd),
            Knob(f"demand.{name}.settings.size", ORDER.sd),
            Knob(f"demand.{name}.settings.most.*.normal.mean", PAYS_SHARE.sd * PAID, "plus", "EUR/kg"),
        )
    ),
    *(Knob(f"demand.anglers.settings.season.{month}", SEASON.sd) for month in MONTHS),
    *(Knob(f"rates.settings.{good}.mean", YARD.sd) for good in ("weights", "lead", "clips", "zinc", "steel", "dross")),
)  # fmt: skip
"""Everything that is estimated of the small business; all of it is drawn, told or not."""


def inside(those: Sequence[Covered]) -> int:
    return sum(one.inside for one in those)


def spoiled(those: Sequence[Covered], worlds: int) -> bool:
    """Does the number inside come from another rate? Truths of one world hang together: each world counts for four."""
    n = max(min(len(those), 4 * worlds), 1)
    share = inside(those) / len(those)
    return stats.binomtest(round(share * n), n, NOMINAL).pvalue < BY_CHANCE


def by_path(those: Iterable[Covered]) -> dict[str, list[Covered]]:
    found: dict[str, list[Covered]] = defaultdict(list)
    for one in those:
        found[one.path].append(one)
    return found


def test_intervals_cover_the_truths_of_twenty_simulated_years():
    those = list(covered(small(), KNOBS, seed=1, replicates=range(20)))
    assert len(those) > 20 * 20
    assert not spoiled(those, 20), inside(those) / len(those)
    for path, some in by_path(those).items():
        told = stats.binomtest(inside(some), len(some), NOMINAL).pvalue
        assert told > BY_CHANCE, (path, inside(some), len(some))


@pytest.mark.long
def test_intervals_cover_the_truths_of_hundreds_of_simulated_years():
    those = list(covered(small(), KNOBS, seed=2, replicates=range(300)))
    assert abs(inside(those) / len(those) - NOMINAL) < 0.02
    for path, some in by_path(those).items():
        assert stats.binomtest(inside(some), len(some), NOMINAL).pvalue > 1e-4, (
            path,
            inside(some),
            len(some),
        )
        if len(some) >= 200:
            z = np.array([one.z for one in some])
            assert abs(z.mean()) < 0.5, (path, z.mean())
            assert 0.75 < z.std() < 1.35, (path, z.std())
