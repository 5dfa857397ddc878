"""`planner month` at the command line; what it finds is in tests/study."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from click.testing import Result

Planner = Callable[..., Result]
SPRING = ("--date", "2026-03-02", "--until", "2026-04-30", "--replicates", "2")


def test_the_page_is_written_and_the_answers_are_printed(planner: Planner, garden: Path) -> None:
    found = planner("month", garden, *SPRING, "--stock", "hard=40 kg", "--promised", "1", "--cash", "200 EUR",
        "--hours", "2026-03-07 10:00-15:00")  # fmt: skip
    assert found.exit_code == 0, found.output
    assert found.stderr == ""
    for words in (
        "Melt, or sell untouched",
        "40 kg hard",
        "cash: 200 EUR",
        "1 bucket promised",
        "Hours told: 2026-03-07 10:00-15:00.",
        "month.html",
    ):
        assert words in " ".join(found.stdout.split())
    assert max(map(len, found.stdout.splitlines())) <= 80
    there = sorted(path.name for path in Path("reports/garden").iterdir())
    assert there == ["month.csv", "month.html", "month.json"]


def test_json_is_one_document_and_nothing_else(planner: Planner, garden: Path, tmp_path: Path) -> None:
    found = planner("month", garden, *SPRING, "--format", "json", "--out", tmp_path / "own")
    document = json.loads(found.stdout)
    assert [one["key"] for one in document["answers"]][:2] == ["buckets", "melt"]
    assert document["today"]["start"] == "2026-03-02"
    assert document["files"][0].endswith("month.html")
    assert (tmp_path / "own" / "month.html").is_file()


def test_without_a_date_it_is_today(planner: Planner, garden: Path) -> None:
    found = planner("month", garden, "--replicates", "1", "--format", "json")
    assert json.loads(found.stdout)["today"]["start"] == date.today().isoformat()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--date", "1 March"], "--date: '1 March' is not a date; write year-month-day"),
        (["--date", "2026-03-02", "--until", "2026-02-01"], "--until: 2026-02-01 is before 2026-03-02"),
        (["--stock", "brass=4 kg"], "--stock: 'brass' is not known"),
        (["--cash", "much"], "--cash: "),
        (["--hours", "Saturday 10-15"], "--hours: 'Saturday' is not a date"),
        (["--option", "camp stoves"], "did you mean camp stove"),
        (["--outlook", "half prices"], "did you mean half price"),
    ],
    ids=lambda words: str(words)[:30],
)
def test_a_wrong_option_is_told_in_a_sentence(
    planner: Planner, garden: Path, words: list[str], told: str
) -> None:
    found = planner("month", garden, "--replicates", "2", *words)
    assert found.exit_code == 2
    assert told in found.stderr
    assert "Traceback" not in found.output
    assert not Path("reports").exists()
