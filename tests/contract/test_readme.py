"""What README shows is run."""

from __future__ import annotations

import re
import shutil
import subprocess
import tomllib
from importlib import import_module
from pathlib import Path

import pytest

from planner.cli.app import app
from planner.plugin.protocol import ENTRY_POINT_GROUP
from tests.contract.tree import ROOT, plugin_folders
from tests.fences import blocks

README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_python_of_readme_runs_and_leaves_a_report(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (code,) = (block.text for block in blocks(README) if block.form == "python")
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)
    names: dict[str, object] = {}
    exec(compile(code, "README.md", "exec"), names)
    assert "worlds" in capsys.readouterr().out
    assert (tmp_path / "reports" / "from-python" / "index.html").stat().st_size > 800_000
    again, found = names["again"], names["found"]
    assert again.findings == found.findings  # type: ignore[attr-defined]
    assert "<table" in found._repr_html_()  # type: ignore[attr-defined]


def test_every_command_that_readme_names_is_there() -> None:
    named = set(re.findall(r"^\.venv/bin/planner (\w+)", README, re.M))
    there = {command.callback.__name__ for command in app.registered_commands if command.callback}
    there |= {group.name for group in app.registered_groups if group.name}
    assert named <= there
    assert there - {"fields"} <= named


@pytest.mark.parametrize("folder", plugin_folders(), ids=lambda one: one.name)
def test_readme_says_which_packages_there_are_with_all_their_models(folder: Path) -> None:
    (row,) = re.findall(rf"^\| \[{folder.name}\]\(plugins/{folder.name}/README\.md\) \|(.*)\|$", README, re.M)
    project = tomllib.loads((folder / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    offered = {
        f"{namespace}.{provider.name}"
        for namespace, module in project["entry-points"][ENTRY_POINT_GROUP].items()
        for provider in import_module(module).planner_models()
    }
    assert set(re.findall(r"`(\w+\.\w+)`", row)) == offered


def test_without_make_every_package_is_installed_too() -> None:
    (words,) = re.findall(r"^\.venv/bin/python -m pip (install .* -e \. .*)$", README, re.M)
    told = subprocess.run(["sh", "-c", f"echo {words}"], cwd=ROOT, capture_output=True, text=True, check=True)
    named = {(ROOT / word).resolve() for word in re.findall(r"-e (\S+)", told.stdout)}
    assert named == {ROOT, *plugin_folders()}


def test_every_file_that_readme_links_to_is_there() -> None:
    if not (ROOT / ".git").exists():
        pytest.skip("not a checkout: which files are tracked is not known")
    linked = re.findall(r"\]\((?!http)([^)#]+)\)", README)
    tracked = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.splitlines()
    assert linked
    assert [name for name in linked if name not in tracked] == []
