"""Data files that a scenario names by names that lead astray, or that hold no data: told in one sentence."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from planner.scenario.unseen import UNSEEN
from tests.cli.conftest import Planner

HEADER = "time,temperature [degC],wind [m/s],rain [mm],sun [W/m2]\n"
OUT = "leads out of the scenario's folder"
NO_FILE = "is not an ordinary file"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with files of every kind, below one whose files are nobody's business."""
    inside = tmp_path / "scenarios"
    (inside / "folder").mkdir(parents=True)
    (tmp_path / "outside.csv").write_text("SECRET\n")
    (inside / "link.csv").symlink_to("../outside.csv")
    (inside / "above").symlink_to("..")
    (inside / "zero.csv").symlink_to("/dev/zero")
    (inside / "ring.csv").symlink_to("ring.csv")
    os.mkfifo(inside / "pipe.csv")
    (inside / "nul.csv").write_text(f"{HEADER}2025-01-01 01:00,1\0,1,1,1\n")
    (inside / "red.csv").write_text(f"{HEADER}\x1b[31m2025,1,1,1,1\n")
    (inside / "unit.csv").write_text(
        HEADER.replace("degC", "\x1b]0;owned\x07") + "2025-01-01 01:00,1,1,1,1\n"
    )
    (inside / "word.csv").write_text("x" * 5_000_000)
    (inside / "commas.csv").write_text("," * 5_000_000)
    (inside / "long.csv").write_text(HEADER + "2025-01-01 01:00,1,1,1,1\n" * 200_000)
    return inside


@pytest.mark.parametrize("command", ["check", "run"])
@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("../outside.csv", OUT),
        ("folder/../../outside.csv", OUT),
        ("/etc/hostname", OUT),
        ("/dev/zero", OUT),
        ("link.csv", "is a link that leads out of the scenario's folder; copy the file into it"),
        ("above/outside.csv", "is a link that leads out"),
        ("zero.csv", "is a link that leads out"),
        ("ring.csv", "cannot be found in the scenario's folder"),
        ("pipe.csv", NO_FILE),
        ("folder", NO_FILE),
        ("file:///etc/hostname", "is an address; nothing is fetched from the net"),
        ("a\nb.csv", "there is no file 'a?b.csv'"),
        ("nul.csv", "nul.csv:2: '1?' in column 'temperature' is not a number"),
        ("red.csv", "red.csv:2: '?[31m2025' is no date and time"),
        ("unit.csv", "unit.csv:1: column 'temperature'"),
        ("word.csv", "word.csv:1: a cell begins here that is too long"),
        ("commas.csv", "commas.csv:1: 5,000,001 columns stand here"),
        ("long.csv", "long.csv:3: 2025-01-01 01:00:00 was given in line 2 already"),
    ],
)
def test_a_weather_file_that_is_none_is_told(
    command: str, name: str, told: str, planner: Planner, garden: Path, folder: Path
) -> None:
    weather = f"weather: {{model: measured.csv, settings: {{file: {json.dumps(name)}}}}}\n"
    (folder / "mine.yaml").write_text(garden.read_text(encoding="utf-8") + weather, encoding="utf-8")
    done = planner(command, folder / "mine.yaml")
    assert done.exit_code == 2
    assert told in done.stderr
    assert "mine.yaml:" in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert not UNSEEN.search(done.output)
    assert "SECRET" not in done.output
