"""The heaviest files end, with a told mistake or a scenario, in little memory; a hang is all that time could find."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from planner.scenario import InputError, Problem
from planner.scenario.errors import MOST_TOLD
from tests.scenario.heavy import files

MOST_MB = 500
AT_LAST_S = 300


MOST_CALLS = 12_000_000
"""Of functions, Python's own included; ten million take a second where nothing counts them (measured)."""
MOST_CALLS_OF_A_SMALL_FILE = 200_000
SOME = (
    "open brackets", "open quotes", "one long number", "dashes", "control characters", "shops", "wrong options",
    "more lines than are read", "comments", "words in quotes", "a long word with !", "keys like one that is known",
)  # fmt: skip


def cost(*names: str, root: Path) -> list[dict[str, Any]]:
    done = subprocess.run(
        [sys.executable, "-m", "tests.scenario.heavy", *names],
        cwd=root, capture_output=True, text=True, timeout=AT_LAST_S, check=True,
    )  # fmt: skip
    return [json.loads(line) for line in done.stdout.splitlines()]


@pytest.mark.parametrize("names", [SOME, pytest.param((), marks=pytest.mark.long)], ids=["some", "all"])
def test_the_heaviest_files_end_in_little_memory(names: tuple[str, ...], root: Path) -> None:
    rows = cost(*names, root=root)
    assert len(rows) == len(names or files())
    assert max(row["memory_mb"] for row in rows) < MOST_MB
    assert [row["file"] for row in rows if row["calls"] > MOST_CALLS] == []
    assert [row["file"] for row in rows if row["ended"] == "loaded"] == ["shops"]
    assert all(row["ended"].startswith("heavy.yaml:") for row in rows if row["ended"] != "loaded")


def test_no_bad_file_takes_long_or_much_memory(root: Path) -> None:
    rows = cost("bad", root=root)
    assert len(rows) > 80
    assert max(row["memory_mb"] for row in rows) < MOST_MB
    assert [row["file"] for row in rows if row["calls"] > MOST_CALLS_OF_A_SMALL_FILE] == []
    assert "loaded" not in {row["ended"] for row in rows}


def test_of_very_many_mistakes_the_first_are_told_and_the_rest_counted() -> None:
    def told(number: int) -> list[str]:
        return str(InputError.of(Problem("a.yaml", n + 1, 1, "", "is wrong") for n in range(number))).split(
            "\n"
        )

    assert told(MOST_TOLD)[-1] == f"a.yaml:{MOST_TOLD}:1: is wrong"
    assert told(MOST_TOLD + 1)[-1] == "and 1 more mistake; mend these first"
    assert told(9_604)[MOST_TOLD:] == ["and 9,504 more mistakes; mend these first"]
