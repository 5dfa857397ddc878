"""`planner stress` at the command line, with the small business in the garden."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

Planner = Callable[..., Result]
HOUR = "owner.hour_price=2 EUR/h..30 EUR/h"


def test_a_range_is_answered_and_written(planner: Planner, garden: Path, tmp_path: Path) -> None:
    found = planner("stress", garden, HOUR, "--replicates", "10")
    assert found.exit_code == 0, found.stderr
    assert "Along owner.hour_price" in found.stdout
    assert 'The best all along from 2.0 to 30.0 EUR/h: "gift".' in found.stdout
    assert "The same 10 worlds at every point" in found.stdout
    assert "Written to reports/garden: stress-range.csv, stress-range.json" in found.stdout
    assert (tmp_path / "reports" / "garden" / "stress-range.csv").is_file()
    assert found.stderr == ""


def test_json_is_one_document_and_nothing_else(planner: Planner, garden: Path, tmp_path: Path) -> None:
    words = ("melting.moulds.count=2..6", "--points", "3", "--replicates", "3", "--option", "camp stove")
    found = planner(
        "stress", garden, *words, "--format", "json", "--out", tmp_path / "told", "--outlook", "half price"
    )
    assert found.exit_code == 0, found.stderr
    document = json.loads(found.stdout)
    assert document["options"] == ["as today", "camp stove"]
    assert document["outlook"] == "half price"
    assert document["along"][0]["points"] == [2.0, 4.0, 6.0]
    assert document["runs"] == 3 * 3 * 2
    assert [Path(name).name for name in document["files"]] == ["stress-range.csv", "stress-range.json"]


def test_two_ranges_make_a_map(planner: Planner, garden: Path) -> None:
    found = planner(
        "stress", garden, HOUR, "pricing.settings.private.**=0.5..1.5", "--points", "2", "--replicates", "2"
    )
    assert found.exit_code == 0, found.stderr
    assert 'The best of 4 places: A "gift" at 4.' in found.stdout
    assert "2 worlds are too few to say how sure a mean is" in found.stdout


def test_without_a_range_the_standing_questions_are_answered(planner: Planner, garden: Path) -> None:
    found = planner("stress", garden, "--points", "3", "--replicates", "2")
    assert found.exit_code == 0, found.stderr
    assert found.stdout.count("?") == 6
    assert "Not asked: no option sells buckets untouched" in " ".join(found.stdout.split())
    assert "Written to reports/garden: stress.csv, stress.json" in found.stdout


def test_a_range_that_is_not_understood_is_one_document_too(planner: Planner, garden: Path) -> None:
    found = planner("stress", garden, "owner.hour_price=5", "--format", "json")
    assert found.exit_code == 2
    assert "is not understood" in json.loads(found.stdout)["error"]
    assert found.stderr == ""


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["owner.hour_prise=2 EUR/h..9 EUR/h"], "nearest to it: owner.hour_price"),
        (["melting.place=1..2"], "melting.place: it is 'roof', which has no range; only a number has one"),
        (["melting.light=0..1"], "it is yes, which has no range"),
        (
            ["owner.hour_price=2 kg..9 kg"],
            "hour_price: '2 kg' is a mass, but money per hour is needed",
        ),
        (["owner.hour_price=5"], "is not understood; write a path, = and a range"),
        ([HOUR, HOUR], "both ranges move owner.hour_price"),
        ([HOUR, HOUR, HOUR], "give one range, or two for a map"),
        (["--against", "gift"], "--against needs one range"),
        ([HOUR, "--against", "gfit"], "there is no option 'gfit'; did you mean gift?"),
        ([HOUR, "--outlook", "half prise"], "did you mean half price?"),
    ],
)
def test_what_is_wrong_is_said_and_ends_with_2(
    planner: Planner, garden: Path, tmp_path: Path, words: list[str], says: str
) -> None:
    found = planner("stress", garden, *words, "--replicates", "2")
    assert found.exit_code == 2
    assert says in " ".join(found.stderr.replace("│", " ").split())
    assert not (tmp_path / "reports").exists()
