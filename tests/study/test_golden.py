"""Two scenarios at a fixed seed give the same tables as before, to the last printed digit.

A change that moves numbers on purpose changes these digests, with the reason in CHANGELOG.md. To read the new ones:
``python -m tests.study.test_golden``.
"""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import pytest

from planner.engine.player import Player, Setting
from planner.plugin.registry import Registry
from planner.scenario import load

ROOT = Path(__file__).parents[2]
OPTIONS = ("as today", "sort first", "burner and pot", "post")
GOLDEN = {
    "scenarios/example.yaml": "640e4eeb28aedc54",
    "tests/reference/one_bucket.yaml": "e6ce6237885f2745",
}
DIGITS = 9


def digest(file: str) -> str:
    """Digest of the measures of some options in three worlds, to nine digits: not the last bit of a machine."""
    scenario = load(ROOT / file, Registry())
    player = Player(Setting(scenario, seed=7))
    lines = []
    for option in [name for name in scenario.options if name in OPTIONS]:
        for replicate in range(3):
            for name, value in player.run(option, "expected", replicate).measures.items():
                lines.append(f"{option},{replicate},{name},{value:.{DIGITS}g}")
    return sha256("\n".join(lines).encode()).hexdigest()[:16]


@pytest.mark.parametrize("file", GOLDEN)
def test_the_figures_are_as_they_were(file: str) -> None:
    assert digest(file) == GOLDEN[file]


if __name__ == "__main__":
    for name in GOLDEN:
        print(f"{name}: {digest(name)}")
