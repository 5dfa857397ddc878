"""Places at which no store can be: told in one sentence before anything is played, and left as they are."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Planner

CANNOT = "nothing may be written there; name another file (--store)."
NOT_OURS = "is not a store of runs; it was left as it is. Name another file (--store)."


def ring(place: Path) -> str:
    (place / "one").symlink_to("other")
    (place / "other").symlink_to("one")
    return "one"


def pipe(place: Path) -> str:
    os.mkfifo(place / "pipe")
    return "pipe"


def folder(place: Path) -> str:
    (place / "full").mkdir()
    (place / "full" / "notes.txt").write_text("mine", encoding="utf-8")
    return "full"


@pytest.mark.parametrize(
    ("made", "told"),
    [
        (lambda _: "/", CANNOT),
        (lambda _: "x" * 300, CANNOT),
        (lambda _: "x/" * 2500, CANNOT),
        (lambda _: "/proc/self/runs", CANNOT),
        (ring, CANNOT),
        (lambda _: "/dev/null", NOT_OURS),
        (pipe, NOT_OURS),
        (folder, NOT_OURS),
    ],
    ids=["the root", "a long name", "a long path", "no folder", "a ring", "a device", "a pipe", "a folder"],
)
def test_where_no_runs_can_be_kept_it_is_told(
    made: Callable[[Path], str], told: str, planner: Planner, garden: Path, tmp_path: Path
) -> None:
    store = made(tmp_path)
    before = list(tmp_path.rglob("*"))
    done = planner("compare", garden, "--replicates", 2, "--store", store)
    assert done.exit_code == 2
    assert done.stderr.strip().endswith(told)
    assert len(done.stderr.splitlines()) == 1
    assert list(tmp_path.rglob("*")) == before


def test_a_name_with_control_characters_does_nothing_to_the_terminal(
    planner: Planner, garden: Path, tmp_path: Path
) -> None:
    (tmp_path / "\x1b[31mred").write_text("not a store at all", encoding="utf-8")
    done = planner("compare", garden, "--replicates", 2, "--store", "\x1b[31mred")
    assert done.exit_code == 2
    assert NOT_OURS in done.stderr
    assert "\x1b" not in done.stderr


@pytest.mark.parametrize("name", [":memory:", "file:runs?mode=memory"])
def test_a_name_that_sqlite_takes_for_no_file_is_a_file(
    name: str, planner: Planner, garden: Path, tmp_path: Path
) -> None:
    done = planner("compare", garden, "--replicates", 2, "--store", name)
    assert done.exit_code == 0, done.stderr
    assert (tmp_path / name).read_bytes().startswith(b"SQLite format 3")
