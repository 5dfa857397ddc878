"""`planner verify` at the command line; what it verifies is in tests/testing."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from click.testing import Result

from planner.scenario import Scenario
from planner.testing import verify
from planner.testing.rows import Mean, Row, by_chance, for_sure

Planner = Callable[..., Result]
LONG = "another queue whose name is so long that it takes two lines"
RIGHT = by_chance("queues", "a queue", "h", 0.5, Mean(0.51, 0.01, 39), "a book")
EXACT = for_sure("one bucket", "ingots [all]", "kg", 24.5, 24.5, 1e-6, "by hand")
WRONG = by_chance(
    "queues",
    LONG,
    "h",
    0.5,
    Mean(0.9, 0.01, 39),
    "a book",
)


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[str]]:
    """Let these rows be what is found; the titles of what was watched come back."""
    watched: list[str] = []

    def finds(*rows: Row | type[BaseException]) -> list[str]:
        def found(scenario: Scenario) -> Iterator[Row]:
            watched.append(scenario.title)
            for row in rows:
                if isinstance(row, Row):
                    yield row
                else:
                    raise row

        monkeypatch.setattr(verify, "verify", found)
        return watched

    return finds


def test_it_ends_with_0_where_all_agree(planner: Planner, told: Callable[..., list[str]]) -> None:
    watched = told(RIGHT, EXACT)
    found = planner("verify")
    assert found.exit_code == 0
    assert watched == ["A town to verify with"]
    assert "2 of 2 known answers agree." in found.stdout
    assert "FAILED" not in found.stdout
    assert found.stderr == ""


def test_it_says_what_failed_and_ends_with_1(planner: Planner, told: Callable[..., list[str]]) -> None:
    told(RIGHT, EXACT, WRONG)
    found = planner("verify")
    assert found.exit_code == 1
    assert "2 of 3 known answers agree." in found.stdout
    said = " ".join(found.stdout.split())
    assert f"FAILED: {LONG}: 0.9 instead of 0.5, allowed {WRONG.allowed:.3f}" in said


def test_its_table_fits_80_columns_and_names_every_source(
    planner: Planner, told: Callable[..., list[str]]
) -> None:
    told(RIGHT, EXACT, WRONG)
    lines = [line.rstrip() for line in planner("verify").stdout.splitlines()]
    assert max(map(len, lines)) <= 80
    (line,) = [line for line in lines if line.startswith("a queue [h]")]
    assert line.split() == ["a", "queue", "[h]", "0.5", "0.51", "0.01", "+1.0", "1", "ok"]
    assert "  1 a book" in lines
    assert "  2 by hand" in lines
    assert any("[all] [kg]" in line for line in lines)  # a name is no markup
    (line,) = [line for line in lines if line.endswith("FAILED")]
    assert line.split()[-3:] == ["+40", "1", "FAILED"]


def test_json_is_one_document_with_every_row(planner: Planner, told: Callable[..., list[str]]) -> None:
    told(RIGHT, EXACT, WRONG)
    found = planner("verify", "--format", "json")
    assert found.exit_code == 1
    document = json.loads(found.stdout)
    assert document["failed"] == 1
    assert document["scenario"]["title"] == "A town to verify with"
    right, exact, wrong = document["rows"]
    assert right["z"] == pytest.approx(1.0)
    assert right.keys() == {
        "family", "case", "unit", "expected", "got", "standard_error", "z", "allowed", "source", "verdict",
    }  # fmt: skip
    assert (exact["standard_error"], exact["z"], exact["verdict"]) == (None, None, "ok")
    assert wrong["verdict"] == "FAILED"


def test_a_scenario_of_one_s_own_is_watched(
    planner: Planner, told: Callable[..., list[str]], garden: Path
) -> None:
    watched = told(RIGHT)
    assert planner("verify", garden).exit_code == 0
    assert watched == ["A pot in the garden"]


def test_a_scenario_that_is_wrong_ends_with_2(planner: Planner, tmp_path: Path) -> None:
    (tmp_path / "odd.yaml").write_text("title: [", encoding="utf-8")
    assert planner("verify", "odd.yaml").exit_code == 2


def test_it_can_be_stopped(planner: Planner, told: Callable[..., list[str]]) -> None:
    told(RIGHT, KeyboardInterrupt)
    found = planner("verify")
    assert found.exit_code == 130
    assert found.stdout == ""
