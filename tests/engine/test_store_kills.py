"""A study that is killed again and again on its way: ten times in the suite, thirty in ``make verify``."""

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


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
@pytest.mark.parametrize("kills", [10, pytest.param(30, marks=pytest.mark.long)])
def test_killed_at_many_moments_a_study_loses_nothing_counts_nothing_twice_and_ends_alike(
    kills: int, tmp_path: Path
) -> None:
    scenario = ROOT / "tests" / "study" / "twelve_days.yaml"
    done = subprocess.run(
        [sys.executable, "-m", "tests.engine.killed", scenario, tmp_path / "runs.sqlite", str(kills)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=AT_LAST_S,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    killed = told["killed"]
    assert len(killed) >= kills
    assert all(0 < before <= after and same for before, after, same in killed)
    assert all(after <= before for (_, after, _), (before, _, _) in pairwise(killed))
    assert killed[0][0] < killed[-1][1] <= told["rows"]
    assert told["kept"] == told["plain"]
    # the lucky charm changes nothing, so its runs are those of "as today": three rows a world and outlook
    assert told["rows"] == told["runs"]
