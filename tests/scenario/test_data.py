from __future__ import annotations

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
