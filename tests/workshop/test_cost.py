"""What a run costs as the business grows, counted in Python's instructions: no clock is looked at."""

from __future__ import annotations

import gc
import json
import os
import shutil
import subprocess
import sys
import tracemalloc
from pathlib import Path
from typing import Final

import pytest

from planner.compiled import AS_PYTHON
from planner.engine import Batch
from planner.engine.player import Player, Setting
from planner.study import load
from tests.workshop.instructions import TIMES

LEAST_OF_A_RUN: Final = 500
"""Bytes: less than the measures of a run alone take, not to speak of its rows."""


@pytest.fixture(scope="module")
def counted() -> dict[str, list[int]]:
    """Instructions of a run at several times its days, shops and people."""
    plain = {**os.environ, AS_PYTHON: "1"}
    program = [sys.executable, "-m", "tests.workshop.instructions"]
    said = subprocess.run(program, env=plain, check=True, capture_output=True, text=True).stdout
    found: dict[str, list[int]] = json.loads(said)
    return found


@pytest.mark.parametrize("what", ["days", "shops", "people"])
def test_twice_the_days_shops_or_buyers_cost_at_most_twice_as_much(
    what: str, counted: dict[str, list[int]]
) -> None:
    """What one more adds does not grow with how many there are: (8 - 4) more against (4 - 1) more."""
    one, some, many = counted[what]
    first, second, third = TIMES
    assert many > some > one, "more of it makes no difference, so nothing was tested"
    assert (many - some) / (third - second) <= 1.1 * (some - one) / (second - first)
    assert many <= third * one


def test_a_player_keeps_nothing_of_the_worlds_that_it_has_played(root: Path, tmp_path: Path) -> None:
    """In the same weather, so that the heat table is complete; what comes back is let go."""
    garden = tmp_path / "garden.yaml"
    shutil.copy(root / "tests" / "study" / "garden.yaml", garden)
    still = tmp_path / "still.yaml"
    still.write_text("extends: garden.yaml\nweather: {model: core.constant, settings: {wind: 1 m/s}}\n")
    player = Player(Setting(load(still), 1))

    def held_after(worlds: range) -> int:
        for world in (*worlds, 0):
            assert player(Batch("expected", (world,), ("as today",)))[0].failure is None
        gc.collect()
        return tracemalloc.get_traced_memory()[0]

    tracemalloc.start()
    try:
        before = held_after(range(1, 40))
        grown = held_after(range(40, 70)) - before
    finally:
        tracemalloc.stop()
    assert grown < 30 * LEAST_OF_A_RUN


def test_what_a_study_keeps_of_a_run_takes_less_than_a_kilobyte(root: Path) -> None:
    player = Player(Setting(load(root / "tests" / "study" / "garden.yaml"), 1))
    (outcome,) = player(Batch("expected", (0,), ("as today",)))
    assert len(outcome.measures) > 50
    assert sys.getsizeof(outcome) + sys.getsizeof(outcome.measures) < 1000
