"""Ctrl-C held back for a moment that must not be cut in two, and a clock that cuts short what does not end.

In: nothing. Out: contexts. Must not know: what is done meanwhile.
"""

from __future__ import annotations

import ctypes
import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import takewhile
from time import sleep
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
    """Call ``tick`` every so many seconds [s] meanwhile; what it raises is raised here, wherever Python is just then.

    In the main thread an alarm of the system ticks, which also cuts short what waits in the system. In any other, or
    where the system has no alarm or somebody else uses it, a thread beside ours does: what it raises comes once Python
    gets a word in. While the whole process is stopped, nothing ticks either.
    """
    free = (
        hasattr(signal, "setitimer")
        and threading.current_thread() is threading.main_thread()
        and signal.getsignal(signal.SIGALRM) == signal.SIG_DFL
    )
    if not free:
        with _ticking_beside(tick, every_s):
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
def _ticking_beside(tick: Callable[[], None], every_s: float) -> Iterator[None]:
    """`ticking` by a thread; nothing that it raises arrives once the context has been left.

    What has not arrived by then is replaced by one of our own, which we wait for. To take it back and leave nothing
    would let Python look for it at every turn as long as the process lives, and for ever under a debugger or a profile.
    """
    ours = threading.get_ident()
    raising, left = threading.Lock(), threading.Event()
    over = sent = ends = False

    def clock() -> None:
        nonlocal sent
        while not left.wait(every_s):
            try:
                tick()
            except BaseException as error:
                with raising:
                    if not over:
                        sent = True
                        _raise_in(ours, error)

    try:
        threading.Thread(target=clock, daemon=True).start()
        yield
    finally:
        while True:
            try:
                with raising:
                    over = True
                if not sent:
                    break
                ends = True
                _raise_in(ours, Overdue())
                while True:
                    sleep(0.0)
            except Overdue:  # ours, or one that was on its way; what it should cut short is done
                if ends:
                    break
        left.set()


def _raise_in(thread: int, error: BaseException) -> None:
    """Raise the like of an error in a thread, in the place of one that has not arrived yet."""
    like = type(type(error).__name__, (type(error),), {"__init__": _with_words_of(error)})
    ctypes.pythonapi.PyThreadState_SetAsyncExc(ctypes.c_ulong(thread), ctypes.py_object(like))


def _with_words_of(error: BaseException) -> Callable[[BaseException], None]:
    """How a class is made to give the like of an error when it is called without words, as Python does then."""
    return lambda new: BaseException.__init__(new, *error.args)


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
