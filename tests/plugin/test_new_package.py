"""`planner plugins new`: what it writes can be installed, passes its tests, and is played."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result
from typer.testing import CliRunner

from planner.cli import plugin_new
from planner.cli.app import app
from planner.plugin.protocol import KINDS
from planner.plugin.scaffold import STARTS, NewPackageError, new_package
from planner.report import folder as writing
from tests.plugin.elsewhere import Elsewhere


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder, and we are in it."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def new(*words: object) -> Result:
    return CliRunner().invoke(app, ["plugins", "new", *map(str, words)], prog_name="planner")


EVERY_KIND = """
import sys
from planner.cli.app import app
for kind in sys.argv[1:]:
    app(["plugins", "new", f"my-{kind}", "--kind", kind], prog_name="planner", standalone_mode=False)
"""
LISTED_AND_SOUND = """
import sys
import planner
from planner.cli.app import app
app(["plugins"], prog_name="planner", standalone_mode=False)
for file in sys.argv[1:]:
    app(["check", file], prog_name="planner", standalone_mode=False)
    scenario = planner.load(file)
    played = [planner.run(scenario, option=option, replicates=2) for option in scenario.options]
    levels = {str([one.levels.at(i).mean for i, _ in enumerate(one.measures)]) for one in played}
    print(file, "is played with and without:", *scenario.options, len(levels), "results")
"""
"""What commands do, one after the other in one process: starting one takes longer than what it does."""


@pytest.mark.long
def test_a_package_written_by_an_installed_planner_is_installed_passes_its_tests_and_is_compared(
    elsewhere: Elsewhere, tmp_path: Path
) -> None:
    """Of a pricing model the guide's commands do the same, in the suite."""
    folders = [tmp_path / f"my-{kind}" for kind in KINDS]
    elsewhere.python("-c", EVERY_KIND, *KINDS, cwd=tmp_path)
    elsewhere.install(*folders)
    examples = [folder / f"{folder.name}.yaml" for folder in folders]
    said = elsewhere.python("-c", LISTED_AND_SOUND, *examples)
    assert [kind for kind in KINDS if f"my_{kind}.{STARTS[kind].model}" not in said] == []
    assert said.count("is sound") == len(KINDS)
    for kind, example in zip(KINDS, examples, strict=True):
        assert f"{example} is played with and without: as today {STARTS[kind].option} 2 results" in said
    ran = elsewhere.python(
        "-m", "pytest", "-q", "-W", "error", "-p", "no:cacheprovider", *(folder / "tests" for folder in folders),
        cwd=tmp_path,
    )  # fmt: skip
    assert " passed" in ran
    out = tmp_path / "out"
    elsewhere.planner("compare", examples[0], "--replicates", "1", "--out", out)
    manifest = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["options"] == ["as today", "with over yard"]
    assert manifest["versions"]["planner-my-pricing"] == "0.1.0"


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_written_is_laid_out_as_our_own_code(kind: Any, here: Path, root: Path) -> None:
    assert new("stall", "--kind", kind).exit_code == 0
    ruff = [sys.executable, "-m", "ruff"]
    ours = [
        "--no-cache",
        "--config",
        root / "pyproject.toml",
        "--config",
        f'src=["{root}", "{here}/stall/src"]',
    ]
    for words in (["check"], ["format", "--check"]):
        done = subprocess.run([*ruff, *words, *ours, "stall"], capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stdout


def test_the_package_lies_in_a_folder_of_its_name_and_says_what_comes_next(here: Path) -> None:
    found = new("stall-price", "--kind", "pricing")
    files = sorted(path.relative_to(here).as_posix() for path in here.rglob("*") if path.is_file())
    assert files == [
        "stall-price/README.md",
        "stall-price/pyproject.toml",
        "stall-price/src/planner_stall_price/__init__.py",
        "stall-price/src/planner_stall_price/py.typed",
        "stall-price/stall-price.yaml",
        "stall-price/tests/test_stall_price.py",
    ]
    assert "stall_price.over_yard, a pricing model, in stall-price:" in found.stdout
    assert "  planner check stall-price/stall-price.yaml\n" in found.stdout


def test_another_folder_can_be_named(here: Path) -> None:
    found = json.loads(new("stall", "--kind", "rates", "--into", "deep/er", "--format", "json").stdout)
    assert found["model"] == "stall.together"
    assert found["folder"] == "deep/er"
    assert [name for name in found["files"] if not (here / "deep" / "er" / name).is_file()] == []
    assert not (here / "stall").exists()


@pytest.mark.parametrize("make", [Path.mkdir, Path.touch, lambda place: place.symlink_to("nowhere")])
def test_nothing_that_is_there_is_overwritten(make: Any, here: Path) -> None:
    make(here / "stall")
    found = new("stall", "--kind", "pricing")
    assert found.exit_code == 2
    assert found.stderr.startswith("stall is there already, and nothing in it is overwritten")
    assert [path.name for path in here.rglob("*")] == ["stall"]


def test_a_package_is_written_whole_or_not_at_all(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write = writing._write_file

    def full(path: Path, content: bytes) -> None:
        if path.name == "py.typed":
            raise OSError(28, "No space left on device")
        write(path, content)

    monkeypatch.setattr(writing, "_write_file", full)
    found = new("stall", "--kind", "pricing")
    assert found.exit_code == 1
    assert "the disk is full: nothing was written into stall" in found.stderr
    assert list(here.iterdir()) == []


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("Stall Price", "'Stall Price' cannot be a package's name"),
        ("Stall Price", "such as stall-price"),
        ("stall_price", "such as stall-price"),
        ("stall--price", "such as stall-price"),
        ("planner-stall", "such as stall"),
        ("3-stalls", "such as stalls"),
        ("../stall", "such as stall"),
        ("a" * 41, "at most 40"),
        ("??", "such as stall-price"),
        ("core", "'core' is the planner's own name; take another, such as my-core"),
        ("planner", "'planner' is the planner's own name"),
        ("measured", "planner-measured-weather 0.1.0 offers models called 'measured' already"),
    ],
)
def test_a_bad_name_is_refused_with_the_right_one(name: str, words: str, here: Path) -> None:
    found = new(name, "--kind", "pricing")
    assert found.exit_code == 2
    assert words in found.stderr
    assert len(found.stderr.splitlines()) == 1
    assert list(here.iterdir()) == []


def test_the_name_that_is_proposed_can_be_used() -> None:
    for name in ("Stall Price", "planner-planner-x", "_9-a_", "É-bucket", "b" * 50):
        with pytest.raises(NewPackageError) as caught:
            new_package(name, "pricing")
        assert new_package(str(caught.value).rpartition("such as ")[2], "pricing").kind == "pricing"


def test_an_unknown_kind_is_answered_with_those_that_there_are(here: Path) -> None:
    found = new("stall", "--kind", "prices")
    assert found.exit_code == 2
    assert all(kind in found.stderr for kind in KINDS)


def test_every_kind_has_a_package_to_begin_with() -> None:
    assert tuple(plugin_new.Kind) == KINDS == tuple(STARTS)


def test_words_behind_plugins_do_not_list(here: Path) -> None:
    assert "core.shops" not in new("stall", "--kind", "pricing").stdout
