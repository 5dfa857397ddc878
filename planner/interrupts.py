"""Ctrl-C held back for a moment that must not be cut in two, and a clock that cuts short what does not end.

In: nothing. Out: contexts. Must not know: what is done meanwhile.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import takewhile
from traceback import FrameSummary, extract_tb
from types import FrameType


class Overdue(BaseException):
    """What is done takes longer than it may. One string; no ``Exception``, so that nobody takes it for theirs."""


def frames_of(error: BaseException) -> list[FrameSummary]:
    """Where an error was raised, outermost first; of what the clock cut short, where that was just then."""
    frames = extract_tb(error.__traceback__)
    return (
        list(takewhile(lambda one: one.filename != __file__, frames))
        if isinstance(error, Overdue)
        else frames
    )


@contextmanager
def ticking(tick: Callable[[], None], every_s: float) -> Iterator[None]:
    """Call ``tick`` every so many seconds [s] meanwhile, wherever Python is just then; what it raises is raised there.

    Only in the main thread, where the system has such a clock and nobody else uses it; elsewhere nothing ticks. While
    the whole process is stopped, nothing ticks either.
    """
    free = (
        hasattr(signal, "setitimer")
        and threading.current_thread() is threading.main_thread()
        and signal.getsignal(signal.SIGALRM) == signal.SIG_DFL
    )
    if not free:
        yield
        return
    signal.signal(signal.SIGALRM, lambda number, frame: tick())
    signal.setitimer(signal.ITIMER_REAL, every_s, every_s)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, signal.SIG_DFL)


@contextmanager
def held() -> Iterator[None]:
    """Hold Ctrl-C back until the end of the context; a second one stops at once.

    What runs meanwhile may be a library that calls us back and would take Ctrl-C for an error of ours.

    Raises
    ------
    KeyboardInterrupt
        At the end, if Ctrl-C was pressed meanwhile.
    """
    before = signal.getsignal(signal.SIGINT)
    if threading.current_thread() is not threading.main_thread() or not callable(before):
        yield  # nobody interrupts another thread, nor a process that ignores it
        return
    pressed = 0

    def note(number: int, frame: FrameType | None) -> None:
        nonlocal pressed
        pressed += 1
        if pressed > 1:
            raise KeyboardInterrupt

    signal.signal(signal.SIGINT, note)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if pressed:
        raise KeyboardInterrupt


@contextmanager
def unseen() -> Iterator[None]:
    """Processes started meanwhile never see Ctrl-C, where the system can; ours does, as in :func:`held`."""
    with held():
        if not hasattr(signal, "pthread_sigmask"):
            yield
            return
        before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        try:
            yield
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
