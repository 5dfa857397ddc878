from __future__ import annotations

from pathlib import Path

import pytest

from planner.scenario import Scenario
from planner.study import Played, Study, compare, load, run


@pytest.fixture(scope="session")
def garden() -> Scenario:
    """A very small business with four options, one of them refused, and two outlooks."""
    return load(Path(__file__).with_name("garden.yaml"))


@pytest.fixture(scope="session")
def study(garden: Scenario) -> Study:
    return compare(garden, outlooks=["expected", "half price"])


@pytest.fixture(scope="session")
def traced(garden: Scenario) -> Played:
    return run(garden, traced=True)
