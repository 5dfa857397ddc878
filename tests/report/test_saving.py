from __future__ import annotations

import csv
import hashlib
import json
import re
from pathlib import Path

import pytest

from planner.report.saving import save_study
from planner.report.trace import save_trace
from planner.study import Played, Study, tables
from planner.study.failures import FailedRun
from tests.report.made import LIFTING, study, swings, three


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_runs_have_one_row_each_and_nothing_that_depends_on_clock_or_worker(
    tmp_path: Path, garden_study: Study
) -> None:
    save_study(garden_study, tmp_path / "a")
    found = rows(tmp_path / "a" / "runs.csv")
    assert list(found[0])[:5] == ["option", "outlook", "replicate", "used_for", "profit"]
    assert list(found[0])[4:] == [one.name for one in garden_study.measures]
    assert len(found) == 4 * 3  # one option is refused by its own settings, and so not played
    save_study(garden_study, tmp_path / "b")
    for name in ("runs.csv", "options.csv", "failures.csv", "manifest.json"):
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


def test_columns_of_options_begin_with_what_a_choice_is_read_from() -> None:
    columns = tables.options(study(three())).columns
    assert columns[:9] == (
        "option", "outlook", "refused", "start_up_cost", "resale", "profit_after_hours_mean",
        "profit_after_hours_low", "profit_after_hours_high", "profit_after_hours_difference_mean",
    )  # fmt: skip
    assert columns[11] == "profit_mean"
    assert columns[-3:] == ("runs", "failed", "pairing_saved")
    assert len(set(columns)) == len(columns)


def test_options_have_mean_low_high_of_level_and_difference(tmp_path: Path) -> None:
    made = study(three(), refused={"bigger pot": (LIFTING,)}, outlooks=("expected", "bad"))
    save_study(made, tmp_path)
    found = rows(tmp_path / "options.csv")
    assert [(row["option"], row["outlook"]) for row in found[:2]] == [
        ("as today", "expected"),
        ("as today", "bad"),
    ]
    burner = found[2]
    gain = made.difference("bigger burner", "profit_after_hours")
    assert float(burner["profit_after_hours_mean"]) == made.level("bigger burner", "profit_after_hours").mean
    assert float(burner["profit_after_hours_difference_low"]) == gain.low
    assert float(burner["profit_after_hours_difference_high"]) == gain.high
    assert float(burner["start_up_cost"]) == 90.0
    assert float(burner["pairing_saved"]) > 10
    assert found[4]["refused"] == "lifting"


def test_a_failed_run_is_an_empty_row_and_a_row_of_failures(tmp_path: Path) -> None:
    values = three()
    values["bigger pot"][3] = float("nan")
    failure = FailedRun("bigger pot", "expected", 3, "failed", "ValueError: no", "line\nline", "planner run")
    save_study(study(values, failures=(failure,)), tmp_path)
    bad = [row for row in rows(tmp_path / "runs.csv") if row["profit"] == ""]
    assert [(row["option"], row["replicate"]) for row in bad] == [("bigger pot", "3")]
    assert rows(tmp_path / "failures.csv")[0]["repeat"] == "planner run"
    counted = next(row for row in rows(tmp_path / "options.csv") if row["option"] == "bigger pot")
    assert (counted["runs"], counted["failed"]) == ("59", "1")
    manifest = json.loads((tmp_path / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["runs"] == {"ok": 179, "failed": 1, "crashed": 0}


def test_the_manifest_says_what_the_files_were_made_from(tmp_path: Path) -> None:
    save_study(study(three()), tmp_path)
    manifest = json.loads((tmp_path / "manifest.json").read_text(encoding="utf-8"))
    assert (manifest["seed"], manifest["replicates"], manifest["scenario_digest"]) == (1, 60, "d" * 64)
    assert manifest["versions"] == {"planner": "1.2.3"}
    assert manifest["resolved"] == {"cash": {"opening": "700 EUR"}}
    assert manifest["options"] == ["as today", "bigger burner", "bigger pot"]
    for name, told in manifest["files"].items():
        assert hashlib.sha256((tmp_path / name).read_bytes()).hexdigest() == told["sha256"]


def test_an_option_named_like_a_formula_opens_harmlessly(tmp_path: Path) -> None:
    values = {"as today": swings(50), '=HYPERLINK("x")': swings(50)}
    save_study(study(values), tmp_path)
    assert rows(tmp_path / "runs.csv")[50]["option"] == '\'=HYPERLINK("x")'


def test_a_trace_is_a_folder_of_tables_with_a_page_that_explains_them(tmp_path: Path, traced: Played) -> None:
    files = save_trace(traced, tmp_path / "trace")
    names = {path.name for path in files}
    assert {
        "diary.csv", "ledger.csv", "lots.csv", "sorts.csv", "melts.csv", "loads.csv", "sales.csv", "sale_melts.csv",
        "yard.csv", "trips.csv", "hours.csv", "limits.csv", "lost.csv", "README.txt",
    } <= names  # fmt: skip
    page = (tmp_path / "trace" / "README.txt").read_text(encoding="utf-8")
    for path in files:
        if path.suffix != ".csv":
            continue
        assert f"{path.name}: one row is" in page
        header = path.read_text(encoding="utf-8").splitlines()[0].split(",")
        for column in header:
            assert f"\n  {column}: " in page
    assert "TO ADD THE CASH UP BY HAND" in page
    assert "TO FOLLOW ONE LOT" in page


def test_the_page_says_how_the_profit_follows_and_its_sum_is_right(tmp_path: Path, traced: Played) -> None:
    save_trace(traced, tmp_path / "trace")
    page = (tmp_path / "trace" / "README.txt").read_text(encoding="utf-8")
    found = re.search(r"\((\S+) - (\S+)\) / (\S+) \+ (\S+) = (\S+)\. Change of stock", page)
    assert found
    last, first, years, stock, profit = map(float, found.groups())
    assert (last - first) / years + stock == pytest.approx(profit, abs=0.03)
    assert profit == pytest.approx(traced.level("profit").mean, abs=0.01)
    hours = re.search(r"price: (\S+) - (\S+) h x (\S+) = (\S+)\.\n", page)
    assert hours
    before, worked, price, after = map(float, hours.groups())
    assert before - worked * price == pytest.approx(after, abs=0.05)


def test_the_cash_adds_up_from_the_file_to_what_the_page_says(tmp_path: Path, traced: Played) -> None:
    save_trace(traced, tmp_path / "trace")
    total = sum(float(row["amount"]) for row in rows(tmp_path / "trace" / "ledger.csv"))
    page = (tmp_path / "trace" / "README.txt").read_text(encoding="utf-8")
    assert f"The sum is the cash at the end ({total:.2f})" in page


def test_without_a_trace_there_is_nothing_to_save(tmp_path: Path, traced: Played) -> None:
    from dataclasses import replace

    with pytest.raises(ValueError, match="no trace"):
        save_trace(replace(traced, trace=None), tmp_path)
