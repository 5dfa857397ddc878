"""Ctrl-C in moments that must not be cut in two."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading

import pytest

from planner import interrupts


def press() -> None:
    """Press Ctrl-C, and let Python notice."""
    os.kill(os.getpid(), signal.SIGINT)
    for _ in range(1000):
        pass


def test_ctrl_c_waits_until_the_moment_is_over() -> None:
    done = []

    def work() -> None:
        with interrupts.held():
            press()
            done.append("whole")
        done.append("not reached")

    with pytest.raises(KeyboardInterrupt):
        work()
    assert done == ["whole"]
    with pytest.raises(KeyboardInterrupt):
        press()  # as before


def test_a_second_ctrl_c_stops_at_once() -> None:
    done = []

    def work() -> None:
        with interrupts.held():
            press()
            done.append("after the first")
            press()
            done.append("not reached")

    with pytest.raises(KeyboardInterrupt):
        work()
    assert done == ["after the first"]


def test_a_moment_within_another_ends_with_the_inner_one() -> None:
    done = []

    def work() -> None:
        with interrupts.held():
            with interrupts.held():
                press()
                done.append("inner")
            done.append("not reached")

    with pytest.raises(KeyboardInterrupt):
        work()
    assert done == ["inner"]


def test_an_error_within_goes_its_way() -> None:
    with pytest.raises(ValueError, match="ours"), interrupts.held():
        raise ValueError("ours")


def test_another_thread_holds_nothing() -> None:
    done = []

    def work() -> None:
        with interrupts.held():
            done.append(signal.getsignal(signal.SIGINT) is signal.default_int_handler)

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert done == [True]


def test_a_clock_cuts_short_what_another_thread_does_and_nothing_after_it() -> None:
    found: list[str] = []

    def work() -> None:
        for times in range(200):
            said = threading.Event()

            def tick(said: threading.Event = said) -> None:
                if not said.is_set():
                    said.set()
                    raise interrupts.Overdue("too long")

            try:
                try:
                    with interrupts.ticking(tick, 0.002):
                        for _ in range(times * 20_000):  # cut short long before its end
                            pass
                except interrupts.Overdue as error:
                    found.append(str(error))
                for _ in range(200):
                    pass
            except interrupts.Overdue:
                found.append("after it had been left")

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert set(found) == {"too long"}


WATCHED = """
import sys, threading
from planner import interrupts

def overdue():
    raise interrupts.Overdue("too long")

def work(tick, times):
    try:
        with interrupts.ticking(tick, 0.01):
            for _ in range(times):
                pass
    except interrupts.Overdue:
        pass

for tick, times in [(overdue, 0), (overdue, 10**9), (lambda: None, 0)]:
    thread = threading.Thread(target=work, args=(tick, times))
    thread.start()
    thread.join()
sys.setprofile(lambda *of: None)
overdue.__name__.upper()
(lambda: None)()
sys.setprofile(None)
"""


def test_once_a_clock_has_been_left_python_can_be_watched_as_ever() -> None:
    """It would go round and round at the first function that is called."""
    subprocess.run([sys.executable, "-c", WATCHED], check=True, timeout=120)


@pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="the system cannot")
def test_what_is_started_unseen_never_sees_it() -> None:
    with interrupts.unseen():
        assert signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, [])
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, [])
