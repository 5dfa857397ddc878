"""The yardstick against published constants, and by repeats on known means."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from planner.study.intervals import FloatArray
from planner.study.kim_nelson import KimNelson
from tests.study.equal_allocation import paired, rinott, rinott_h, unpaired

Allocate = Callable[[KimNelson, FloatArray], FloatArray]

# options, confidence, degrees of freedom, h. Those with 50 degrees: expected values of the class Rinott of the public
# library JSL (Rossetti; after the program of Bechhofer, Santner and Goldsman 1995, table 2.13), to 0.1 %; the others:
# an integration of its own made for the project's reference tables, to its last digit.
PUBLISHED = [
    (10, 0.975, 50, 4.045),
    (1000, 0.975, 50, 6.057),
    (10000, 0.975, 50, 6.893),
    (1000, 0.9, 50, 5.488),
]
INTEGRATED = [
    (2, 0.95, 9, 2.614),
    (5, 0.95, 9, 3.693),
    (10, 0.95, 9, 4.290),
    (10, 0.95, 19, 3.875),
    (10, 0.95, 49, 3.687),
    (2, 0.99, 9, 3.887),
    (10, 0.9, 9, 3.746),
]


@pytest.mark.parametrize(("options", "confidence", "degrees", "h"), PUBLISHED)
def test_rinotts_constant_is_the_published_one(
    options: int, confidence: float, degrees: int, h: float
) -> None:
    assert rinott_h(options, confidence, degrees) == pytest.approx(h, rel=1e-3)


@pytest.mark.parametrize(("options", "confidence", "degrees", "h"), INTEGRATED)
def test_rinotts_constant_is_that_of_another_integration(
    options: int, confidence: float, degrees: int, h: float
) -> None:
    assert rinott_h(options, confidence, degrees) == pytest.approx(h, abs=6e-4)


def share_right(allocate: Allocate, common: float, options: int) -> float:
    """Share of 4,000 choices by the highest mean that are right; the last option is best by what matters."""
    rule, repeats = KimNelson(options, 10, 0.95, 1.0), 4000
    rng = np.random.default_rng(options)
    true = np.where(np.arange(options) == options - 1, 1.0, 0.0)

    def noise(n: int) -> FloatArray:
        shared, own = rng.normal(size=(repeats, 1, n)), rng.normal(size=(repeats, options, n))
        return 3.0 * (np.sqrt(common) * shared + np.sqrt(1.0 - common) * own)

    first = noise(10)
    each = allocate(rule, first).reshape(repeats, -1)
    rest = noise(1)[..., 0] * np.sqrt(each - 10)  # the sum of all later values, drawn at once
    means = true + (first.sum(axis=-1) + rest) / each
    return float((means.argmax(axis=-1) == options - 1).mean())


@pytest.mark.parametrize(
    ("allocate", "common", "options"), [(rinott, 0.0, 2), (rinott, 0.0, 10), (paired, 0.0, 2)]
)
def test_two_stages_are_right_as_often_as_they_say_and_not_much_more(
    allocate: Allocate, common: float, options: int
) -> None:
    assert 0.94 < share_right(allocate, common, options) < 0.97


@pytest.mark.parametrize(("allocate", "common"), [(unpaired, 0.0), (paired, 0.8)])
def test_the_same_for_all_is_right_far_more_often_than_asked_for(allocate: Allocate, common: float) -> None:
    assert share_right(allocate, common, 10) > 0.995
