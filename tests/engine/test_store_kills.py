"""A study that is killed thirty times on its way."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest

from tests.conftest import ROOT

AT_LAST_S = 300.0
KILLS = 30


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_killed_at_thirty_moments_a_study_loses_nothing_counts_nothing_twice_and_ends_alike(
    tmp_path: Path,
) -> None:
    scenario = ROOT / "tests" / "study" / "twelve_days.yaml"
    done = subprocess.run(
        [sys.executable, "-m", "tests.engine.killed", scenario, tmp_path / "runs.sqlite", str(KILLS)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=AT_LAST_S,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    killed = told["killed"]
    assert len(killed) == KILLS
    assert all(0 < before <= after and same for before, after, same in killed)
    assert all(after <= before for (_, after, _), (before, _, _) in pairwise(killed))
    assert killed[0][0] < killed[-1][1] <= told["rows"]
    assert told["kept"] == told["plain"]
    # the lucky charm changes nothing, so its runs are those of "as today": three rows a world and outlook
    assert told["rows"] == told["runs"]
