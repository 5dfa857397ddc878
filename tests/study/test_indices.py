"""What is told of inputs, held against functions whose answers are known."""

from __future__ import annotations

import numpy as np
import pytest

from planner.study.indices import LEVELS, crossing, effects, screening, shares
from planner.study.intervals import FloatArray

FIRST = (0.3139051911, 0.4424111448, 0.0)
TOTAL = (0.5575888552, 0.4424111448, 0.2436836641)
"""Of Ishigami's function (a = 7, b = 0.1), from its integrals."""


def ishigami(cube: FloatArray) -> FloatArray:
    x = np.pi * (2.0 * cube - 1.0)
    return np.sin(x[:, 0]) + 7.0 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * np.sin(x[:, 0])


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_shares_of_a_function_with_known_ones_are_found(seed: int) -> None:
    found = shares(ishigami(crossing(3, 4096, seed)), 3, 0.95, seed)
    assert [one.first.mean for one in found] == pytest.approx(FIRST, abs=0.01)
    assert [one.total.mean for one in found] == pytest.approx(TOTAL, abs=0.015)


def test_few_points_say_how_little_they_know() -> None:
    few = [shares(ishigami(crossing(3, 64, seed)), 3, 0.95, seed) for seed in range(20)]
    held = [one[i].total.low <= TOTAL[i] <= one[i].total.high for one in few for i in range(3)]
    assert np.mean(held) >= 0.85
    wide = shares(ishigami(crossing(3, 64, 1)), 3, 0.95, 1)[1].total
    narrow = shares(ishigami(crossing(3, 1024, 1)), 3, 0.95, 1)[1].total
    assert narrow.high - narrow.low < 0.5 * (wide.high - wide.low)


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_the_effect_of_an_input_alone_is_exact(seed: int) -> None:
    cube = screening(3, 8, seed)
    assert cube.shape == (8 * 4, 3)
    assert np.unique(cube).tolist() == pytest.approx([level / (LEVELS - 1) for level in range(LEVELS)])
    assert effects(cube, ishigami(cube), seed)[1].size == pytest.approx(7.875, abs=1e-12)


def test_effects_of_a_straight_line_are_its_slopes() -> None:
    cube = screening(4, 6, 3)
    found = effects(cube, cube @ np.array([3.0, -2.0, 0.0, 0.5]), 3)
    assert [one.mean for one in found] == pytest.approx([3.0, -2.0, 0.0, 0.5])
    assert [one.size for one in found] == pytest.approx([3.0, 2.0, 0.0, 0.5])
    assert [one.spread for one in found] == pytest.approx([0.0] * 4, abs=1e-12)


def test_the_same_seed_gives_the_same_points_and_intervals() -> None:
    for seed in (0, 7):
        assert (crossing(3, 16, seed) == crossing(3, 16, seed)).all()
        assert (screening(3, 4, seed) == screening(3, 4, seed)).all()
        values = ishigami(crossing(3, 16, seed))
        assert shares(values, 3, 0.95, seed) == shares(values, 3, 0.95, seed)


def test_what_never_varies_has_no_shares() -> None:
    assert shares(np.full(5 * 16, 3.0), 3, 0.95, 1) == ()


def test_a_missing_point_is_not_made_up() -> None:
    values = ishigami(crossing(3, 16, 1))
    values[7] = np.nan
    with pytest.raises(ValueError, match="none is made up"):
        shares(values, 3, 0.95, 1)
    with pytest.raises(ValueError, match="none is made up"):
        effects(screening(3, 4, 1), np.full(16, np.nan), 1)
