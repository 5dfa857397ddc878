"""The example scenario of the package, checked and played."""

from __future__ import annotations

from pathlib import Path

from typer.testing import CliRunner

import planner
from planner.cli.app import app

EXAMPLE = Path(__file__).resolve().parents[1] / "fitted-rates.yaml"


def test_the_example_is_sound_and_tells_what_was_found_in_its_prices() -> None:
    found = CliRunner().invoke(app, ["check", str(EXAMPLE)])
    assert found.exit_code == 0, found.stdout + found.stderr
    words = " ".join(found.stdout.split())
    assert "lead.csv: 144 prices, monthly, 2014-01-01 to 2025-12-01." in words
    assert "3 shocks beyond 3.5 standard deviations" in words


def test_the_example_is_played_under_every_outlook() -> None:
    scenario = planner.load(EXAMPLE)
    for outlook in scenario.outlooks:
        played = planner.run(scenario, outlook=outlook)
        assert played.failures == ()
        assert (
            played.levels.at(
                played.measures.index(next(m for m in played.measures if m.name == "enquiries"))
            ).mean
            > 0
        )
