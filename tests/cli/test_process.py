"""The command as a shell meets it: exit codes, streams, signals."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

AT_LAST_S = 300
"""Nothing here takes more than seconds; a machine shared with others may take this long, and then it hangs."""
PLANNER = [sys.executable, "-c", "from planner.cli import main; main()"]


def shell(*words: object, cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*PLANNER, *map(str, words)],
        cwd=cwd,
        capture_output=True,
        text=True,
        timeout=AT_LAST_S,
        env={**os.environ, "NO_COLOR": "1"},
        check=False,
    )


def test_exit_codes_as_a_shell_sees_them(garden: Path, tmp_path: Path) -> None:
    assert shell("check", garden, cwd=tmp_path).returncode == 0
    assert shell("check", "gone.yaml", cwd=tmp_path).returncode == 2
    assert shell("compare", cwd=tmp_path).returncode == 2
    (tmp_path / "taken").write_text("")
    assert shell("compare", garden, "--out", "taken", cwd=tmp_path).returncode == 2


def test_one_and_two_workers_write_the_same_bytes(garden: Path, tmp_path: Path) -> None:
    for workers in (1, 2):
        done = shell(
            "compare", garden, "--replicates", 36, "--workers", workers, "--seed", 3,
            "--out", f"w{workers}", "--format", "json", cwd=tmp_path,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        assert done.stderr == ""
        assert json.loads(done.stdout)["seed"] == 3
    names = sorted(path.name for path in (tmp_path / "w1").iterdir())
    assert "index.html" in names
    for name in names:
        assert (tmp_path / "w1" / name).read_bytes() == (tmp_path / "w2" / name).read_bytes()


@pytest.mark.long
def test_a_cluster_writes_the_same_bytes_as_this_process(garden: Path, tmp_path: Path) -> None:
    for engine in ("here", "dask"):
        done = shell(
            "compare", garden, "--replicates", 12, "--workers", 2, "--seed", 3, "--engine", engine,
            "--out", engine, "--format", "json", cwd=tmp_path,
        )  # fmt: skip
        assert (done.returncode, done.stderr) == (0, "")
        assert json.loads(done.stdout)["seed"] == 3
    names = sorted(path.name for path in (tmp_path / "here").iterdir())
    assert "runs.csv" in names
    for name in names:
        assert (tmp_path / "here" / name).read_bytes() == (tmp_path / "dask" / name).read_bytes()


@pytest.mark.long
def test_a_scheduler_is_for_dask_and_one_that_is_not_there_is_told(garden: Path, tmp_path: Path) -> None:
    there = ("--scheduler", "tcp://127.0.0.1:1")
    wrong = shell("compare", garden, "--engine", "processes", *there, cwd=tmp_path)
    assert (wrong.returncode, "--scheduler is for --engine dask" in wrong.stderr) == (2, True)
    gone = shell("compare", garden, *there, cwd=tmp_path)
    assert gone.returncode == 1
    assert gone.stderr.startswith("no scheduler can be reached at tcp://127.0.0.1:1")
    assert gone.stderr.count("\n") == 1


def children(pid: int) -> list[int]:
    try:
        return [int(word) for word in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]
    except OSError:
        return []


def alive(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="needs /proc")
def test_ctrl_c_ends_at_once_with_130_writes_nothing_and_leaves_no_process(
    garden: Path, tmp_path: Path
) -> None:
    command = [*PLANNER, "compare", str(garden), "--replicates", "20000", "--workers", "2", "--out", "o"]
    running = subprocess.Popen(
        command,
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        end = time.monotonic() + AT_LAST_S
        while len(children(running.pid)) < 2 and running.poll() is None and time.monotonic() < end:
            time.sleep(0.05)
        begun = children(running.pid)
        assert len(begun) >= 2
        time.sleep(1.0)  # some are at work, some may still be starting
        os.killpg(running.pid, signal.SIGINT)  # as a terminal does: to everybody
        out, err = running.communicate(timeout=AT_LAST_S)  # all 20000 worlds would take longer
    finally:
        running.kill()
    assert running.returncode == 130
    stopped = "Stopped before the end; no file was left half-written."
    goes_on = r" [\d,]+ runs? (is|are) kept in .*\.sqlite; the same command goes on from there:\n  planner .*"
    assert out == ""
    announced = r"To be played: [^\n]+\n"  # it would have taken long
    assert re.fullmatch(rf"{announced}{re.escape(stopped)}({goes_on})?\n", err)
    assert list(tmp_path.iterdir()) == []
    end = time.monotonic() + AT_LAST_S
    while any(map(alive, begun)) and time.monotonic() < end:
        time.sleep(0.05)
    assert not any(map(alive, begun))


def test_a_reader_that_leaves_early_is_no_fault_of_the_program(garden: Path, tmp_path: Path) -> None:
    words = [*PLANNER, "schema"]
    with subprocess.Popen(
        words, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.read(1)
        running.stdout.close()
        assert running.stderr.read() == ""
        assert running.wait(timeout=AT_LAST_S) in (0, 1)


@pytest.mark.parametrize(
    "command", ["new", "check", "run", "compare", "plugins", "studies", "schema", "fields"]
)
def test_every_command_has_its_help_and_imports_no_stage_for_it(command: str, root: Path) -> None:
    code = (
        f"import sys\nfrom planner.cli import main\nsys.argv = ['planner', '{command}', '--help']\n"
        "try:\n    main()\nexcept SystemExit as stop:\n    assert not stop.code\n"
        "late = ('planner.s', 'planner.w', 'planner.e', 'planner.r', 'rich', 'numpy')\n"
        "print([name for name in sys.modules if name.startswith(late)])"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True)
    assert f"Usage: planner {command}" in done.stdout
    assert done.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize("encoding", ["latin-1", "ascii"])
def test_a_terminal_that_does_not_know_a_letter_shows_another(
    encoding: str, garden: Path, tmp_path: Path
) -> None:
    text = garden.read_text(encoding="utf-8")
    named = tmp_path / "named.yaml"
    named.write_text(re.sub("title: .*", "title: 鉛の鍋 Ärger", text), encoding="utf-8")
    for words in (["run", str(named)], ["run", str(named), "--format", "json"]):
        done = subprocess.run(
            [*PLANNER, *words],
            cwd=tmp_path,
            capture_output=True,
            timeout=AT_LAST_S,
            env={**os.environ, "NO_COLOR": "1", "PYTHONIOENCODING": encoding},
            check=False,
        )
        assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads(done.stdout.decode(encoding))["scenario"]["title"] == "鉛の鍋 Ärger"


def test_who_closes_standard_input_is_asked_nothing(tmp_path: Path) -> None:
    done = subprocess.run(
        ["sh", "-c", '"$0" "$@" <&-', *PLANNER, "new", "mine.yaml"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=AT_LAST_S,
        check=False,
    )
    assert done.returncode == 2
    assert done.stderr.startswith("Nobody can be asked here")
