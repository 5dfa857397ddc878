"""A process that plays a small scenario again and again and is killed each time: for the test of just that.

Called with a scenario, a store and a number of kills. Every attempt is a process of its own, forked from this one so
that nothing has to be imported thirty times. Told on standard output of each: how many runs were kept before and after
it, and whether all that was there before is there still.
"""

from __future__ import annotations

import hashlib
import json
import os
import random
import signal
import sqlite3
import sys
import time
from contextlib import closing
from pathlib import Path

from planner.engine.store import Row, Status
from planner.engine.store.file import Kind, kind_of
from planner.report.stored import stored
from planner.scenario import Scenario
from planner.study import compare, load
from planner.study.keys import code_digest

TIMES = 1.6
"""An attempt is killed at most after so many times as long as the first took to commit something."""
LONGER = 1.25
"""So much longer the next attempts may last where one came to nothing: some come to something on any machine."""
MORE = 40
"""Worlds of the comparison; so many more each time that it came to its end before it could be killed."""


def digest(scenario: Scenario, worlds: int, store: Path | None) -> str:
    """Digest of all that a comparison is told from."""
    files = stored(compare(scenario, replicates=worlds, outlooks=["expected", "half price"], store=store))
    return hashlib.sha256(b"".join(files[name] for name in sorted(files))).hexdigest()


def rows(store: Path) -> dict[bytes, tuple[object, ...]]:
    """What is kept, as it stands in the file; sound, all of it."""
    with closing(sqlite3.connect(store, timeout=30.0)) as opened:
        found = opened.execute("SELECT key, status, measures, months, failure, checksum FROM runs").fetchall()
        assert opened.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    for key, status, measures, months, failure, checksum in found:
        assert Row(key, Status(status), measures, months, failure).checksum == checksum
    assert len({row[0] for row in found}) == len(found)
    return {key: tuple(row) for key, *row in found}


def begun(scenario: Scenario, worlds: int, store: Path) -> int:
    """A process that plays."""
    pid = os.fork()
    if pid == 0:
        digest(scenario, worlds, store)
        os._exit(0)
    return pid


def killed_after(pid: int, seconds: float) -> bool:
    """Kill a process after so long; was it still there?"""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        ended, _ = os.waitpid(pid, os.WNOHANG)
        if ended:
            return False
        time.sleep(0.002)
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    return True


def first_commit(scenario: Scenario, worlds: int, store: Path) -> float:
    """Play until something is committed, and kill it then; how long that took [s]."""
    start = time.monotonic()
    pid = begun(scenario, worlds, store)
    while not (kind_of(store) is Kind.OURS and rows(store)):
        time.sleep(0.002)
    took = time.monotonic() - start
    killed_after(pid, 0.0)
    return took


def main(file: str, place: str, kills: int) -> None:
    """Kill so many attempts once something was committed, then play to the end."""
    scenario, store, chance = load(file), Path(place), random.Random(7)
    code_digest(scenario.models)
    scenario.digest  # noqa: B018  (worked out once, not in every attempt)
    worlds = MORE
    most_s = TIMES * first_commit(scenario, worlds, store)
    killed: list[tuple[int, int, bool]] = []
    while len(killed) < kills or not any(after > before for before, after, _ in killed):
        before = rows(store)
        was_killed = killed_after(begun(scenario, worlds, store), chance.uniform(0.0, most_s))
        after = rows(store)
        if was_killed:
            killed.append(
                (len(before), len(after), all(after.get(key) == row for key, row in before.items()))
            )
            if len(after) == len(before):
                most_s *= LONGER  # the machine is busier than it was at first
        else:
            worlds += MORE
    told = {"killed": killed, "kept": digest(scenario, worlds, store), "rows": len(rows(store))}
    print(json.dumps(told | {"plain": digest(scenario, worlds, None), "runs": worlds * 3 * 2}))


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]))
