"""Studies that are kept, as a shell meets them."""

from __future__ import annotations

import csv
import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pandas as pd
import pytest

from planner.engine.player import Player
from planner.engine.store import file
from tests.cli.conftest import Planner
from tests.cli.test_process import AT_LAST_S, PLANNER, shell

GARDEN = ("--replicates", 4, "--seed", 3, "--workers", 1)


def contents(folder: Path) -> dict[str, bytes]:
    return {one.name: one.read_bytes() for one in folder.iterdir()}


def listed(planner: Planner, *words: object) -> list[dict[str, object]]:
    found = planner("studies", "list", "--format", "json", *words)
    assert found.exit_code == 0, found.output
    studies: list[dict[str, object]] = json.loads(found.stdout)["studies"]
    return studies


def runs_in(store: Path) -> int:
    with closing(sqlite3.connect(store, timeout=30.0)) as opened:
        return int(opened.execute("SELECT count(*) FROM runs").fetchone()[0])


def test_stopped_by_ctrl_c_the_same_command_goes_on_and_writes_what_it_would_have_written(
    planner: Planner, garden: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = ("compare", garden, "--replicates", 20, "--workers", 1)
    assert planner(*words, "--out", "whole", "--store", "other.sqlite").exit_code == 0
    played, play = [], Player._outcome

    def stops(player: Player, *of: object) -> object:
        if len(played) == 40:
            raise KeyboardInterrupt
        played.append(of)
        return play(player, *of)  # type: ignore[arg-type]

    monkeypatch.setattr(sys, "argv", ["planner", *map(str, words)])
    monkeypatch.setattr(Player, "_outcome", stops)
    stopped = planner(*words, "--out", "again", "--store", "runs.sqlite")
    assert stopped.exit_code == 130
    assert stopped.stdout == ""
    assert stopped.stderr == (
        "Stopped before the end; no file was left half-written. 40 runs are kept in runs.sqlite; the same command goes "
        f"on from there:\n  planner compare {garden} --replicates 20 --workers 1\n"
    )
    assert not (tmp_path / "again").exists()
    (study,) = listed(planner, "--store", "runs.sqlite")
    assert (study["runs_kept"], study["runs_wanted"], study["finished"]) == (40, 160, None)
    monkeypatch.setattr(Player, "_outcome", lambda *of: played.append(of) or play(*of))  # type: ignore[func-returns-value]
    assert planner(*words, "--out", "again", "--store", "runs.sqlite").exit_code == 0
    assert len(played) == 160
    assert contents(tmp_path / "again") == contents(tmp_path / "whole")


def test_kept_studies_are_listed_exported_drawn_anew_and_removed(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    assert planner("studies", "list").stdout.startswith("No studies are kept in ")
    assert planner("compare", garden, *GARDEN, "--out", "o").exit_code == 0
    assert (
        planner("grow", garden, "--replicates", 1, "--seed", 3, "--workers", 1, "--out", "o").exit_code == 0
    )
    text = planner("studies", "list")
    assert text.exit_code == 0
    assert max(map(len, text.stdout.splitlines())) <= 80
    compared, grown = listed(planner)
    assert (compared["command"], compared["page"], compared["runs_kept"]) == ("compare", True, 32)
    assert (grown["command"], grown["page"]) == ("grow", False)
    assert str(compared["id"]) in text.stdout
    assert "compare garden.yaml" in text.stdout

    one = str(compared["id"])
    assert planner("studies", "export", one, "runs.csv").stdout == "32 runs are in runs.csv.\n"
    assert json.loads(planner("studies", "export", one[:6], "runs.parquet", "--format", "json").stdout) == {
        "runs": 32,
        "files": ["runs.parquet"],
    }
    with (tmp_path / "runs.csv").open(encoding="utf-8", newline="") as opened:
        rows = list(csv.DictReader(opened))
    frame = pd.read_parquet(tmp_path / "runs.parquet")
    assert list(frame.columns) == list(rows[0])
    assert [float(row["profit"]) for row in rows] == frame["profit"].tolist()
    assert [row["option"] for row in rows] == frame["option"].tolist()
    wrong = planner("studies", "export", one, "runs.xlsx")
    assert (wrong.exit_code, wrong.stderr) == (2, "runs.xlsx must end in .csv or .parquet\n")

    drawn = planner("studies", "redraw", one, "--out", "drawn")
    assert drawn.exit_code == 0, drawn.output
    written = contents(tmp_path / "o")
    assert planner("compare", garden, *GARDEN, "--out", "plain").exit_code == 0
    assert contents(tmp_path / "drawn") == contents(tmp_path / "plain")
    assert written.keys() >= contents(tmp_path / "drawn").keys()
    undrawn = planner("studies", "redraw", str(grown["id"]))
    assert undrawn.exit_code == 2
    assert (
        "has no page of its own in the store; its command goes on from the runs that are kept"
        in undrawn.stderr
    )

    removed = planner("studies", "remove", one)
    assert removed.exit_code == 0
    assert removed.stdout.startswith(f"Removed {one} (compare garden.yaml), and ")
    assert [row["id"] for row in listed(planner)] == [grown["id"]]
    lost = planner("studies", "remove", one)
    assert lost.exit_code == 2
    assert f"begins with '{one}'; there are: {grown['id']} (grow garden.yaml)" in lost.stderr


def test_runs_are_kept_in_the_working_folder_wherever_the_report_goes(
    planner: Planner, garden: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("PLANNER_STORE")
    words = ("grow", garden, "--replicates", 1, "--workers", 1, "--out", "elsewhere")
    assert planner(*words).stderr == ""
    assert runs_in(tmp_path / "reports" / "runs.sqlite") > 10
    assert [one["command"] for one in listed(planner)] == ["grow"]


def test_where_the_usual_place_cannot_be_written_a_study_goes_on_without_and_says_so(
    planner: Planner, garden: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("PLANNER_STORE")
    (tmp_path / "reports").write_text("")
    words = ("grow", garden, "--replicates", 1, "--workers", 1, "--out", "elsewhere")
    done = planner(*words)
    assert done.exit_code == 0
    (told,) = done.stderr.splitlines()
    assert told.startswith(
        "Runs are not kept: runs cannot be kept in reports/runs.sqlite: nothing may be written there;"
    )
    named = planner(*words, "--store", "reports/runs.sqlite")
    assert named.exit_code == 2
    assert "nothing may be written there; name another file (--store)." in named.stderr


@pytest.mark.parametrize("kind", ["newer", "foreign"])
def test_a_store_that_is_not_for_us_is_refused_and_left_as_it_is(
    kind: str, planner: Planner, garden: Path, tmp_path: Path
) -> None:
    store = tmp_path / "mine"
    if kind == "newer":
        file.make(store)
        with closing(sqlite3.connect(store)) as opened:
            opened.execute("PRAGMA user_version=9")
    else:
        store.write_text("Dear aunt,")
    before = store.read_bytes()
    for words in (("grow", garden, "--replicates", 1, "--workers", 1), ("studies", "list")):
        done = planner(*words, "--store", store, "--format", "json")
        assert done.exit_code == 2
        told = json.loads(done.stdout)["error"]
        assert ("made by a newer planner" if kind == "newer" else "is not a store of runs") in json.dumps(
            told
        )
    assert store.read_bytes() == before


def test_a_full_disk_is_told_with_the_command_that_goes_on(
    planner: Planner, garden: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = ("compare", garden, "--replicates", 30, "--workers", 1, "--store", "runs.sqlite")
    monkeypatch.setattr(sys, "argv", ["planner", *map(str, words)])
    room = iter([1e9] * 3)
    monkeypatch.setattr("planner.engine.store.store.free_bytes", lambda path: next(room, 100.0))
    done = planner(*words)
    assert done.exit_code == 1
    assert done.stderr.startswith("the disk is full: no more runs can be written into runs.sqlite (")
    assert (
        f"runs are kept in runs.sqlite; the same command goes on from there:\n  planner compare {garden}"
        in done.stderr
    )
    assert runs_in(Path("runs.sqlite")) > 50


def test_a_damaged_store_is_told_of_and_the_study_ends_as_ever(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    words = ("grow", garden, "--replicates", 1, "--workers", 1, "--store", "runs.sqlite", "--format", "json")
    before = planner(*words)
    with closing(sqlite3.connect(tmp_path / "runs.sqlite")) as opened:
        opened.execute("UPDATE runs SET measures = zeroblob(8) WHERE id < 4")
        opened.commit()
    after = planner(*words)
    assert after.exit_code == 0
    assert after.stdout == before.stdout
    assert after.stderr.startswith("runs.sqlite was damaged; it now lies in runs.sqlite.damaged-1. ")


@pytest.mark.long
def test_killed_with_two_workers_the_same_command_writes_the_same_bytes(garden: Path, tmp_path: Path) -> None:
    words = ("compare", garden, "--replicates", 400, "--workers", 2)
    assert shell(*words, "--out", "whole", "--store", "other.sqlite", cwd=tmp_path).returncode == 0
    for _ in range(3):
        running = subprocess.Popen(
            [*PLANNER, *map(str, words), "--out", "again", "--store", "runs.sqlite"],
            cwd=tmp_path,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        store, end = tmp_path / "runs.sqlite", time.monotonic() + AT_LAST_S
        before = runs_in(store) if store.exists() else 0
        while time.monotonic() < end and not (
            store.exists() and file.kind_of(store) is file.Kind.OURS and runs_in(store) > before + 100
        ):
            time.sleep(0.01)
        os.killpg(running.pid, signal.SIGKILL)
        running.wait()
        assert runs_in(store) > before
    done = shell(*words, "--out", "again", "--store", "runs.sqlite", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert contents(tmp_path / "again") == contents(tmp_path / "whole")
