from __future__ import annotations

from pathlib import Path

import pytest

from planner.study import load
from planner.testing.rows import Row
from planner.testing.verify import verify


@pytest.fixture(scope="session")
def answers(example: Path) -> tuple[Row, ...]:
    """Everything that is verified, with the example's queues and books; queues in a fourth of the runs."""
    return tuple(verify(load(example), part=4))


@pytest.fixture(scope="session")
def sharp_answers(example: Path) -> tuple[Row, ...]:
    """The same as ``planner verify`` has it."""
    return tuple(verify(load(example)))
