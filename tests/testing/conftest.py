from __future__ import annotations

from pathlib import Path

import pytest

from planner.study import load
from planner.testing.rows import Row
from planner.testing.verify import verify


@pytest.fixture(scope="session")
def answers(example: Path) -> tuple[Row, ...]:
    """Everything that is verified, with the example's queues and books; played once a session."""
    return tuple(verify(load(example)))
