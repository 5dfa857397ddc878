"""The heaviest files end, with a told mistake or a scenario, in little memory; a hang is all that time could find."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.scenario.heavy import files

MOST_MB = 500
AT_LAST_S = 300


SOME = ("open brackets", "open quotes", "one long number", "escapes", "dashes", "control characters", "shops")


@pytest.mark.parametrize("names", [SOME, pytest.param((), marks=pytest.mark.long)], ids=["some", "all"])
def test_the_heaviest_files_end_in_little_memory(names: tuple[str, ...], root: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.scenario.heavy", *names],
        cwd=root, capture_output=True, text=True, timeout=AT_LAST_S, check=True,
    )  # fmt: skip
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(rows) == len(names or files())
    assert max(row["memory_mb"] for row in rows) < MOST_MB
    assert [row["file"] for row in rows if row["ended"] == "loaded"] == ["shops"]
    assert all(row["ended"].startswith("heavy.yaml:") for row in rows if row["ended"] != "loaded")
