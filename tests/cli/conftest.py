from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result
from typer.testing import CliRunner

from planner.cli.app import app

Planner = Callable[..., Result]


@pytest.fixture(scope="session")
def garden(root: Path) -> Path:
    """The very small business of the study's tests."""
    return root / "tests" / "study" / "garden.yaml"


@pytest.fixture
def planner(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Planner:
    """Run a command in an empty folder."""
    monkeypatch.chdir(tmp_path)

    def call(*words: object) -> Result:
        return CliRunner().invoke(app, [str(word) for word in words], prog_name="planner")

    return call
