"""What a package does wrong while it is played, as a shell meets it: told, repeatable, and nobody else's trouble."""

from __future__ import annotations

import csv
import json
import os
import shlex
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

from planner.engine import AsNeeded, Engine, Here, Outcome, worlds
from planner.engine.player import ASKED_IN_VAIN, Setting
from planner.study import load
from tests.plugin import faulty

AT_LAST_S = 300
"""Nothing here takes more than seconds; a machine shared with others may take this long, and then it hangs."""
PLANNER = [sys.executable, "-c", "from planner.cli import main; main()"]
PROCESS_ENDED = "the process that played it ended (exit code"
TOO_LONG = f"it did not end within {faulty.PATIENCE} (study.patience says how long a run may take)"
MAY_NOT = "what a model is handed, and what it has returned, may not be changed"
RAISED = "(planner_acme.py:"
FAULTS = {
    "weather": [
        ("raises", "failed", f"KeyError: 'wind' {RAISED}"),
        ("raises what is no exception", "failed", f"BaseException: no more {RAISED}"),
        ("leaves", "failed", f"it ended the program (sys.exit(3)) {RAISED}"),
        ("ends the process", "crashed", f"{PROCESS_ENDED} 7)"),
        ("is killed", "crashed", f"{PROCESS_ENDED} -9)"),
        ("sleeps", "failed", f"{TOO_LONG} {RAISED}"),
        ("never returns", "failed", f"{TOO_LONG} {RAISED}"),
        ("sleeps and takes no hint", "crashed", f"{TOO_LONG}; the process that played it was ended"),
        ("not a number", "failed", "wind_m_s holds nan at [7]; it must be from 0 to 110"),
        ("negative", "failed", "wind_m_s holds -1.0 at [7]; it must be from 0 to 110"),
        ("too short", "failed", "rain_mm has the shape (1439,); (1440,) is needed"),
        ("no array", "failed", "rain_mm is NoneType; an array of float64 is needed"),
        ("nothing", "failed", "it returned NoneType, not Weather"),
        ("changes its settings", "failed", f"it changed the settings that it was handed; {MAY_NOT}"),
        ("sets a setting", "failed", f"settings may not be changed {RAISED}"),
        ("changes the horizon", "failed", f"assignment destination is read-only; {MAY_NOT} {RAISED}"),
        ("changes the horizon by force", "failed", f"it changed the horizon that it was handed; {MAY_NOT}"),
        ("moves the horizon", "failed", f"it changed the horizon that it was handed; {MAY_NOT}"),
        ("changes the draw", "failed", "FrozenInstanceError: cannot assign to field 'seed'"),
        ("changes the draw by force", "failed", f"it changed the draw that it was handed; {MAY_NOT}"),
        ("rolls the dice", "failed", "it used Python's or numpy's global random numbers"),
    ],
    "pricing": [
        ("raises", "failed", f"KeyError: 'wind' {RAISED}"),
        ("leaves", "failed", f"it ended the program (sys.exit(3)) {RAISED}"),
        ("ends the process", "crashed", f"{PROCESS_ENDED} 7)"),
        ("sleeps", "failed", f"{TOO_LONG} {RAISED}"),
        ("not a number", "failed", "it returned nan; a price is a number from 0 up"),
        ("negative", "failed", "it returned -1.0; a price is a number from 0 up"),
        ("endless", "failed", "it returned inf; a price is a number from 0 up"),
        ("too many", "failed", "it returned array([2., 2.]); a price is a number from 0 up"),
        ("changes the stock", "failed", f"does not support item assignment; {MAY_NOT} {RAISED}"),
        ("changes the view", "failed", f"can't set attribute; {MAY_NOT} {RAISED}"),
        ("changes its settings", "failed", f"it changed the settings that it was handed; {MAY_NOT}"),
        ("rolls the dice", "failed", "it used Python's or numpy's global random numbers"),
    ],
}
EVERY = [(kind, *row) for kind, rows in FAULTS.items() for row in rows]
HOOKS = {"weather": "draw", "pricing": "quote"}


@pytest.fixture(scope="session")
def garden(root: Path) -> Path:
    return root / "tests" / "study" / "garden.yaml"


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return faulty.install(tmp_path)


def shell(folder: Path, root: Path, *words: object) -> subprocess.CompletedProcess[str]:
    path = os.pathsep.join([str(root), str(folder / "site"), os.environ.get("PYTHONPATH", "")])
    return subprocess.run(
        [*PLANNER, *map(str, words)],
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=AT_LAST_S,
        env={**os.environ, "PYTHONPATH": path, "NO_COLOR": "1"},
        check=False,
    )


class Compared(NamedTuple):
    """What a comparison of all of them left behind."""

    folder: Path
    code: int
    words: str
    failed: list[dict[str, str]]
    runs: list[dict[str, str]]


def rows(file: Path) -> list[dict[str, str]]:
    with file.open(encoding="utf-8", newline="") as open_file:
        return list(csv.DictReader(open_file))


@pytest.fixture(scope="module")
def compared(tmp_path_factory: pytest.TempPathFactory, root: Path, garden: Path) -> Compared:
    """An option for each fault, and those of the garden, which has none: all in worlds 0 and 1."""
    folder = tmp_path_factory.mktemp("faults")
    faulty.install(folder)
    faulty.scenario(folder, garden, *((kind, fault) for kind, fault, *_ in EVERY))
    words = ("compare", "acme.yaml", "--replicates", 2, "--outlook", "expected", "--workers", 2, "--out", "o")
    done = shell(folder, root, *words)
    assert done.stderr == ""
    return Compared(
        folder,
        done.returncode,
        " ".join(done.stdout.split()),
        rows(folder / "o" / "failures.csv"),
        rows(folder / "o" / "runs.csv"),
    )


@pytest.mark.parametrize(("kind", "fault", "ended", "words"), EVERY, ids=lambda one: str(one)[:40])
def test_what_a_package_does_wrong_is_told_with_all_that_it_takes_to_find_it(
    kind: str, fault: str, ended: str, words: str, compared: Compared
) -> None:
    option, line = f"{kind} {fault}", faulty.line_of(compared.folder / "acme.yaml", kind, fault)
    failure = next(one for one in compared.failed if (one["option"], one["replicate"]) == (option, "1"))
    assert failure["kind"] == ended
    assert failure["summary"].startswith(
        f"{faulty.MODELS[kind]} (planner-acme {faulty.VERSION}), {HOOKS[kind]}, replicate 1, seed 4, "
        f"acme.yaml:{line}: "
    )
    assert words in failure["summary"]
    assert shlex.split(failure["repeat"]) == [
        *("planner", "run", "acme.yaml", "--option", option, "--seed", "4", "--replicate", "1")
    ]


def test_all_other_runs_are_kept_and_the_exit_code_is_1(compared: Compared) -> None:
    assert compared.code == 1
    assert f"{len(compared.failed)} of {len(compared.runs)} runs failed" in compared.words
    sound = {(row["option"], row["replicate"]) for row in compared.runs if row["profit"]}
    failed = {(row["option"], row["replicate"]) for row in compared.failed}
    assert sound == {(row["option"], row["replicate"]) for row in compared.runs} - failed
    weather = {f"weather {fault}" for fault, *_ in FAULTS["weather"]}
    assert {option for option, replicate in sound if replicate == "0"} >= weather - {"weather none"}
    assert not [row for row in compared.failed if not row["option"].startswith(("weather ", "pricing "))]
    assert json.loads((compared.folder / "o" / "manifest.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    "option", [pytest.param("weather raises", marks=pytest.mark.long), "weather ends the process"]
)
def test_the_command_that_is_told_repeats_the_fault(option: str, compared: Compared, root: Path) -> None:
    first = next(row for row in compared.failed if row["option"] == option)
    program, *words = shlex.split(first["repeat"])
    assert program == "planner"
    again = shell(compared.folder, root, *words, "--workers", 2)
    assert again.returncode == 1
    assert " ".join(first["summary"].split()) in " ".join(again.stdout.split())


@pytest.mark.usefixtures("site")
def test_an_outsiders_model_is_listed_with_its_settings(tmp_path: Path, root: Path) -> None:
    done = shell(tmp_path, root, "plugins", "--format", "json")
    row = next(one for one in json.loads(done.stdout)["models"] if one["model"] == "acme.still")
    assert (row["kind"], row["package"], row["version"]) == ("weather", "planner-acme", faulty.VERSION)
    assert row["settings"][0] == {
        "key": "fault",
        "type": "text",
        "default": "must be written",
        "allowed": "",
        "description": "What it does wrong.",
    }


@pytest.fixture
def here(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The package, as if it were installed where this process runs."""
    monkeypatch.syspath_prepend(str(site))


def outcomes(engine: Engine, number: int, option: str) -> list[Outcome]:
    return [one for found in engine.run(worlds(["expected"], range(number), [option])) for one in found]


@pytest.mark.usefixtures("here")
def test_in_one_process_too_a_model_that_sleeps_is_cut_short(tmp_path: Path, garden: Path) -> None:
    scenario = load(faulty.scenario(tmp_path, garden, ("weather", "sleeps")))
    found = outcomes(Here(Setting(scenario, 4), patience_s=1.0), 3, "weather sleeps")
    assert [one.failure is None for one in found] == [True, False, True]
    assert found[1].failure is not None
    assert "it did not end within 1 s" in found[1].failure.summary


@pytest.mark.usefixtures("here")
def test_a_model_cannot_change_what_it_returned_before(tmp_path: Path, garden: Path) -> None:
    fault = "changes what it returned before"
    scenario = load(faulty.scenario(tmp_path, garden, ("weather", fault)))
    found = outcomes(Here(Setting(scenario, 4)), 3, f"weather {fault}")
    assert [one.failure is None for one in found] == [True, False, True]
    assert found[1].failure is not None
    assert f"read-only; {MAY_NOT} {RAISED}" in found[1].failure.summary


@pytest.mark.usefixtures("here")
def test_a_model_that_never_answers_is_not_asked_for_ever(tmp_path: Path, garden: Path) -> None:
    scenario = load(faulty.scenario(tmp_path, garden, ("pricing", "sleeps")))
    found = outcomes(Here(Setting(scenario, 4), patience_s=0.5), ASKED_IN_VAIN + 2, "pricing sleeps")
    words = [one.failure.summary for one in found if one.failure is not None]
    assert len(words) == ASKED_IN_VAIN + 2
    assert [f"in time {ASKED_IN_VAIN} times, and is not asked again" in one for one in words] == [
        *[False] * ASKED_IN_VAIN,
        True,
        True,
    ]


@pytest.mark.usefixtures("here")
def test_a_package_is_played_apart_from_us_and_the_built_in_models_are_not(
    tmp_path: Path, garden: Path
) -> None:
    from planner.engine.player import Player
    from planner.study.playing import engine_for

    def started(file: Path, workers: int) -> bool:
        setting = Setting(load(file), 4)
        with engine_for(setting, Player(setting), workers) as engine:
            assert isinstance(engine, AsNeeded)
            list(engine.run(worlds(["expected"], [0], ["as today"])))
            return engine._beside is not None

    package = faulty.scenario(tmp_path, garden, ("weather", "none"))
    assert [started(package, workers) for workers in (1, 2)] == [False, True]
    assert not started(garden, 2)
