"""Chance: named streams that depend on nothing but their name, the seed and the replicate."""

from __future__ import annotations

import random

import numpy as np
import pytest

from planner.world.draw import Draw, global_chance


@pytest.mark.parametrize("kind", ["uniform", "normal"])
def test_a_stream_does_not_depend_on_what_else_is_asked_for(kind: str) -> None:
    one, other = Draw(7, 3), Draw(7, 3)
    expected = getattr(one, kind)("wind", 100)
    other.uniform("rain", 5)
    other.within("wind").normal("x", 9)
    assert np.array_equal(getattr(other, kind)("wind", 100), expected)


@pytest.mark.parametrize("kind", ["uniform", "normal"])
def test_more_rows_only_add_to_the_end(kind: str) -> None:
    few = getattr(Draw(7, 3), kind)("buckets", (5, 12))
    many = getattr(Draw(7, 3), kind)("buckets", (50, 12))
    assert np.array_equal(few, many[:5])


def test_seed_replicate_name_and_prefix_each_make_another_stream() -> None:
    streams = [
        Draw(7, 3).uniform("wind", 4),
        Draw(8, 3).uniform("wind", 4),
        Draw(7, 4).uniform("wind", 4),
        Draw(7, 3).uniform("rain", 4),
        Draw(7, 3).within("town").uniform("wind", 4),
    ]
    assert len({tuple(stream) for stream in streams}) == 5


def test_a_prefix_is_part_of_the_name() -> None:
    assert np.array_equal(
        Draw(7, 3).within("supply/town").within("shop/A").uniform("place", 3),
        Draw(7, 3).uniform("supply/town/shop/A/place", 3),
    )


def test_streams_are_not_correlated() -> None:
    n = 4000
    streams = np.array([Draw(1, replicate).uniform("wind", n) for replicate in range(6)])
    apart = np.corrcoef(streams)[~np.eye(6, dtype=bool)]
    assert np.abs(apart).max() < 4.5 / np.sqrt(n)
    assert abs(streams.mean() - 0.5) < 4 / np.sqrt(12 * streams.size)


def test_a_known_number_stays_what_it_was() -> None:
    """A stream's numbers are part of every stored result: they must never change unnoticed."""
    assert Draw(1, 0).uniform("weather/wind", 2).tolist() == [0.016770789808469022, 0.6090938919656829]


def test_a_look_at_global_chance_does_not_move_it_and_use_does() -> None:
    before = global_chance()
    assert global_chance() == before
    random.random()
    after = global_chance()
    assert after != before
    np.random.random_sample()  # noqa: NPY002  (what is looked for)
    assert global_chance() != after
