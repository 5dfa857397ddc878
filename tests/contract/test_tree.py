"""How the project's folders and modules are kept."""

from __future__ import annotations

import ast
import tomllib
from pathlib import Path

import pytest

from tests.contract.tree import ROOT, dotted_names, modules, plugin_folders, tracked, where

MOST_LINES = 400
VAGUE = {"utils", "util", "helpers", "helper", "common", "misc", "base", "impl"}
TOP = {
    "CHANGELOG.md", "DEVELOPERS.md", "LICENSE", "Makefile", "README.md", "planner", "plugins", "pyproject.toml",
    "reports", "requirements.txt", "scenarios", "tests",
}  # fmt: skip


def test_few_things_lie_at_the_top() -> None:
    top = {path.relative_to(ROOT).parts[0] for path in tracked()}
    assert {name for name in top if not name.startswith(".")} <= TOP


@pytest.mark.parametrize("folder", ["planner", "plugins"])
def test_a_module_can_be_read_in_one_sitting(folder: str) -> None:
    lines = {where(path): len(path.read_text(encoding="utf-8").splitlines()) for path in modules(folder)}
    assert {name: count for name, count in lines.items() if count > MOST_LINES} == {}


@pytest.mark.parametrize("folder", ["planner", "plugins", "tests"])
def test_a_module_is_named_for_what_it_holds(folder: str) -> None:
    vague = [where(path) for path in modules(folder) if VAGUE & set(path.stem.lower().split("_"))]
    assert vague == []


@pytest.mark.parametrize("folder", ["planner", "plugins"])
def test_a_module_says_what_it_is_for(folder: str) -> None:
    silent = [
        where(path)
        for path in modules(folder)
        if "tests" not in path.parts and not ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
    ]
    assert silent == []


def test_tests_lie_in_a_folder_for_each_stage() -> None:
    stages = {
        path.parent.relative_to(ROOT / "planner").parts[0] for path in modules("planner") if in_a_stage(path)
    }
    tested = {
        path.parent.relative_to(ROOT / "tests").parts[0] for path in modules("tests") if in_a_folder(path)
    }
    assert stages - tested == set()


def in_a_stage(path: Path) -> bool:
    return path.parent != ROOT / "planner" and path.name != "__init__.py"


def in_a_folder(path: Path) -> bool:
    return path.parent != ROOT / "tests" and path.name.startswith("test_")


@pytest.mark.parametrize("plugin", plugin_folders(), ids=lambda path: path.name)
def test_a_plugin_comes_with_its_description_an_example_and_tests(plugin: Path) -> None:
    assert (plugin / "README.md").read_text(encoding="utf-8").startswith("# ")
    project = tomllib.loads((plugin / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["name"] == f"planner-{plugin.name}"
    assert project["entry-points"]["planner.models.v1"]
    example = (
        plugin / f"{plugin.name}.yaml"
    )  # each of another name: reports lie in a folder of the scenario's name
    assert list(plugin.glob("*.yaml")) == [example]
    assert any(example.name in path.read_text("utf-8") for path in (plugin / "tests").glob("**/test_*.py"))
    assert (plugin / "src" / project["name"].replace("-", "_") / "__init__.py").is_file()


def test_a_plugin_uses_only_the_stages_before_the_workshop() -> None:
    allowed = {"plugin", "scenario", "trade", "world"}
    stray = [
        f"{where(path, line)} {name}"
        for path in modules("plugins")
        if "src" in path.parts
        for line, name in dotted_names(path)
        if name.startswith("planner.") and name.split(".")[1] not in allowed
    ]
    assert stray == []
