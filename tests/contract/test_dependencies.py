"""Every package we depend on has a reason, a locked version, and comes in only where it is needed."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.contract.tree import ROOT, plugin_folders

FOLDERS = [ROOT, *plugin_folders()]


def project(folder: Path) -> dict[str, Any]:
    loaded: dict[str, Any] = tomllib.loads((folder / "pyproject.toml").read_text(encoding="utf-8"))
    return loaded


def asked_for(folder: Path) -> list[Requirement]:
    """Everything a pyproject.toml asks for, but for the planner itself."""
    table = project(folder)
    rows = list(table["project"].get("dependencies", []))
    for extra in table["project"].get("optional-dependencies", {}).values():
        rows += extra
    for group in table.get("dependency-groups", {}).values():
        rows += group
    rows += table["build-system"]["requires"]
    return [requirement for row in rows if (requirement := Requirement(row)).name != "planner"]


def locked() -> dict[str, set[str]]:
    """Locked versions of each package; more than one where they differ by Python's version."""
    versions: dict[str, set[str]] = {}
    for line in (ROOT / "requirements.txt").read_text(encoding="utf-8").splitlines():
        if match := re.match(r"^([A-Za-z0-9._-]+)==([^ ;\\]+)", line):
            versions.setdefault(canonicalize_name(match[1]), set()).add(match[2])
    return versions


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda path: path.name)
def test_every_dependency_has_a_reason_for_developers(folder: Path) -> None:
    rows = re.findall(
        r"^\| `([^`]+)` \| *(\S.*?) *\|", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"), re.M
    )
    reasons = {canonicalize_name(name): reason for name, reason in rows}
    unexplained = {
        requirement.name
        for requirement in asked_for(folder)
        if len(reasons.get(canonicalize_name(requirement.name), "")) < 10
    }
    assert unexplained == set()


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda path: path.name)
def test_every_dependency_is_locked_at_a_version_that_fits(folder: Path) -> None:
    versions = locked()
    unfit = {
        str(requirement): sorted(versions.get(canonicalize_name(requirement.name), set()))
        for requirement in asked_for(folder)
        if not (found := versions.get(canonicalize_name(requirement.name)))
        or not all(requirement.specifier.contains(version, prereleases=True) for version in found)
    }
    assert unfit == {}, "run: make lock"


def test_every_locked_package_carries_its_hashes() -> None:
    blocks = re.split(r"(?m)^(?=[A-Za-z0-9])", (ROOT / "requirements.txt").read_text(encoding="utf-8"))
    bare = [block.splitlines()[0] for block in blocks[1:] if "--hash=sha256:" not in block]
    assert len(blocks) > 20
    assert bare == []
