from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from planner.scenario import Scenario
from planner.study import Played, Study, compare, load, run
from tests.report.browser import chromium


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


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One for all tests of a module that look at a page."""
    with chromium() as found:
        yield found
