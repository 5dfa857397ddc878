"""What is imported when: the command line answers at once, and public names come when asked for."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import planner

HEAVY = {
    "SALib",
    "altair",
    "ema_workbench",
    "hypothesis",
    "matplotlib",
    "openpyxl",
    "pandas",
    "pexpect",
    "pint",
    "prompt_toolkit",
    "pvlib",
    "scipy",
    "simpy",
}


def loaded_after(code: str, root: Path) -> set[str]:
    """Top-level packages that a fresh interpreter holds after running ``code``."""
    tail = "\nimport json, sys\nprint('\\n' + json.dumps(sorted({name.partition('.')[0] for name in sys.modules})))"
    done = subprocess.run(
        [sys.executable, "-c", code + tail],
        cwd=root,
        check=True,
        capture_output=True,
        text=True,
        env={**os.environ, "NO_COLOR": "1"},
    )
    return set(json.loads(done.stdout.splitlines()[-1]))


@pytest.mark.parametrize(
    "arguments",
    [
        ["--help"],
        ["new", "--help"],
        ["check", "--help"],
        ["compare", "--help"],
        ["hinges", "--help"],
        ["verify", "--help"],
        ["records", "check", "--help"],
        ["backtest", "--help"],
    ],
    ids=" ".join,
)
def test_help_comes_without_the_heavy_libraries(arguments: list[str], root: Path) -> None:
    code = (
        "import sys\n"
        "from planner.cli import main\n"
        f"sys.argv = ['planner', *{arguments!r}]\n"
        "try:\n    main()\nexcept SystemExit as stop:\n    assert not stop.code, stop.code\n"
    )
    assert loaded_after(code, root) & HEAVY == set()


def test_importing_the_package_imports_no_stage(root: Path) -> None:
    assert (
        loaded_after("import planner", root) & (HEAVY | {"numpy", "pydantic", "ruamel", "typer", "rich"})
        == set()
    )


def test_every_public_name_is_there() -> None:
    assert {name for name in planner.__all__ if getattr(planner, name, None) is None} == set()
    assert set(planner.__all__) <= set(dir(planner))


def test_an_unknown_public_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'nothing_of_the_kind'"):
        planner.nothing_of_the_kind  # noqa: B018


def test_importing_a_plugin_package_is_left_until_it_is_named(root: Path) -> None:
    found = loaded_after("import planner.plugin", root)
    assert {name for name in found if name.startswith("planner_")} == set()
