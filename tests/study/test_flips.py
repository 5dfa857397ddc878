"""Boxes: what is put into one is found, what chance scatters is not."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import qmc

from planner.study.flips import box
from planner.study.intervals import FloatArray


def cube(seed: int, inputs: int = 6) -> FloatArray:
    found: FloatArray = qmc.Sobol(inputs, rng=np.random.default_rng(seed)).random(128)
    return found


LONG = pytest.mark.long


@pytest.mark.parametrize(
    ("seed", "inputs"), [(1, 2), *(pytest.param(seed, 6, marks=LONG) for seed in (1, 2, 3))]
)
def test_what_lies_in_one_corner_is_found_there(seed: int, inputs: int) -> None:
    points, last = cube(seed, inputs), inputs // 2
    found = box(points, (points[:, 0] > 0.6) & (points[:, last] < 0.5), seed)
    assert found is not None
    first, second = found.sides
    assert (first.input, first.high) == (0, None)
    assert (second.input, second.low) == (last, None)
    assert first.low == pytest.approx(0.6, abs=0.03)
    assert second.high == pytest.approx(0.5, abs=0.06)
    assert found.happened >= 0.95 * found.points
    assert int(found.holds(points).sum()) == found.points


@LONG
def test_an_input_that_makes_no_difference_is_not_named() -> None:
    points = cube(5)
    found = box(points, points[:, 2] < 0.3, 5)
    assert found is not None
    assert [side.input for side in found.sides] == [2]


@pytest.mark.parametrize(("seeds", "at_most"), [(2, 1), pytest.param(8, 2, marks=LONG)])
def test_what_chance_scatters_has_no_box(seeds: int, at_most: int) -> None:
    boxes = [
        box(cube(seed), np.random.default_rng(seed + 50).random(128) < 0.2, seed) for seed in range(seeds)
    ]
    assert sum(one is not None for one in boxes) <= at_most


def test_what_happens_nowhere_or_everywhere_has_no_box() -> None:
    points = cube(1)
    assert box(points, np.zeros(128, dtype=np.bool_), 1) is None
    assert box(points, np.ones(128, dtype=np.bool_), 1) is None
