from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest

from planner.engine import AsNeeded, Batch, EngineError, Here, Make, Outcome, Processes, Signs, worlds
from planner.engine.batch import Engine, grouped
from planner.interrupts import Overdue
from tests.engine.players import (
    Deadly,
    Endless,
    Gathered,
    Plain,
    Signed,
    Stillborn,
    Stuck,
    Threaded,
    Unmakable,
)

AT_LAST_S = 300.0
"""Nothing here takes more than seconds; a machine shared with others may take this long, and then it hangs."""
WORK = worlds(["expected", "hard winter"], range(6), ["as today", "bigger pot", "post"])


def in_order(found: Iterable[tuple[Outcome, ...]]) -> list[Outcome]:
    return sorted(
        (one for batch in found for one in batch), key=lambda one: (one.outlook, one.replicate, one.option)
    )


def alive(pid: int) -> bool:
    """Is the process there and not merely waiting to be collected?"""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


def eventually(holds: Callable[[], bool], seconds: float = AT_LAST_S) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if holds():
            return True
        time.sleep(0.05)
    return holds()


def test_every_option_meets_every_world_once() -> None:
    found = in_order(Here(Plain()).run(WORK))
    keys = {(one.option, one.outlook, one.replicate) for one in found}
    assert len(found) == len(keys) == 3 * 2 * 6


def test_batches_never_mix_outlooks_and_lose_no_world() -> None:
    batches = list(grouped(WORK, 4))
    assert [(one.outlook, one.replicates) for one in batches] == [
        ("expected", (0, 1, 2, 3)),
        ("expected", (4, 5)),
        ("hard winter", (0, 1, 2, 3)),
        ("hard winter", (4, 5)),
    ]


@pytest.mark.parametrize("at_once", [None, pytest.param(1, marks=pytest.mark.long), 5])
def test_processes_bring_what_this_process_brings(at_once: int | None) -> None:
    with Processes(Plain(), 2, at_once) as engine:
        assert in_order(engine.run(WORK)) == in_order(Here(Plain()).run(WORK))


def test_processes_are_kept_from_one_call_to_the_next(tmp_path: Path) -> None:
    with Processes(Gathered(tmp_path, 2), 2) as engine:
        first = {one.measures[1] for one in in_order(engine.run(WORK))}
        second = {one.measures[1] for one in in_order(engine.run(WORK))}
    assert len(first | second) == 2
    assert float(os.getpid()) not in first


def test_short_work_starts_no_process() -> None:
    with AsNeeded(Signed(), 2) as engine:
        assert {one.measures[1] for one in in_order(engine.run(WORK))} == {float(os.getpid())}


def test_one_worker_stays_in_this_process_however_long_it_takes() -> None:
    with AsNeeded(Signed(0.01), 1, worth_starting_s=0.0) as engine:
        assert {one.measures[1] for one in in_order(engine.run(WORK))} == {float(os.getpid())}


def test_long_work_moves_to_processes_and_loses_nothing(tmp_path: Path) -> None:
    work = worlds(["expected"], range(5000), ["as today"])
    with AsNeeded(Gathered(tmp_path, 3, 0.02), 2) as engine:
        found = in_order(engine.run(work))
    assert [one.replicate for one in found] == list(range(5000))
    assert len({one.measures[1] for one in found}) == 3


def test_work_that_is_surely_long_starts_processes_at_once() -> None:
    with AsNeeded(Signed(), 2, at_least_s=3.0) as engine:
        assert len(multiprocessing.active_children()) == 2
        assert [one.replicate for one in in_order(engine.run(WORK))] == sorted([*range(6)] * 3) * 2
    assert multiprocessing.active_children() == []


def test_processes_that_share_the_cores_work_with_one_thread_each(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("OPENBLAS_NUM_THREADS", raising=False)
    with Processes(Threaded(), 1) as engine:
        assert {one.measures[1] for one in in_order(engine.run(WORK))} == {1.0}
    assert "OPENBLAS_NUM_THREADS" not in os.environ


def test_no_work_is_no_trouble() -> None:
    engines: list[Engine] = [Here(Plain()), Processes(Plain(), 2), AsNeeded(Plain(), 2)]
    for engine in engines:
        with engine:
            assert list(engine.run([])) == []


def test_a_run_that_kills_its_process_is_set_aside_and_the_rest_finishes() -> None:
    with Processes(Deadly("post", 3), 2, at_once=3) as engine:
        found = in_order(engine.run(WORK))
    crashed = [one for one in found if one.failure]
    assert len(found) == 36
    assert {(one.option, one.replicate) for one in crashed} == {("post", 3)}
    assert len(crashed) == 2  # one an outlook
    assert crashed[0].failure is not None
    assert crashed[0].failure.kind == "crashed"
    assert "exit code 7" in crashed[0].failure.summary


def test_a_process_that_dies_once_costs_nothing(tmp_path: Path) -> None:
    with Processes(Deadly("post", 3, tmp_path / "scar"), 2) as engine:
        assert in_order(engine.run(WORK)) == in_order(Here(Plain()).run(WORK))


def test_a_run_that_never_ends_is_set_aside_with_what_it_was_at_and_the_rest_finishes() -> None:
    with Processes(Stuck("post", 3), 2, at_once=3, patience_s=1.0) as engine:
        found = in_order(engine.run(WORK))
    late = [one for one in found if one.failure]
    assert len(found) == 36
    assert [(one.outlook, one.option, one.replicate) for one in late] == [
        ("expected", "post", 3),
        ("hard winter", "post", 3),
    ]
    for one in late:
        assert one.failure is not None
        assert one.failure.kind == "crashed"
        assert one.failure.summary == (
            "asked for post: it did not end within 1 s (study.patience says how long a run may take); "
            "the process that played it was ended"
        )


def test_runs_that_take_long_are_waited_for_and_a_limit_that_was_set_is_kept() -> None:
    def most_s(patience_s: float | None) -> float:
        signs = Signs(patience_s)
        signs.begins()
        for _ in range(41):  # twenty seconds
            signs._tick()
        signs.begins()
        return signs.most_s

    assert (most_s(None), most_s(30.0)) == (400.0, 30.0)


def test_a_run_that_was_cut_short_does_not_make_others_wait_longer() -> None:
    signs = Signs()
    signs.begins()
    for _ in range(120):  # a minute
        signs._tick()
    with pytest.raises(Overdue):
        signs._tick()
    signs.begins()
    assert signs.most_s == 60.0


@pytest.mark.parametrize(
    ("make", "message"), [(Unmakable(), "weather file is gone"), (Stillborn(), r"exit code 3.*__main__")]
)
def test_processes_that_cannot_start_say_why(make: Make, message: str) -> None:
    with Processes(make, 2) as engine, pytest.raises(EngineError, match=message):
        list(engine.run(WORK))


def test_leaving_early_leaves_no_process_and_a_second_call_starts_afresh() -> None:
    with Processes(Signed(0.05), 2, at_once=1) as engine:
        running = engine.run(WORK)
        first = next(running)
        running.close()
        assert in_order(engine.run(WORK))[0].replicate == 0
    assert eventually(lambda: not alive(int(first[0].measures[1])))


def test_ctrl_c_does_not_wait_for_the_work_in_hand(tmp_path: Path) -> None:
    work = [Batch("expected", (0,), ("as today",)), Batch("hard winter", (0,), ("as today",))]

    def interrupt() -> None:
        eventually(lambda: len(list(tmp_path.iterdir())) == 2)
        os.kill(os.getpid(), signal.SIGINT)

    threading.Thread(target=interrupt).start()
    began = time.monotonic()
    with pytest.raises(KeyboardInterrupt), Processes(Endless(tmp_path), 2) as engine:
        list(engine.run(work))
    assert time.monotonic() - began < AT_LAST_S  # the work in hand sleeps twice as long
    assert not any(alive(int(path.name)) for path in tmp_path.iterdir())


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX signals")
@pytest.mark.parametrize(
    "how", [signal.SIGKILL, signal.SIGINT, pytest.param(signal.SIGTERM, marks=pytest.mark.long)]
)
def test_no_process_outlives_the_one_that_started_it(how: signal.Signals, tmp_path: Path, root: Path) -> None:
    code = (
        "from pathlib import Path\n"
        "from tests.engine.players import left_behind\n"
        f"left_behind(Path({str(tmp_path)!r}))"
    )
    parent = subprocess.Popen([sys.executable, "-c", code], cwd=root, stderr=subprocess.PIPE, text=True)
    try:
        assert eventually(lambda: len(list(tmp_path.iterdir())) == 2)
        pids = [int(path.name) for path in tmp_path.iterdir()]
        assert all(alive(pid) for pid in pids)
        parent.send_signal(how)
        parent.communicate(timeout=AT_LAST_S)
    finally:
        parent.kill()
    assert eventually(lambda: not any(alive(pid) for pid in pids))


def test_a_script_that_forgot_its_main_guard_is_told_so_and_does_not_hang(root: Path, tmp_path: Path) -> None:
    """The recipe is larger than a pipe holds, and the process ends before it has read it."""
    script = tmp_path / "forgot.py"
    script.write_text(
        "from planner.engine import Processes, worlds\n"
        "from tests.engine.players import Plain\n"
        "with Processes(Plain(ballast=bytes(4_000_000)), 2) as engine:\n"
        "    list(engine.run(worlds(['expected'], range(4), ['as today'])))\n",
        encoding="utf-8",
    )
    done = subprocess.run(
        [sys.executable, str(script)],
        env=os.environ | {"PYTHONPATH": os.pathsep.join([str(root), os.environ.get("PYTHONPATH", "")])},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 1
    assert "if __name__ == '__main__'" in done.stderr.splitlines()[-1]
