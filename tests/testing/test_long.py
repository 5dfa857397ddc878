"""What takes minutes: other seeds, every option. Left out of the usual run; `make verify` runs it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from planner.study import load
from planner.testing import books, queues
from planner.testing.pot import Pot

SEEDS = 20


@pytest.mark.long
def test_z_scores_of_other_seeds_are_as_chance_has_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """Were answers wrong by a standard error, or the errors told half as large as they are, this would show it."""
    pot = Pot()
    melts = queues.two_kinds(pot)
    expected = queues.pollaczek_khinchine_h(queues.GAP_H, melts.mean_h, melts.mean_square)
    z_scores = []
    for seed in range(SEEDS):
        monkeypatch.setattr(queues, "SEED", seed)
        found = queues.wait_h(pot, melts, "other seeds", runs=20)
        z_scores.append((found.value - expected) / found.standard_error)
    assert abs(np.mean(z_scores)) < 3.3 / np.sqrt(SEEDS)
    assert 0.5 < np.std(z_scores, ddof=1) < 1.7


@pytest.mark.long
def test_little_s_law_and_the_books_hold_for_every_option_of_every_scenario(root: Path) -> None:
    wrong = []
    for file in sorted((root / "scenarios").glob("*.yaml")):
        scenario = load(file)
        for option in scenario.options:
            rows = books.rows(scenario, option, worlds=8)
            wrong += [(file.name, option, row.case) for row in rows if not row.ok]
    assert wrong == []
