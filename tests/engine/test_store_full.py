"""No room on the disk: told in plain words, and what was committed is there."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from planner.engine import Store, Stored, StoreError, worlds
from planner.engine.here import Here
from tests.conftest import ROOT
from tests.engine.keeping import ID, TOLD, WORK, Counted, Named, bits, kept_in, ordered, plainly, playing

AT_LAST_S = 300.0
MUCH = worlds(["expected"], range(2000), ["as today", "post"], "expected")


def kept(path: Path) -> int:
    with closing(sqlite3.connect(path)) as opened:
        assert opened.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        return int(opened.execute("SELECT count(*) FROM runs").fetchone()[0])


def test_a_full_disk_is_told_and_the_study_goes_on_once_there_is_room(tmp_path: Path) -> None:
    path, first, second = tmp_path / "runs.sqlite", Counted(), Counted()

    def until_it_is_full() -> None:
        with Store(path) as store:
            store.begin(ID, TOLD)
            store._do(lambda opened: opened.execute("PRAGMA max_page_count=28"))
            with Stored(Here(first), store, Named()) as engine:
                list(engine.run(WORK))

    with pytest.raises(
        StoreError, match=r"the disk is full: no more runs can be written into .*runs\.sqlite"
    ) as told:
        until_it_is_full()
    assert "MB are free there" in str(told.value)
    assert "Make room: what was written is kept" in str(told.value)
    assert not told.value.wrong_input
    there = kept(path)
    assert 0 < there < len(first.played)
    assert bits(playing(path, second)) == bits(plainly())
    assert len(second.played) == 180 - there


def test_a_limit_on_the_size_of_files_is_told_too(tmp_path: Path) -> None:
    path = tmp_path / "runs.sqlite"
    code = (
        "import sys, resource; from pathlib import Path\n"
        "from planner.engine import StoreError\n"
        "from tests.engine.test_store_full import MUCH, Counted, kept_in\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (300_000, 300_000))\n"
        "try:\n"
        "    with kept_in(Path(sys.argv[1]), Counted()) as engine:\n"
        "        list(engine.run(MUCH))\n"
        "except StoreError as error:\n"
        "    sys.exit(str(error))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, path], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 1
    assert "a limit on the size of files, is in the way. What was written before is kept" in done.stderr
    there, player = kept(path), Counted()
    assert 0 < there < 4000
    with kept_in(path, player) as engine:
        assert bits(ordered(engine.run(MUCH))) == bits(plainly(MUCH))
    assert len(player.played) == 4000 - there


def test_too_little_room_is_told_before_anything_is_played(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("planner.engine.store.store.free_bytes", lambda path: 1_000_000)
    player = Counted()
    with (
        pytest.raises(StoreError, match=r"the disk is full: 4,000 runs take 6 MB or more in"),
        kept_in(tmp_path / "runs.sqlite", player) as engine,
    ):
        list(engine.run(MUCH))
    assert player.played == []


def test_room_that_runs_out_on_the_way_is_seen_before_it_is_gone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    free, path, player = [1e9], tmp_path / "runs.sqlite", Counted()
    monkeypatch.setattr("planner.engine.store.store.free_bytes", lambda path: free[0])

    def until_it_is_full() -> None:
        with kept_in(path, player) as engine:
            for number, _ in enumerate(engine.run(WORK)):
                if number == 30:
                    free[0] = 1e4

    with pytest.raises(StoreError, match="the disk is full"):
        until_it_is_full()
    assert kept(path) in (51, 90, 93)
    free[0] = 1e9
    assert bits(playing(path, Counted())) == bits(plainly())


SMALL_DISK = r"""
set -eu
mkdir disk
mount -t tmpfs -o size=1500k tmpfs disk
"$PYTHON" -c "$PLAY" "$SCENARIO" && exit 91
cp disk/runs.sqlite* first
mount -o remount,size=20m disk
"$PYTHON" -c "$PLAY" "$SCENARIO"
cp disk/runs.sqlite* second
umount disk
"""
PLAY = """
import sys
from planner.engine import StoreError
from planner.study import compare, load
try:
    study = compare(load(sys.argv[1]), replicates=60, outlooks=["expected", "half price"], store="disk/runs.sqlite")
except StoreError as error:
    sys.exit(str(error))
print(study.runs_played)
"""


def _may_mount(words: list[str], place: Path) -> bool:
    if shutil.which(words[0]) is None:
        return False
    script = 'mkdir -p "$0" && mount -t tmpfs -o size=100k tmpfs "$0" && umount "$0"'
    tried = subprocess.run(
        [*words, "sh", "-c", script, f"/tmp/planner-{os.getpid()}"], capture_output=True, check=False
    )
    return tried.returncode == 0


def test_a_real_small_disk_that_is_full_and_is_then_made_larger(tmp_path: Path) -> None:
    words = ["unshare", "-m"] if os.geteuid() == 0 else ["unshare", "-Urm"]
    if not _may_mount(words, tmp_path):
        pytest.skip("A SMALL DISK CANNOT BE MOUNTED HERE: what a full one does was tried with limits alone")
    (tmp_path / "first").mkdir()
    (tmp_path / "second").mkdir()
    scenario = ROOT / "tests" / "study" / "twelve_days.yaml"
    done = subprocess.run(
        [*words, "sh", "-c", SMALL_DISK],
        cwd=tmp_path,
        env={**os.environ, "PYTHON": sys.executable, "PLAY": PLAY, "SCENARIO": str(scenario)},
        capture_output=True,
        text=True,
        timeout=AT_LAST_S,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr.startswith("the disk is full: no more runs can be written into disk/runs.sqlite")
    assert "Traceback" not in done.stderr
    assert done.stdout == "480\n"
    assert 0 < kept(tmp_path / "first" / "runs.sqlite") < 360
    assert kept(tmp_path / "second" / "runs.sqlite") == 360  # the lucky charm changes nothing
