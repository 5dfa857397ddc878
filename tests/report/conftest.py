from __future__ import annotations

from pathlib import Path

import pytest

from planner.scenario import Scenario
from planner.study import Played, Study, compare, load, run


@pytest.fixture(scope="session")
def garden(root: Path) -> Scenario:
    """The very small business of the study's tests."""
    return load(root / "tests" / "study" / "garden.yaml")


@pytest.fixture(scope="session")
def garden_study(garden: Scenario) -> Study:
    return compare(garden, replicates=3)


@pytest.fixture(scope="session")
def garden_outlooks(garden: Scenario) -> Study:
    """Every option under two outlooks, enough worlds for an answer."""
    return compare(garden, replicates=50, outlooks=["expected", "half price"])


@pytest.fixture(scope="session")
def traced(garden: Scenario) -> Played:
    return run(garden, traced=True)
