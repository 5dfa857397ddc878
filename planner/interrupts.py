"""Ctrl-C held back for a moment that must not be cut in two.

In: nothing. Out: contexts. Must not know: what is done meanwhile.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


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
