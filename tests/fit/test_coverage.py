"""Nine truths in ten lie in the intervals that hold nine times in ten: records come from the real simulation.

Here a few worlds, whose number of truths inside may be what chance leaves it; `make verify` plays hundreds.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from math import log

import numpy as np
import pytest
from scipy import stats

from planner.fit.activities import activities
from planner.fit.buckets import buckets
from planner.fit.buyers import buyers
from planner.fit.fitting import fit
from planner.fit.mixes import mixes, shares_at
from planner.fit.prior import (
    BUCKET_MASS,
    BUCKET_PRICE,
    FILLING,
    MIX,
    NEEDS,
    ORDER,
    PAYS_SHARE,
    SALE_TIME,
    SEASON,
    SET_UP,
    SORTING,
    STOP,
    YARD,
)
from planner.fit.shops import shops
from planner.fit.yard import yard
from planner.scenario.business import SHARES_OF_WEIGHTS
from planner.scenario.clock import MONTHS
from planner.scenario.inputs import Input
from tests.fit.truths import Covered, Knob, covered, played, small

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

CHANCY = (shops, buckets, buyers, yard)


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
    those = list(covered(small(), KNOBS, seed=1, replicates=range(20), estimators=CHANCY))
    assert len(those) > 20 * 20
    assert not spoiled(those, 20), inside(those) / len(those)
    for path, some in by_path(those).items():
        told = stats.binomtest(inside(some), len(some), NOMINAL).pvalue
        assert told > BY_CHANCE, (path, inside(some), len(some))


def mixed(seed: int, worlds: int, sorts: bool) -> list[float]:
    """How far each share of a mix lies from its truth, in standard deviations; sorted, or melted as it came."""
    base = small() if sorts else small().at([Input("sorting.on", False)])  # type: ignore[arg-type]
    thought = np.array(base.business().supply[0].settings.typical.mix.shares)
    found = []
    for replicate in range(worlds):
        drawn = np.random.default_rng([seed, replicate]).normal(size=5) * MIX.sd
        truth = dict(zip(SHARES_OF_WEIGHTS, shares_at(thought, drawn).round(4).tolist(), strict=True))
        truth["steel_share"] = round(
            1.0 - sum(share for key, share in truth.items() if key != "steel_share"), 9
        )
        inputs = [Input(f"{TOWN}.typical.mix.{key}", share) for key, share in truth.items()]
        records = played(base.at(inputs), seed, replicate, weighs_mix=sorts)
        for one in fit(base, records, estimators=(mixes,)).estimates:
            found.append((one.shift - log(truth[one.path.rpartition(".")[2]] / one.before)) / one.sd)
    return found


@pytest.mark.parametrize("sorts", [True, False])
def test_mixes_are_covered_whether_buckets_are_sorted_or_only_melted(sorts):
    z = np.abs(mixed(3, 12, sorts))
    assert z.size == 5 * 12
    assert stats.binomtest(int((z <= 1.645).sum()), 60, NOMINAL).pvalue > BY_CHANCE


def test_times_that_never_vary_are_found_as_they_are():
    """A simulated owner takes the same time for each sale, so records leave no doubt; the interval is of rounding."""
    knobs = (
        Knob("sorting.rate", SORTING.sd),
        Knob("demand.casters.settings.sale", SALE_TIME.sd),
        Knob("melting.set_up", SET_UP.sd),
        Knob("fetching.stop", STOP.sd),
    )
    those = list(covered(small(), knobs, seed=4, replicates=range(3), estimators=(activities,)))
    assert {one.path for one in those} == {knob.path for knob in knobs}
    assert all(abs(one.z) < 1.0 and one.told_share > 0.9 for one in those)


@pytest.mark.long
@pytest.mark.parametrize("sorts", [True, False])
def test_mixes_are_covered_over_hundreds_of_years(sorts):
    z = np.abs(mixed(5, 200, sorts))
    assert abs((z <= 1.645).mean() - NOMINAL) < 0.04


@pytest.mark.long
def test_intervals_cover_the_truths_of_hundreds_of_simulated_years():
    those = list(covered(small(), KNOBS, seed=2, replicates=range(300), estimators=CHANCY))
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
