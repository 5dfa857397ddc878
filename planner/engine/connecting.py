"""A connection to a cluster, which is started here where there is none.

In: the address of a scheduler, or how many workers to start. Out: a client of Dask. Must not know: what is played.
"""

from __future__ import annotations

import logging
import os
import tempfile
import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from multiprocessing import resource_tracker
from time import monotonic, sleep
from typing import Final

import dask
from distributed import Client, LocalCluster

from planner import interrupts
from planner.engine.batch import EngineError

REACHED_S: Final = 5.0
"""How long a scheduler may take to answer, and a first worker to be there [s]."""

ENDING_S: Final = 5.0
"""How long workers that were started here may take to end before they are killed [s]."""

OF_OURS: Final = {
    "distributed.worker.profile.enabled": False,  # looks at every thread a hundred times a second
    "distributed.admin.system-monitor.gil.enabled": False,
    "distributed.nanny.pre-spawn-environ.MALLOC_TRIM_THRESHOLD_": None,
}
"""What is set otherwise than by default in a cluster that is started here."""

SPOKEN_BY: Final = ("distributed", "tornado", "asyncio")
"""Loggers that would write between our own lines."""


@contextmanager
def connected(scheduler: str | None, workers: int) -> Iterator[Client]:
    """A client of the scheduler at an address; of a cluster of ``workers`` processes on loopback where none is given.

    Raises
    ------
    EngineError
        In plain words: nobody answers there, or nobody works for whoever does.
    """
    with ExitStack() as leaving:
        leaving.enter_context(_quiet())
        address = scheduler or leaving.enter_context(_started(workers))
        client = leaving.enter_context(_client(address))
        _wait_for_workers(client, address)
        yield client


@contextmanager
def _client(address: str) -> Iterator[Client]:
    client = _reached(address)
    try:
        yield client
    finally:
        with suppress(Exception):  # it may have gone
            client.close(timeout=ENDING_S)


def _reached(address: str) -> Client:
    """Ask a scheduler in a thread of its own: whoever listens there may be none, and say nothing for ever."""
    found: list[Client | Exception] = []

    def ask() -> None:
        try:
            found.append(Client(address, timeout=REACHED_S, set_as_default=False, name="planner"))
        except Exception as error:
            found.append(error)

    asking = threading.Thread(target=ask, daemon=True)
    asking.start()
    asking.join(REACHED_S + 1.0)
    if not found or isinstance(found[0], Exception):
        raise EngineError(
            f"no scheduler can be reached at {address} within {REACHED_S:g} s; start one with `dask scheduler` and "
            "give the address that it says, such as tcp://192.0.2.7:8786"
        )
    return found[0]


def _wait_for_workers(client: Client, address: str) -> None:
    end = monotonic() + REACHED_S
    while not client.nthreads():
        if monotonic() > end:
            raise EngineError(
                f"the scheduler at {address} has no workers; start some with `dask worker {address} --nthreads 1`"
            )
        sleep(0.1)


@contextmanager
def _started(workers: int) -> Iterator[str]:
    """A cluster on loopback, of processes that end with us; gives its address."""
    with ExitStack() as leaving:
        folder = leaving.enter_context(tempfile.TemporaryDirectory(ignore_cleanup_errors=True))
        leaving.enter_context(_environment_kept())
        leaving.enter_context(dask.config.set(OF_OURS))
        resource_tracker.ensure_running()  # it would let Ctrl-C through again
        try:
            with interrupts.unseen():  # nor do the processes see Ctrl-C: we end them
                cluster = LocalCluster(
                    n_workers=workers,
                    threads_per_worker=1,
                    processes=True,
                    host="127.0.0.1",
                    protocol="tcp",
                    dashboard_address="127.0.0.1:0",  # any free port, as everything else
                    worker_dashboard_address="127.0.0.1:0",
                    silence_logs=logging.CRITICAL,
                    memory_limit=0,
                    local_directory=folder,
                    scheduler_kwargs={"allowed_failures": 0},  # who ends a worker is found out by us
                )
        except RuntimeError as error:
            raise EngineError(
                f"workers end before they have started ({error}); call this from below `if __name__ == '__main__':`"
            ) from error
        try:
            yield cluster.scheduler_address
        finally:
            with suppress(Exception):
                cluster.close(timeout=ENDING_S)


@contextmanager
def _environment_kept() -> Iterator[None]:
    """Variables that are set for processes started here are not left in ours."""
    before = dict(os.environ)
    try:
        yield
    finally:
        for name in set(os.environ) - set(before):
            del os.environ[name]
        os.environ.update(before)


@contextmanager
def _quiet() -> Iterator[None]:
    """Nothing is written to standard error but what we say."""
    with ExitStack() as leaving:
        for name in [*SPOKEN_BY, *logging.root.manager.loggerDict]:
            if name.partition(".")[0] in SPOKEN_BY:
                logger = logging.getLogger(name)
                leaving.callback(logger.setLevel, logger.level)
                logger.setLevel(logging.CRITICAL + 1)
        yield
