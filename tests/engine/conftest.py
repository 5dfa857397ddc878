"""A cluster of Dask as users have one: a scheduler and two workers with their nannies, each a process of its own."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest

AT_LAST_S = 300.0


@contextmanager
def program(folder: Path, root: Path, *words: object) -> Iterator[subprocess.Popen[bytes]]:
    """A process in a group of its own, which ends with all it started."""
    variables = {
        "PYTHONPATH": os.pathsep.join([str(root), os.environ.get("PYTHONPATH", "")]),
        "DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": "1",
        "PYTHONWARNINGS": "ignore",
    }
    with (folder / "said").open("ab") as said:
        running = subprocess.Popen(
            [sys.executable, "-m", *map(str, words)],
            cwd=folder,
            env=os.environ | variables,
            stdout=said,
            stderr=said,
            start_new_session=True,
        )
        try:
            yield running
        finally:
            os.killpg(running.pid, signal.SIGKILL)
            running.wait()


def worker(address: str, *further: object) -> tuple[object, ...]:
    """What starts a worker of one thread on loopback."""
    return (
        "distributed.cli.dask_worker", address, "--nthreads", 1, "--host", "127.0.0.1", "--no-dashboard",
        "--memory-limit", 0, *further,
    )  # fmt: skip


@pytest.fixture(scope="module")
def scheduler(tmp_path_factory: pytest.TempPathFactory, root: Path) -> Iterator[str]:
    """Address of a scheduler with two workers."""
    folder = tmp_path_factory.mktemp("cluster")
    with ExitStack() as running:
        about = folder / "scheduler.json"
        running.enter_context(
            program(
                folder, root, "distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", 0,
                "--no-dashboard", "--dashboard-address", "127.0.0.1:0", "--scheduler-file", about,
            )
        )  # fmt: skip
        end = time.monotonic() + AT_LAST_S
        while not about.exists() and time.monotonic() < end:
            time.sleep(0.05)
        address = json.loads(about.read_text())["address"]
        for _ in range(2):
            running.enter_context(program(folder, root, *worker(address)))
        yield address
