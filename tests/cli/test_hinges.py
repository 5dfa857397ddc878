from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Planner

QUICK = ("--replicates", "1", "--points", "8", "--workers", "1")


@pytest.fixture(scope="session")
def ranged(root: Path) -> Path:
    """The garden with ranges."""
    return root / "tests" / "study" / "ranged.yaml"


def test_hinges_says_what_the_answer_hangs_on_and_writes_its_tables(planner: Planner, ranged: Path) -> None:
    found = planner("hinges", ranged, "--option", "camp stove", "--beside", "gift", *QUICK)
    assert found.exit_code == 0, found.output
    words = " ".join(found.stdout.split())
    assert "The answer hangs most on" in words
    assert "what casters pay" in words
    assert "within these ranges the advice does not stand" in words
    assert max(map(len, found.stdout.splitlines())) <= 80
    written = sorted(path.name for path in Path("reports/ranged").iterdir())
    assert written == ["hinges.csv", "hinges.json"]


@pytest.mark.long
def test_hinges_as_one_document_is_the_same_for_any_number_of_workers(planner: Planner, ranged: Path) -> None:
    words = (
        "hinges",
        ranged,
        "--option",
        "camp stove",
        "--replicates",
        "1",
        "--points",
        "8",
        "--format",
        "json",
    )
    one, two = (planner(*words, "--workers", number) for number in (1, 2))
    assert one.exit_code == 0
    assert one.stdout == two.stdout
    found = json.loads(one.stdout)
    assert {row["name"] for row in found["hinges"]} == set(found["more_of_it"])
    assert found["words"]


def test_hinges_of_a_scenario_without_ranges_is_wrong_input(planner: Planner, garden: Path) -> None:
    found = planner("hinges", garden, "--option", "gift")
    assert found.exit_code == 2
    assert "under ranges" in found.stderr
    assert not Path("reports").exists()


def test_points_that_are_no_power_of_two_are_refused(planner: Planner, ranged: Path) -> None:
    found = planner("hinges", ranged, "--option", "gift", "--points", "100")
    assert found.exit_code == 2
    assert "power of two" in found.stderr


def test_a_run_that_fails_at_a_point_ends_with_1_and_says_how_to_repeat_it(
    planner: Planner, ranged: Path, tmp_path: Path
) -> None:
    # each end alone is possible; a dear hour needs no other value, but so many people are not known of so few
    file = tmp_path / "few.yaml"
    text = ranged.read_text(encoding="utf-8")
    (tmp_path / "garden.yaml").write_bytes((ranged.parent / "garden.yaml").read_bytes())
    file.write_text(text + "  who there are: demand.casters.settings.people=5..8\n", encoding="utf-8")
    found = planner("hinges", file, "--option", "gift", *QUICK)
    assert found.exit_code == 1
    words = " ".join(found.stdout.split())
    assert "none is made up" in words
    assert "Again alone: planner run few.yaml --option" in words
    assert "--set demand.casters.settings." in words
