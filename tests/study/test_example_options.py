"""The example's options show what they are there for, in a few worlds."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.scenario import Scenario
from planner.study import load, run

WORLDS = 6


@pytest.fixture(scope="module")
def example() -> Scenario:
    return load(Path(__file__).parents[2] / "scenarios" / "example.yaml")


def mean(example: Scenario, option: str, *names: str) -> list[float]:
    found = run(example, option, replicates=WORLDS)
    assert not found.failures
    return [found.level(name).mean for name in names]


def test_a_hand_truck_saves_lifts_time_and_the_back(example: Scenario) -> None:
    names = ("lifts", "fetch_hours_h", "highest_lifting_index", "buckets")
    lifts, hours, index, buckets = mean(example, "as today", *names)
    fewer, shorter, lower, as_many = mean(example, "hand truck", *names)
    assert fewer < 0.6 * lifts
    assert shorter < hours - 2.0
    assert 1.0 < lower < index < 3.0
    assert as_many == pytest.approx(buckets, rel=0.05)


def test_a_thermometer_acts_under_a_bigger_burner(example: Scenario) -> None:
    (spoiled,) = mean(example, "bigger burner", "zinced_melts")
    assert spoiled > 0.0
    assert mean(example, "watched burner", "zinced_melts") == [0.0]


def test_quantity_breaks_lose_less_to_the_price_and_bring_less_a_kilogram(example: Scenario) -> None:
    names = ("takings", "sold_kg", "lost_price_kg")
    takings, sold_kg, lost_kg = mean(example, "as today", *names)
    less, more_kg, fewer_kg = mean(example, "quantity breaks", *names)
    assert fewer_kg < 0.8 * lost_kg
    assert more_kg > sold_kg
    assert less / more_kg < 0.98 * takings / sold_kg
