"""What planner did not write is never overwritten, whatever a folder is named for."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from planner.report import (
    backtest_kept,
    fit_files,
    grow_kept,
    hinges_files,
    ladder_files,
    month_kept,
    stress_files,
)
from planner.report.own import REPORT, TRACE
from tests.cli.conftest import Planner

FEW = ("--replicates", 2)


@pytest.mark.parametrize("name", ["index.html", "runs.csv", "manifest.json", "grow.json"])
def test_a_report_is_not_written_over_files_of_others(
    name: str, planner: Planner, garden: Path, tmp_path: Path
) -> None:
    mine = tmp_path / "mine" / name
    mine.parent.mkdir()
    mine.write_text('{"a": 1}', encoding="utf-8")
    done = planner("compare", garden, *FEW, "--out", "mine")
    assert done.exit_code == 2
    assert done.stderr == (
        f'mine holds files that planner did not write and would write over ("{name}"); move them '
        "away, or name another folder (--out FOLDER)\n"
    )
    assert mine.read_text(encoding="utf-8") == '{"a": 1}'
    assert list(mine.parent.iterdir()) == [mine]


def test_a_report_is_written_over_an_earlier_one_and_beside_files_of_others(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    notes = tmp_path / "mine" / "notes.csv"
    notes.parent.mkdir()
    notes.write_text("mine", encoding="utf-8")
    for seed in (1, 2):
        done = planner("compare", garden, *FEW, "--seed", seed, "--out", "mine")
        assert done.exit_code == 0, done.stderr
    assert notes.read_text(encoding="utf-8") == "mine"
    assert {one.name for one in notes.parent.iterdir()} <= REPORT | {"notes.csv"}


def test_a_trace_is_not_written_over_an_owners_own_records(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    assert planner("records", "start", "book").exit_code == 0
    before = {one.name: one.read_bytes() for one in (tmp_path / "book").glob("*.*")}
    assert set(before) & TRACE
    done = planner("run", garden, "--trace", "book")
    assert done.exit_code == 2
    assert "holds files that planner did not write" in done.stderr
    assert {one.name: one.read_bytes() for one in (tmp_path / "book").glob("*.*")} == before
    for _ in range(2):
        done = planner("run", garden, "--trace", "other")
        assert done.exit_code == 0, done.stderr
    assert {one.name for one in (tmp_path / "other").iterdir()} <= TRACE


def test_what_is_exported_is_a_new_file(planner: Planner, garden: Path, tmp_path: Path) -> None:
    assert planner("compare", garden, *FEW, "--store", "kept").exit_code == 0
    (tmp_path / "mine.csv").write_text("mine", encoding="utf-8")
    (study,) = json.loads(planner("studies", "list", "--store", "kept", "--format", "json").stdout)["studies"]
    done = planner("studies", "export", study["id"], "mine.csv", "--store", "kept")
    assert done.exit_code == 2
    assert done.stderr == "mine.csv is there already, and nothing is overwritten; name another file\n"
    assert (tmp_path / "mine.csv").read_text(encoding="utf-8") == "mine"


def test_a_folder_without_a_name_is_none(planner: Planner, garden: Path, tmp_path: Path) -> None:
    for words in (
        ("compare", garden, "--out", ""),
        ("run", garden, "--trace", " "),
        ("compare", garden, "--store", ""),
    ):
        done = planner(*words)
        assert done.exit_code == 2
        assert "the name is empty; write one, or leave the option out" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_tilde_is_the_users_own_folder(
    planner: Planner, garden: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    assert planner("run", garden, "--trace", "~/seen").exit_code == 0
    assert (tmp_path / "home" / "seen" / "README.txt").is_file()
    assert not (tmp_path / "~").exists()


def test_every_file_of_a_report_is_known() -> None:
    modules = (backtest_kept, fit_files, grow_kept, hinges_files, ladder_files, month_kept, stress_files)
    names = ("PAGE", "TABLE", "FILE", "DOCUMENT", "LIMITS")
    files = {getattr(module, name) for module in modules for name in names if hasattr(module, name)}
    assert len(files) > 10
    assert files <= REPORT
