from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from planner.asking.answers import Answers
from planner.asking.questions import BY_KEY

Answered = Callable[..., Answers]
TODAY = date(2026, 11, 27)


@pytest.fixture
def answered(tmp_path: Path) -> Answered:
    """Answers as they are typed, one after the other."""

    def those(**typed: str) -> Answers:
        found = Answers(tmp_path, TODAY)
        for key, text in typed.items():
            found = found.with_typed(BY_KEY[key], text)
        return found

    return those
