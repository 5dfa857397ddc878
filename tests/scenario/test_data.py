from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from planner.scenario.data import content_digest, find, name_of
from tests.scenario.stand_in import Still


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    inside = tmp_path / "scenarios"
    (inside / "data").mkdir(parents=True)
    (inside / "data" / "year.csv").write_text("1\n")
    (tmp_path / "secret.csv").write_text("2\n")
    return inside


def test_a_file_below_the_folder_is_found_and_written_back_by_its_name(folder: Path) -> None:
    context = {"folder": folder}
    still = Still.model_validate({"file": "data/year.csv"}, context=context)
    assert still.file == (folder / "data" / "year.csv").resolve()
    assert still.model_dump(mode="json", by_alias=True, context=context)["file"] == "data/year.csv"


def test_a_file_of_an_installed_package_is_found_and_written_back() -> None:
    path = find("pvlib:data/723170TYA.CSV", Path("/nowhere"))
    assert path.is_file()
    assert name_of(path, Path("/nowhere")) == "pvlib:data/723170TYA.CSV"


@pytest.mark.parametrize(
    "name",
    [
        "../secret.csv",
        "data/../../secret.csv",
        "/etc/hostname",
        "C:/secret.csv",
        "..\\secret.csv",
        "pvlib:../pip",
    ],
)
def test_no_name_leads_out_of_the_folder(folder: Path, name: str) -> None:
    with pytest.raises(ValueError, match=r"leads out of|no file"):
        find(name, folder)


def test_a_link_that_leads_out_is_refused(folder: Path) -> None:
    (folder / "link.csv").symlink_to(folder.parent / "secret.csv")
    with pytest.raises(ValueError, match="is a link that leads out of the scenario's folder"):
        find("link.csv", folder)


@pytest.mark.parametrize("name", ["ring.csv", "ring.csv/x.csv", f"{'x' * 300}.csv", "x/" * 3_000 + "y.csv"])
def test_names_that_lead_nowhere_are_told(folder: Path, name: str) -> None:
    (folder / "ring.csv").symlink_to("ring.csv")
    with pytest.raises(ValueError, match=r"cannot be found in the scenario's folder|no file"):
        find(name, folder)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes among its files")
def test_a_pipe_or_a_folder_is_never_opened(folder: Path) -> None:
    os.mkfifo(folder / "pipe.csv")
    for name in ("pipe.csv", "data"):
        with pytest.raises(ValueError, match="is not an ordinary file"):
            find(name, folder)


def test_a_package_is_looked_for_and_not_run(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    evil = tmp_path / "elsewhere" / "evil_package"
    evil.mkdir(parents=True)
    (evil / "__init__.py").write_text("raise AssertionError('run')\n")
    (evil / "year.csv").write_text("1\n")
    monkeypatch.syspath_prepend(str(evil.parent))
    assert find("evil_package:year.csv", folder) == evil / "year.csv"
    with pytest.raises(ValueError, match="no installed package"):
        find("evil_package.sub:year.csv", folder)
    assert "evil_package" not in sys.modules


def test_a_link_that_stays_inside_is_followed(folder: Path) -> None:
    (folder / "link.csv").symlink_to(folder / "data" / "year.csv")
    assert find("link.csv", folder) == (folder / "data" / "year.csv").resolve()


@pytest.mark.parametrize("name", ["os:path.py", "no_such_package:x", "a-b:x", "xml.dom:x"])
def test_only_a_package_with_files_is_looked_into(folder: Path, name: str) -> None:
    with pytest.raises(ValueError, match="there is no installed package"):
        find(name, folder)


def test_other_content_gives_another_digest(folder: Path) -> None:
    path = folder / "data" / "year.csv"
    before = content_digest(path)
    path.write_text("3\n")
    assert content_digest(path) != before
