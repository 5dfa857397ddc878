from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from planner.report import folder
from planner.report.folder import OutputError, check_folder, write_folder


def test_a_new_folder_appears_whole(tmp_path: Path) -> None:
    made = write_folder(tmp_path / "deep" / "er", {"a.csv": b"1", "b.json": b"2"})
    assert [path.read_bytes() for path in made] == [b"1", b"2"]
    assert sorted(path.name for path in (tmp_path / "deep").iterdir()) == ["er"]
    assert (tmp_path / "deep" / "er").stat().st_mode & 0o777 == 0o777 & ~umask()


def umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def test_an_old_folder_keeps_what_is_not_ours(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    (tmp_path / "a.csv").write_text("old")
    write_folder(tmp_path, {"a.csv": b"new"})
    assert (tmp_path / "a.csv").read_text() == "new"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.csv", "notes.txt"]


@pytest.mark.parametrize("exists", [True, False])
@pytest.mark.parametrize("error", [KeyboardInterrupt(), OSError(errno.ENOSPC, "No space left on device")])
def test_nothing_is_half_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, exists: bool, error: BaseException
) -> None:
    target = tmp_path / "out"
    if exists:
        write_folder(target, {"a.csv": b"old", "b.csv": b"old"})
    calls: list[int] = []

    def failing(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 2:
            raise error

    monkeypatch.setattr(folder.os, "fsync", failing)
    expected = OutputError if isinstance(error, OSError) else KeyboardInterrupt
    with pytest.raises(expected):
        write_folder(target, {"a.csv": b"new", "b.csv": b"new"})
    left = {path.name: path.read_bytes() for path in target.iterdir()} if target.exists() else {}
    assert left == ({"a.csv": b"old", "b.csv": b"old"} if exists else {})
    assert [path.name for path in tmp_path.iterdir()] == (["out"] if exists else [])


def test_a_full_disk_is_told_in_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(folder.os, "fsync", full)
    with pytest.raises(OutputError, match="the disk is full: nothing was written into") as caught:
        write_folder(tmp_path / "out", {"a": b"1"})
    assert not caught.value.wrong_place


def test_a_file_in_the_way_is_told_before_anything_is_computed(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    for target in (tmp_path / "out", tmp_path / "out" / "deeper"):
        with pytest.raises(OutputError, match="is a file, not a folder; choose another folder") as caught:
            check_folder(target)
        assert caught.value.wrong_place


def test_a_folder_that_may_not_be_written_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(folder.os, "access", lambda *_: False)  # root may write anywhere
    with pytest.raises(OutputError, match="nothing may be written into"):
        check_folder(tmp_path / "new")


@pytest.mark.parametrize(
    ("number", "words", "wrong_place"),
    [
        (errno.EROFS, "nothing may be written", True),
        (errno.ENAMETOOLONG, "cannot be a folder", True),
        (errno.EIO, "could not be written", False),
    ],
)
def test_other_faults_of_the_disk_are_sorted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, words: str, wrong_place: bool
) -> None:
    def broken(handle: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(folder.os, "fsync", broken)
    with pytest.raises(OutputError, match=words) as caught:
        write_folder(tmp_path / "out", {"a": b"1"})
    assert caught.value.wrong_place is wrong_place


def test_where_nothing_may_be_written_nothing_is_computed_first(tmp_path: Path) -> None:
    check_folder(tmp_path / "new" / "folder")
    assert list(tmp_path.iterdir()) == []
