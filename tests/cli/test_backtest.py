"""`planner backtest` at the command line; what it finds is in tests/fit."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from planner.records.tables import TABLES
from planner.records.writing import Units, csv_text, rows_as_written
from tests.fit.looks import MARKET, kept, market

Planner = Callable[..., Result]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The market's tables, as its owner wrote them."""
    place, units = tmp_path_factory.mktemp("market") / "records", Units("EUR", "kg")
    place.mkdir()
    every = kept(market(), 2)
    for name, table in TABLES.items():
        rows = every[name].to_dict("records")
        if rows:
            text = csv_text(table, rows_as_written(table, rows, units), units)
            (place / f"{name}.csv").write_text(text, encoding="utf-8")
    return place


def test_an_owner_s_tables_are_fitted_and_judged_and_the_page_is_written(
    planner: Planner, folder: Path
) -> None:
    found = planner("backtest", MARKET, "--records", folder, "--replicates", "40", "--split", "2026-04-20")
    assert found.exit_code == 0, found.output
    text = " ".join(found.stdout.split())
    for words in (
        "Does the model say what happened?",
        "Is it better than “same as last month”?",
        "Fitted on 5 Jan 2026 to 19 Apr 2026: ",
        "Judged on 20 Apr 2026 to",
        "backtest.html",
    ):
        assert words in text
    assert "nothing was estimated" not in text
    assert max(map(len, found.stdout.splitlines())) <= 80
    there = sorted(path.name for path in Path("reports/market").iterdir())
    assert there == ["backtest.csv", "backtest.html", "backtest.json"]


def test_json_is_one_document_and_the_same_seed_gives_the_same(
    planner: Planner, folder: Path, tmp_path: Path
) -> None:
    words = (
        "backtest",
        MARKET,
        "--records",
        folder,
        "--replicates",
        "3",
        "--format",
        "json",
        "--out",
        tmp_path / "o",
    )
    first, second = (planner(*words) for _ in range(2))
    document = json.loads(first.stdout)
    assert [one["key"] for one in document["answers"]] == ["amounts", "sureness", "last", "mend"]
    assert document["estimates"]
    assert first.stdout == second.stdout


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--split", "soon"], "--split: 'soon' is not a date; write year-month-day"),
        (["--split", "2026-01-20"], "--split: the records begin on 2026-01-0"),
        (["--records", "nowhere"], "nowhere"),
    ],
)
def test_what_cannot_be_is_told_with_exit_code_2(
    planner: Planner, folder: Path, words: list[str], told: str
) -> None:
    found = planner("backtest", MARKET, "--records", folder, *words)
    assert found.exit_code == 2
    assert told in found.stderr
    assert not Path("reports").exists()


def test_too_few_weeks_say_how_many_are_needed(planner: Planner, tmp_path: Path) -> None:
    place = tmp_path / "few"
    place.mkdir()
    (place / "sales.csv").write_text(
        "date,sold [kg],price [EUR/kg]\n2026-03-02,5,4\n2026-04-02,5,4\n", encoding="utf-8"
    )
    found = planner("backtest", MARKET, "--records", place)
    assert found.exit_code == 2
    assert "12 weeks are needed, 8 to fit on and 4 to judge on" in found.stderr
