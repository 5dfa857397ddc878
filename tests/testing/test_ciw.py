"""The single pot and its buyers written once more, plainly, with a general-purpose queueing library (Ciw)."""

from __future__ import annotations

import random
from collections.abc import Iterator
from math import sqrt
from statistics import fmean

import pytest
from scipy import stats

from planner.testing import queues
from planner.testing.rows import Mean, Row, mean_of

pytestmark = pytest.mark.long

SURE = 0.999
RUNS, HOURS, SETTLED_H = 40, 1300.0, 100.0
CASE = "M/G/1 by priority: one owner, buyers first, wait of "


@pytest.fixture(autouse=True)
def own_chance() -> Iterator[None]:
    """Ciw draws from Python's global generator; whoever comes after finds it as it was."""
    before = random.getstate()
    yield
    random.setstate(before)


def waits_h(sale_h: float = 0.5, melt_h: float = 1.0) -> dict[str, Mean]:
    """One server; buyers every hour and buckets every four on average, at random; buyers come first."""
    import ciw  # only here: it takes long

    network = ciw.create_network(
        arrival_distributions={
            "buyers": [ciw.dists.Exponential(1.0 / 2.0)],
            "buckets": [ciw.dists.Exponential(1.0 / 4.0)],
        },
        service_distributions={
            "buyers": [ciw.dists.Deterministic(sale_h)],
            "buckets": [ciw.dists.Deterministic(melt_h)],
        },
        priority_classes={"buyers": 0, "buckets": 1},
        number_of_servers=[1],
    )
    found: dict[str, list[float]] = {"buyers": [], "buckets": []}
    for run in range(RUNS):
        ciw.seed(run)
        simulation = ciw.Simulation(network)
        simulation.simulate_until_max_time(HOURS)
        records = [record for record in simulation.get_all_records() if record.arrival_date > SETTLED_H]
        for who, means in found.items():
            means.append(fmean(record.waiting_time for record in records if record.customer_class == who))
    return {who: mean_of(means) for who, means in found.items()}


def apart(row: Row, other: Mean) -> float:
    """How far apart the two programs are, over what chance allows."""
    assert row.standard_error is not None
    bound = float(stats.t.ppf(0.5 + SURE / 2.0, other.free))
    return abs(row.got - other.value) / (bound * sqrt(row.standard_error**2 + other.standard_error**2))


def test_another_program_finds_the_same_waits(answers: tuple[Row, ...]) -> None:
    other = waits_h()
    for who, mean in other.items():
        (row,) = [one for one in answers if one.case == CASE + who]
        assert mean.standard_error < 0.05 * mean.value
        assert apart(row, mean) < 1.0, who


def test_another_program_with_longer_sales_does_not(answers: tuple[Row, ...]) -> None:
    other = waits_h(sale_h=0.6)
    for who, mean in other.items():
        (row,) = [one for one in answers if one.case == CASE + who]
        assert apart(row, mean) > 1.0, who


def test_both_are_told_of_the_same_business() -> None:
    assert (queues.SALE_H, queues.MEAN_MELT_H, queues.LOAD) == (0.5, 1.0, 0.5)
    assert (2.0 * queues.SALE_H / queues.LOAD, 2.0 * queues.GAP_H) == (2.0, 4.0)
