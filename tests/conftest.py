"""What every test shares: the project's folder, and hypothesis set so that a test fails the same way everywhere."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "planner",
    deadline=None,  # two cores shared with others: time says nothing about right and wrong
    derandomize=True,
    max_examples=50,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("planner")

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def root() -> Path:
    """Folder that holds pyproject.toml, planner/, plugins/, scenarios/."""
    return ROOT


@pytest.fixture(scope="session")
def example(root: Path) -> Path:
    """The example scenario."""
    return root / "scenarios" / "example.yaml"
