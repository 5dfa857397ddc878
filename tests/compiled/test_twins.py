"""Compiled twins change nothing but speed, and are never older than the sources that they stand for."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

import pytest

from planner.compiled import AS_PYTHON, MODULES, PACKAGE, folder
from planner.compiled.__main__ import SLOWER

ROOT = Path(__file__).parents[2]
FILES = ("scenarios/example.yaml", "scenarios/three_years.yaml", "tests/reference/one_bucket.yaml")
WORLDS = 1


def figures() -> str:
    """Digest of all that comes of every option of an example, and of three of other files, to the last bit."""
    from planner.engine.player import Player, Setting
    from planner.plugin.registry import Registry
    from planner.scenario import load

    said = sha256()
    for file in FILES:
        scenario = load(ROOT / file, Registry())
        player = Player(Setting(scenario, seed=11))
        for option in list(scenario.options)[: None if file == FILES[0] else 3]:
            for replicate in range(WORLDS):
                run = player.run(option, "expected", replicate)
                said.update(repr((run.measures, run.notes, run.ledger, run.melts)).encode())
    return said.hexdigest()


def told(code: str, root: Path = ROOT, **variables: str) -> str:
    """What a process of its own prints."""
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=root,
        env={**os.environ, "PYTHONPATH": str(root), **variables},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    """Planner in another place, without twins."""
    shutil.copytree(PACKAGE, tmp_path / "planner", ignore=shutil.ignore_patterns("twins", "__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def test_compiled_and_as_python_the_figures_are_the_same_to_the_last_bit() -> None:
    if not folder().is_dir():
        if os.environ.get("PLANNER_NEEDS_COMPILER"):
            pytest.fail("nothing is compiled: see what make setup says")
        pytest.skip("NOT COMPILED: make setup says why; the figures of compiled runs were not compared")
    code = (
        "from planner.compiled import in_use; from tests.compiled.test_twins import figures;"
        "print(figures(), in_use())"
    )
    compiled, plain = told(code).split(), told(code, **{AS_PYTHON: "1"}).split()
    assert (compiled[1], plain[1]) == ("True", "False")
    assert compiled[0] == plain[0]


def test_every_module_with_a_twin_exists() -> None:
    assert [module for module in MODULES if not (PACKAGE / f"{module}.py").is_file()] == []


@pytest.mark.parametrize("changed", ["trade/heat.py", "scenario/clock.py", "compiled/__main__.py"])
def test_a_changed_source_is_played_as_it_stands_and_not_by_its_old_twin(copied: Path, changed: str) -> None:
    where = "from planner.compiled import folder; print(folder())"
    before = Path(told(where, copied).strip())
    assert before.parent == copied / "planner" / "compiled" / "twins"
    with (copied / "planner" / changed).open("a") as source:
        source.write("# changed\n")
    after = Path(told(where, copied).strip())
    assert after != before


def test_twins_that_cannot_be_loaded_here_are_not_used(copied: Path) -> None:
    where = "from planner.compiled import folder; print(folder())"
    folder_there = Path(told(where, copied).strip())
    folder_there.mkdir(parents=True)
    ending = told("import sysconfig; print(sysconfig.get_config_var('EXT_SUFFIX'))").strip()
    (folder_there / f"twins_of_planner__mypyc{ending}").write_bytes(b"of another machine")
    played = told(
        "import planner.trade.heat as heat; from planner.compiled import in_use; print(heat.__file__, in_use())",
        copied,
    )
    assert played.split() == [str(copied / "planner" / "trade" / "heat.py"), "False"]


def made(root: Path, **variables: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "planner.compiled"],
        cwd=root,
        env={**os.environ, "PYTHONPATH": str(root), **variables},
        capture_output=True,
        text=True,
        check=False,
    )


def test_without_a_compiler_it_is_said_and_planner_works_all_the_same(copied: Path) -> None:
    done = made(copied, CC="no-such-compiler")
    assert done.returncode == 0
    assert done.stdout == (
        f"Not compiled: there is no C compiler (Debian: apt-get install gcc python3-dev). {SLOWER}\n"
    )
    assert not (copied / "planner" / "compiled" / "twins").exists()


def test_where_compiling_fails_the_reason_is_told_and_nothing_is_left_behind(copied: Path) -> None:
    (copied / "planner" / "trade" / "pot.py").write_text("def (\n")
    done = made(copied)
    assert done.returncode == 0
    assert "planner/trade/pot.py:1: error" in done.stderr
    assert done.stdout.endswith(f"Not compiled. {SLOWER}\n")
    assert list((copied / "planner" / "compiled" / "twins").iterdir()) == []
