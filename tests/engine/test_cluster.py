"""Runs on a cluster of Dask: the same to the last bit, whatever becomes of its workers."""

from __future__ import annotations

import os
import pickle
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterable
from pathlib import Path

import pytest
from distributed import Client

from planner.engine import EngineError, Here, Outcome, Processes, connecting, worlds
from planner.engine.cluster import Cluster
from planner.engine.desk import Desk, Played, Recipe
from planner.engine.papers import Needs, differences, needs_of, papers
from planner.engine.player import Setting
from planner.scenario import Input
from planner.study import load
from tests.engine.conftest import AT_LAST_S, program, worker
from tests.engine.players import (
    Counted,
    Crowded,
    Deadly,
    Frozen,
    Plain,
    Signed,
    Spinning,
    Stillborn,
    Stuck,
    Unmakable,
)

WORK = worlds(["expected", "hard winter"], range(6), ["as today", "bigger pot", "post"])


def in_order(found: Iterable[tuple[Outcome, ...]]) -> list[Outcome]:
    outcomes = (one for batch in found for one in batch)
    return sorted(outcomes, key=lambda one: (one.outlook, one.replicate, one.option, str(one.inputs)))


def alive(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


def ended(pids: Iterable[int]) -> bool:
    those, end = list(pids), time.monotonic() + AT_LAST_S
    while any(map(alive, those)) and time.monotonic() < end:
        time.sleep(0.05)
    return not any(map(alive, those))


@pytest.fixture(scope="module")
def garden(root: Path) -> Setting:
    return Setting(load(root / "tests" / "study" / "garden.yaml"), 4)


@pytest.mark.parametrize("at_once", [pytest.param(None, marks=pytest.mark.long), 1, 5])
def test_a_cluster_brings_what_this_process_brings_to_the_last_bit(
    scheduler: str, garden: Setting, at_once: int | None
) -> None:
    more = (Input("owner.hour_price", "12 EUR/h"),)
    work = [
        *worlds(["expected"], range(7), ["as today"], by_month="expected"),
        *worlds(["expected"], range(7), ["as today"], inputs=more),
    ]
    alone = in_order(Here(garden).run(work))
    assert not any(one.failure for one in alone)
    with Cluster(garden, scheduler=scheduler, at_once=at_once, needs=needs_of(garden.scenario)) as engine:
        assert in_order(engine.run(work[::-1] if at_once == 1 else work)) == alone
    if at_once is None:
        with Processes(garden, 2) as engine:
            assert in_order(engine.run(work)) == alone


def test_a_worker_makes_its_player_once_and_keeps_it(scheduler: str, tmp_path: Path) -> None:
    with Cluster(Counted(tmp_path), scheduler=scheduler, at_once=1) as engine:
        pids = {one.measures[1] for _ in range(3) for one in in_order(engine.run(WORK))}
    assert len(list(tmp_path.iterdir())) == len(pids) <= 2
    assert float(os.getpid()) not in pids


def test_work_left_before_its_end_is_called_off(scheduler: str) -> None:
    with Cluster(Signed(0.2), scheduler=scheduler, at_once=1) as engine:
        began = time.monotonic()
        running = engine.run(worlds(["expected"], range(3000), ["as today"]))
        next(running)
        running.close()
        assert len(in_order(engine.run(WORK))) == 36
        assert time.monotonic() - began < AT_LAST_S  # all three thousand would take as long


def test_a_worker_that_is_killed_in_the_middle_costs_nothing(scheduler: str) -> None:
    work = worlds(["expected"], range(60), ["as today"])
    with Cluster(Signed(0.02), scheduler=scheduler, at_once=2) as engine:
        found, killed = [], 0
        for outcomes in engine.run(work):
            found.append(outcomes)
            if not killed:
                killed = int(outcomes[0].measures[1])
                os.kill(killed, signal.SIGKILL)
    assert [one.replicate for one in in_order(found)] == list(range(60))
    assert not any(one.failure for one in in_order(found))
    assert not alive(killed)


def test_a_worker_that_comes_later_is_given_the_recipe(scheduler: str, tmp_path: Path, root: Path) -> None:
    work = worlds(["expected"], range(2000), ["as today"])
    with Cluster(Signed(0.2), scheduler=scheduler, at_once=1) as engine:
        running = engine.run(work)
        pids = {next(running)[0].measures[1] for _ in range(4)}
        with program(tmp_path, root, *worker(scheduler)):
            while len(pids) < 3:
                pids.add(next(running)[0].measures[1])
            running.close()
    assert len(pids) == 3


def test_a_run_that_kills_workers_is_set_aside_and_the_rest_finishes() -> None:
    with Cluster(Deadly("post", 3), 2, at_once=3) as engine:
        found = in_order(engine.run(worlds(["expected"], range(6), ["as today", "post"])))
    crashed = [one for one in found if one.failure]
    assert len(found) == 12
    assert [(one.option, one.replicate) for one in crashed] == [("post", 3)]
    for one in crashed:
        assert one.failure is not None
        assert (one.failure.kind, one.failure.summary) == ("crashed", "the process that played it ended")


def test_a_run_that_never_gets_on_is_cut_short_and_its_worker_goes_on(scheduler: str) -> None:
    with Cluster(Spinning("post", 3), scheduler=scheduler, patience_s=1.0) as engine:
        found = in_order(engine.run(worlds(["expected"], range(6), ["as today", "post"])))
    late = [one for one in found if one.failure]
    assert len(found) == 12
    assert [(one.option, one.replicate) for one in late] == [("post", 3)]
    assert late[0].failure is not None
    assert "it did not end within 1 s (study.patience" in late[0].failure.summary
    assert "ended" not in late[0].failure.summary


def test_a_worker_held_up_by_a_run_that_takes_no_hint_is_ended(scheduler: str) -> None:
    with Cluster(Stuck("post", 3), scheduler=scheduler, patience_s=1.0) as engine:
        found = in_order(engine.run(worlds(["expected"], range(6), ["as today", "post"])))
    late = [one for one in found if one.failure]
    assert len(found) == 12
    assert [(one.option, one.replicate) for one in late] == [("post", 3)]
    assert late[0].failure is not None
    assert late[0].failure.summary == (
        "asked for post: it did not end within 1 s (study.patience says how long a run may take); "
        "the process that played it was ended"
    )


@pytest.mark.long
def test_a_worker_that_nothing_gets_through_to_is_ended() -> None:
    with Cluster(Frozen("post", 3), 2, patience_s=1.0) as engine:
        found = in_order(engine.run(worlds(["expected"], range(6), ["as today", "post"])))
    late = [one for one in found if one.failure]
    assert len(found) == 12
    assert [(one.option, one.replicate) for one in late] == [("post", 3)]
    assert late[0].failure is not None
    assert "it did not end within 1 s" in late[0].failure.summary


def test_a_player_that_cannot_be_made_is_told(scheduler: str) -> None:
    with (
        Cluster(Unmakable(), scheduler=scheduler) as engine,
        pytest.raises(EngineError, match="weather file is gone"),
    ):
        list(engine.run(WORK))


@pytest.mark.long
def test_workers_that_end_before_they_have_played_are_given_up() -> None:
    with (
        Cluster(Stillborn(), 2) as engine,
        pytest.raises(EngineError, match="ended before any of them had played a run"),
    ):
        list(engine.run(WORK))


def test_a_scheduler_that_cannot_be_reached_is_told_within_seconds(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connecting, "REACHED_S", 1.0)
    with socket.create_server(("127.0.0.1", 0)) as mute:  # takes calls, and says nothing
        for address in ("tcp://127.0.0.1:1", f"tcp://127.0.0.1:{mute.getsockname()[1]}"):
            began = time.monotonic()
            with Cluster(Plain(), scheduler=address) as engine, pytest.raises(EngineError) as told:
                list(engine.run(WORK))
            assert f"no scheduler can be reached at {address}" in str(told.value)
            assert "dask scheduler" in str(told.value)
            assert time.monotonic() - began < 60.0


def test_a_worker_without_the_scenarios_file_or_package_is_told_by_name(
    scheduler: str, garden: Setting, tmp_path: Path
) -> None:
    file = tmp_path / "year.csv"
    file.write_text("1")
    with Cluster(garden, scheduler=scheduler, needs=Needs(files=(str(file),))) as engine:
        file.write_text("2")
        with pytest.raises(
            EngineError, match=r"the worker tcp://127.0.0.1:\d+ would not bring the same"
        ) as told:
            list(engine.run(WORK))
    assert f"the file {file} has another content; copy the scenario's folder to the same place" in str(
        told.value
    )


def workers_are(number: int, scheduler: str) -> None:
    """Wait until there are so many."""
    with Client(scheduler, set_as_default=False) as client:
        end = time.monotonic() + AT_LAST_S
        while len(client.nthreads()) != number and time.monotonic() < end:
            time.sleep(0.05)
        assert len(client.nthreads()) == number


@pytest.mark.long
def test_a_worker_that_comes_later_with_another_python_is_told(
    scheduler: str, tmp_path: Path, root: Path
) -> None:
    (tmp_path / "older.py").write_text("import platform; platform.python_version = lambda: '3.9.1'")
    with Cluster(Signed(0.2), scheduler=scheduler, at_once=1) as engine:
        running = engine.run(worlds(["expected"], range(2000), ["as today"]))
        next(running)
        with (
            program(tmp_path, root, *worker(scheduler, "--preload", tmp_path / "older.py")),
            pytest.raises(EngineError, match=r"the worker tcp://.* Python is 3.9.1, but should be"),
        ):
            for _ in running:
                pass
    workers_are(2, scheduler)


def test_a_worker_without_planner_is_told(scheduler: str, tmp_path: Path, root: Path) -> None:
    (tmp_path / "without.py").write_text("import sys; sys.modules['planner'] = None")
    with program(tmp_path, root, *worker(scheduler, "--preload", tmp_path / "without.py")):
        workers_are(3, scheduler)
        with Cluster(Plain(), scheduler=scheduler) as engine, pytest.raises(EngineError) as told:
            list(engine.run(WORK))
    assert "has no planner that fits" in str(told.value)
    assert "install planner" in str(told.value)
    workers_are(2, scheduler)


def test_what_differs_is_told_with_what_to_do() -> None:
    ours = {
        "numpy": "2",
        "planner": "1",
        "the source of planner": "a",
        "the file /y.csv": "b",
        "arithmetic": "c",
    }
    theirs = {
        "numpy": "1",
        "planner": "1",
        "the source of planner": "z",
        "the file /y.csv": "",
        "arithmetic": "z",
    }
    assert differences(ours, ours) == []
    version, source, file, sums = differences(theirs, ours)
    assert version == "numpy is 1, but should be 2; install that version"
    assert source == "planner is of the same version but another source; install it from the same place"
    assert file == "the file /y.csv is not there; copy the scenario's folder to the same place"
    assert "other last digits" in sums
    assert differences({}, {"planner-adverts": "1"}) == [
        "planner-adverts is missing, but should be 1; install that version"
    ]


def test_a_scenario_needs_the_packages_and_files_that_it_names(root: Path) -> None:
    needs = needs_of(load(root / "scenarios" / "example.yaml"))
    assert [name for name, _ in needs.packages] == ["planner-measured-weather"]
    assert [Path(name).suffix.lower() for name in needs.files] == [".csv"]
    has = papers(needs)
    assert all(has.values())
    assert "the source of planner-measured-weather" in has


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX signals")
@pytest.mark.parametrize("how", [signal.SIGKILL, pytest.param(signal.SIGINT, marks=pytest.mark.long)])
def test_no_process_of_a_cluster_outlives_the_one_that_started_it(
    how: signal.Signals, tmp_path: Path, root: Path
) -> None:
    code = (
        "from pathlib import Path\n"
        "from tests.engine.players import cluster_left_behind\n"
        "if __name__ == '__main__':\n"
        f"    cluster_left_behind(Path({str(tmp_path)!r}))"
    )
    parent = subprocess.Popen(
        [sys.executable, "-c", code], cwd=root, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    try:
        end = time.monotonic() + AT_LAST_S
        while len(list(tmp_path.iterdir())) < 2 and time.monotonic() < end:
            time.sleep(0.05)
        pids = [int(path.name) for path in tmp_path.iterdir()]
        assert len(pids) == 2
        os.killpg(parent.pid, how) if how == signal.SIGINT else parent.send_signal(how)
        parent.communicate(timeout=AT_LAST_S)
    finally:
        parent.kill()
    assert ended(pids)


def test_a_second_thread_of_a_worker_waits_for_the_first() -> None:
    """Two runs at a time in one process would see each other's random numbers."""
    desk = Desk()
    desk.keep(Recipe("a", pickle.dumps(Crowded()), Needs(), None, ours=False))
    found: list[object] = []
    threads = [
        threading.Thread(target=lambda: found.append(desk.play("a", WORK[:2], "here", nanny=False)))
        for _ in range(3)
    ]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert [{one.measures[1] for one in each.outcomes} for each in found if isinstance(each, Played)] == [
        {1.0}
    ] * 3
