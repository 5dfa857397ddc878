"""``planner check`` of a scenario with a package: what the package does is told as a run tells it, and ends nothing."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from functools import partial
from pathlib import Path

import pytest

from planner.study import CheckError, check, load
from planner.world.build import ModelError
from tests.plugin import oops

AT_LAST_S = 120
SCENARIO = """\
extends: garden.yaml
title: With a package
study: {patience: 2 s}
options:
  oops:
    changes:
      pricing.model: oops.price
      pricing.settings: {ask: 4 EUR/kg}
"""
LABEL = f"oops.price (oops-models {oops.VERSION})"
RUN = "replicate 0, seed 4, my.yaml:7"
TOO_LONG = "it did not end within 2 s (study.patience says how long a run may take)"
ENDED = "the process that played it ended (exit code 7)"
QUOTE = "        return self.settings.ask_per_kg"
TIN = "        return 30.0"
BUILD = "        self.settings = settings"


def written(folder: Path, root: Path, old: str, new: str) -> Path:
    """A scenario whose prices come from a package in which one line is another."""
    text = oops.SOUND.replace(old, f"        {new}")
    oops.install(folder, f"import os, time\n{text}")
    garden = root / "tests" / "study" / "garden.yaml"
    (folder / "garden.yaml").write_text(garden.read_text(encoding="utf-8"), encoding="utf-8")
    file = folder / "my.yaml"
    file.write_text(SCENARIO, encoding="utf-8")
    return file


def shell(file: Path, root: Path, *words: str) -> subprocess.CompletedProcess[str]:
    path = os.pathsep.join([str(root), str(file.parent / "site"), os.environ.get("PYTHONPATH", "")])
    return subprocess.run(
        [sys.executable, "-c", "from planner.cli import main; main()", *words],
        cwd=file.parent,
        capture_output=True,
        text=True,
        timeout=AT_LAST_S,
        env={**os.environ, "PYTHONPATH": path, "NO_COLOR": "1"},
        check=False,
    )


later = partial(pytest.param, marks=pytest.mark.long)


@pytest.mark.parametrize(
    ("old", "new", "code", "words"),
    [
        (QUOTE, "time.sleep(600)", 1, f"{LABEL}, quote, {RUN}: {TOO_LONG} (oops.py:"),
        (QUOTE, "os._exit(7)", 1, f"{LABEL}, quote, {RUN}: {ENDED}"),
        later(
            QUOTE, "return 1 / 0", 1, f"{LABEL}, quote, {RUN}: ZeroDivisionError: division by zero (oops.py:"
        ),
        later(
            QUOTE,
            "return np.random.random_sample()",
            1,
            f"{LABEL}, quote, {RUN}: it used Python's or numpy's",
        ),
        later(BUILD, "time.sleep(600)", 2, f"{LABEL}, build, my.yaml:7: {TOO_LONG} (oops.py:"),
        later(BUILD, "os._exit(7)", 1, f"{LABEL}, build, my.yaml:7: {ENDED}"),
        (BUILD, "raise ValueError('no wind')", 2, f"{LABEL}, build, my.yaml:7: no wind"),
    ],
)
def test_what_a_package_does_when_a_scenario_is_checked_is_told(
    old: str, new: str, code: int, words: str, tmp_path: Path, root: Path
) -> None:
    done = shell(written(tmp_path, root, old, new), root, "check", "my.yaml", "--option", "oops")
    assert done.stderr.startswith(words)
    assert len(done.stderr.splitlines()) == 1
    assert (done.returncode, done.stdout) == (code, "")


def test_a_sound_package_is_checked_and_may_print_what_it_likes(tmp_path: Path, root: Path) -> None:
    file = written(tmp_path, root, QUOTE, "print('asked') or time.sleep(0.01)\n        return 4.0")
    done = shell(file, root, "check", "my.yaml", "--option", "oops", "--format", "json")
    assert done.returncode == 0
    assert json.loads(done.stdout)["money"]
    assert "asked" in done.stderr


@pytest.mark.parametrize(
    ("old", "new", "error", "words"),
    [
        (
            QUOTE,
            "time.sleep(600)",
            CheckError,
            "quote, replicate 0, seed 4, .*my.yaml:7: it did not end within 2 s",
        ),
        (BUILD, "raise ValueError('no wind')", ModelError, "build, .*my.yaml:7: no wind$"),
    ],
)
def test_from_python_a_package_is_asked_in_this_process_with_the_same_clock(
    old: str,
    new: str,
    error: type[Exception],
    words: str,
    tmp_path: Path,
    root: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    file = written(tmp_path, root, old, new)
    monkeypatch.syspath_prepend(tmp_path / "site")
    sys.modules.pop("oops", None)
    with pytest.raises(error, match=words):
        check(load(file), "oops")
    sys.modules.pop("oops", None)
