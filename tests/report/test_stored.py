"""A study that was kept is read back to the bit, or not at all."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from planner.report.folder import StoredError
from planner.report.saving import PAGE, read_study, redraw, save_study
from planner.study import Study
from planner.study.failures import FailedRun
from tests.report.made import LIFTING, study, three


def same(a: Study, b: Study) -> None:
    assert np.array_equal(a.values, b.values, equal_nan=True)
    for name in (
        "subject",
        "options",
        "outlooks",
        "measures",
        "failures",
        "findings",
        "cautions",
        "warnings",
        "pictures",
        "choice",
    ):
        assert getattr(a, name) == getattr(b, name), name
    assert dict(a.refusals) == dict(b.refusals)
    assert (a.months is None) == (b.months is None)
    if a.months is not None and b.months is not None:
        assert (a.months.months, a.months.figures) == (b.months.months, b.months.figures)
        assert np.array_equal(a.months.middle, b.months.middle, equal_nan=True)
    assert list(a.samples) == list(b.samples)
    for purpose, sample in a.samples.items():
        other = b.samples[purpose]
        assert np.array_equal(sample.values, other.values, equal_nan=True)
        assert (sample.options, sample.outlooks, sample.first_world) == (
            other.options,
            other.outlooks,
            other.first_world,
        )


def test_a_played_study_is_read_back_to_the_bit(garden_outlooks: Study, tmp_path: Path) -> None:
    save_study(garden_outlooks, tmp_path)
    same(read_study(tmp_path), garden_outlooks)


def test_failures_refusals_and_names_like_formulas_survive(tmp_path: Path) -> None:
    values = three()
    values["=1+1"] = values.pop("bigger pot")
    values["=1+1"][3] = float("nan")
    failure = FailedRun("=1+1", "expected", 3, "failed", "ValueError: no", "line\nline", "planner run")
    made = study(values, failures=(failure,), refused={"=1+1": (LIFTING,)}, outlooks=("expected", "bad"))
    save_study(made, tmp_path)
    same(read_study(tmp_path), made)


def test_a_page_is_drawn_anew_without_playing_and_nothing_else_is_touched(
    garden_outlooks: Study, tmp_path: Path
) -> None:
    save_study(garden_outlooks, tmp_path)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    (tmp_path / PAGE).unlink()
    _, place = redraw(tmp_path)
    assert place == tmp_path / PAGE
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


@pytest.mark.parametrize("name", ["runs.csv", "months.csv", "study.json"])
def test_a_changed_file_is_noticed(name: str, tmp_path: Path) -> None:
    save_study(study(three()), tmp_path)
    content = bytearray((tmp_path / name).read_bytes())
    content[len(content) // 2] ^= 1
    (tmp_path / name).write_bytes(bytes(content))
    with pytest.raises(StoredError, match=f"{name} is not what manifest.json says it was"):
        read_study(tmp_path)


@pytest.mark.parametrize("content", ["", "[]", "{}", '{"files": {"runs.csv": 3}}', "\x00", "[" * 100_000])
def test_a_damaged_manifest_is_told(content: str, tmp_path: Path) -> None:
    save_study(study(three()), tmp_path)
    (tmp_path / "manifest.json").write_text(content, encoding="utf-8")
    with pytest.raises(StoredError, match=r"manifest\.json is damaged"):
        read_study(tmp_path)


def forged(folder: Path, name: str, content: bytes) -> None:
    """A file of a study put in another's place, with its digest."""
    (folder / name).write_bytes(content)
    manifest = json.loads((folder / "manifest.json").read_bytes())
    manifest["files"][name]["sha256"] = hashlib.sha256(content).hexdigest()
    (folder / "manifest.json").write_text(json.dumps(manifest), encoding="utf-8")


@pytest.mark.parametrize("name", ["runs.csv", "months.csv"])
@pytest.mark.parametrize(
    "change",
    [
        lambda rows: b"",
        lambda rows: b"\xff\xfe" + rows,
        lambda rows: rows[: len(rows) // 2],
        lambda rows: rows.splitlines(keepends=True)[0],
        lambda rows: rows + rows.splitlines(keepends=True)[-1],
        lambda rows: b"x" * 200_000,
    ],
    ids=["empty", "no text", "cut", "header", "a row twice", "a word"],
)
def test_tables_that_hold_other_runs_than_the_study_are_told(
    name: str, change: Callable[[bytes], bytes], garden_outlooks: Study, tmp_path: Path
) -> None:
    save_study(garden_outlooks, tmp_path)
    forged(tmp_path, name, change((tmp_path / name).read_bytes()))
    with pytest.raises(
        StoredError, match=r"runs\.csv or months\.csv does not hold the runs that study\.json"
    ):
        read_study(tmp_path)


@pytest.mark.parametrize("number", ["1e308", "inf", "word"])
def test_figures_of_no_business_are_told(number: str, garden_outlooks: Study, tmp_path: Path) -> None:
    save_study(garden_outlooks, tmp_path)
    lines = (tmp_path / "runs.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    lines[1] = f"{lines[1].rstrip().rpartition(',')[0]},{number}\n"
    forged(tmp_path, "runs.csv", "".join(lines).encode())
    with pytest.raises(StoredError, match=r"runs\.csv or months\.csv does not hold the runs"):
        read_study(tmp_path)


@pytest.mark.parametrize("name", ["manifest.json", "runs.csv", "study.json"])
def test_what_never_ends_is_not_waited_for(name: str, tmp_path: Path) -> None:
    for number, made in enumerate((os.mkfifo, lambda path: path.symlink_to("/dev/zero"))):
        folder = tmp_path / str(number)
        save_study(study(three()), folder)
        (folder / name).unlink()
        made(folder / name)
        with pytest.raises(StoredError, match=rf"holds no whole study \(no ordinary file: {name}\)"):
            read_study(folder)


def test_a_folder_without_a_study_is_told(tmp_path: Path) -> None:
    with pytest.raises(
        StoredError, match=r"holds no whole study \(No such file or directory: manifest\.json\)"
    ):
        read_study(tmp_path)


def test_a_study_of_another_version_is_refused(tmp_path: Path) -> None:
    save_study(study(three()), tmp_path)
    kept = json.loads((tmp_path / "study.json").read_bytes())
    manifest = json.loads((tmp_path / "manifest.json").read_bytes())
    for change, said in (({"format": 99}, "format 99"), ({"findings": 3}, "another version")):
        content = json.dumps(kept | change).encode()
        (tmp_path / "study.json").write_bytes(content)
        manifest["files"]["study.json"]["sha256"] = hashlib.sha256(content).hexdigest()
        (tmp_path / "manifest.json").write_text(json.dumps(manifest), encoding="utf-8")
        with pytest.raises(StoredError, match=said):
            read_study(tmp_path)


def test_a_manifest_leads_to_no_file_outside_its_folder(tmp_path: Path) -> None:
    save_study(study(three()), tmp_path / "study")
    (tmp_path / "secret").write_text("x", encoding="utf-8")
    place = tmp_path / "study" / "manifest.json"
    manifest = json.loads(place.read_bytes())
    manifest["files"]["../secret"] = {"sha256": hashlib.sha256(b"x").hexdigest()}
    place.write_text(json.dumps(manifest), encoding="utf-8")
    with pytest.raises(StoredError, match="holds no whole study"):
        read_study(tmp_path / "study")
