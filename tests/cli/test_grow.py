"""`planner grow` at the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from click.testing import Result

from planner import study
from planner.report.grow_kept import read_growth
from planner.study import growing

Planner = Callable[..., Result]


def test_grow_says_what_to_grow_first_and_writes_its_table(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    found = planner("grow", garden, "--replicates", "12", "--workers", "1")
    assert found.exit_code == 0, found.stderr
    assert "A pot in the garden: as today, 12 worlds" in found.stdout
    assert "Grow this first" in found.stdout
    folder = tmp_path / "reports" / "garden"
    assert sorted(path.name for path in folder.iterdir()) == ["grow-limits.csv", "grow.csv", "grow.json"]
    kept = read_growth(folder)
    assert kept is not None
    assert kept.subject.replicates == 12


def test_grow_is_one_document_of_the_option_that_was_named(planner: Planner, garden: Path) -> None:
    found = planner(
        "grow", garden, "--option", "camp stove", "--replicates", "2", "--format", "json", "--out", "o"
    )
    assert found.exit_code == 0
    assert found.stderr == ""
    document = json.loads(found.stdout)
    assert document["option"] == "camp stove"
    burner = next(one for one in document["worths"] if one["key"] == "burner")
    assert burner["inputs"] == ["melting.burner.power+=1 kW"]
    assert document["files"] == ["o/grow.csv", "o/grow-limits.csv", "o/grow.json"]


def test_an_option_that_is_not_there_is_wrong_input(planner: Planner, garden: Path) -> None:
    found = planner("grow", garden, "--option", "camp stov")
    assert found.exit_code == 2
    assert "did you mean camp stove" in found.stderr


def test_the_command_calls_what_python_calls() -> None:
    assert study.grow is growing.grow
