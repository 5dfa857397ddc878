"""What a process beside ours does: make a player once, then play what it is sent.

In: a pipe to the parent. Over it: ``HELLO`` out, the pickled recipe of the player in, ``READY`` or what went wrong out,
then a batch in and its outcomes out, again and again. Into shared memory: how many runs have begun, how long one may
take, and which hook of a package is being asked, so that the parent knows it however we end. Must not know: which runs
there are, who else works.
"""

from __future__ import annotations

import ctypes
import multiprocessing
import os
import pickle
import signal
import sys
import threading
from dataclasses import dataclass
from itertools import islice
from multiprocessing.connection import Connection
from typing import Any, Final

from planner.engine.batch import Batch
from planner.engine.signs import TICK_S, Signs, too_long

HELLO: Final = "hello"
READY: Final = "ready"

TIMES_ITS_OWN: Final = 2.0
"""Whoever watches waits so many times as long as a player itself would for a run."""

HOOK_BYTES: Final = 1000


class Shared(ctypes.Structure):
    """What the parent can see of us at any time."""

    _fields_ = (
        ("begun", ctypes.c_ulonglong),
        ("most_s", ctypes.c_double),
        ("hook", ctypes.c_char * HOOK_BYTES),
    )


class SharedSigns(Signs):
    """Signs that another process can see."""

    def __init__(self, patience_s: float | None, shared: Shared) -> None:
        super().__init__(patience_s)
        self._shared = shared
        shared.most_s = self.most_s

    def begins(self) -> None:
        """A run begins."""
        super().begins()
        self._shared.most_s = self.most_s
        self._shared.begun += 1
        self._shared.hook = b""

    def asks(self, hook: str) -> None:
        """A hook of a package is asked; ``""`` once it has answered."""
        self._shared.hook = hook.encode(errors="replace")[:HOOK_BYTES]


@dataclass(slots=True, eq=False)
class Watch:
    """How long somebody who shares this has been at which run of the batch in hand."""

    shared: Shared
    batch: Batch | None = None
    before: int = 0
    """Runs begun when the batch was handed out."""
    seen: int = 0
    """Runs begun when we last looked."""
    ticks: int = 0
    """How often we looked since."""

    def hand(self, batch: Batch) -> None:
        """It is handed a batch."""
        self.batch, self.before, self.seen = batch, self.shared.begun, self.shared.begun
        self.ticks = 0

    def overdue(self) -> bool:
        """`TICK_S` have gone by; has the run in hand taken longer than it may?"""
        if self.seen != self.shared.begun:
            self.seen, self.ticks = self.shared.begun, 0
        self.ticks += 1
        return self.batch is not None and self.ticks * TICK_S > TIMES_ITS_OWN * self.shared.most_s

    def playing(self) -> Batch | None:
        """The one run that it is at; None where it has several in hand and has begun none."""
        if self.batch is None or self.batch.runs == 1:
            return self.batch
        begun = self.shared.begun - self.before
        return next(islice(self.batch.singles(), begun - 1, None), None) if begun else None

    def where(self) -> str:
        """The hook of a package that it is asking, for the beginning of a sentence."""
        hook = self.shared.hook.decode(errors="replace")
        return f"{hook}: " if hook else ""

    def late(self) -> str:
        """What is said of the run that it is at when that has taken too long."""
        return f"{self.where()}{too_long(self.shared.most_s)}"


def serve(channel: Connection[Any, Any], shared: Shared, patience_s: float | None) -> None:
    """Play batches until the pipe says ``None`` or closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C goes to the whole group; the parent ends us
    threading.Thread(target=_end_with_the_parent, daemon=True).start()
    sys.stdout = sys.stderr  # the parent's standard output holds one document
    channel.send(HELLO)
    try:
        play = pickle.loads(channel.recv_bytes())()
    except (EOFError, OSError):
        return
    except Exception as error:
        channel.send(f"{type(error).__name__}: {error}")
        return
    signs = SharedSigns(patience_s, shared)
    channel.send(READY)
    try:
        while (batch := channel.recv()) is not None:
            with signs.watching():
                outcomes = play(batch, signs)
            channel.send(outcomes)
    except (EOFError, OSError):
        return


def _end_with_the_parent() -> None:
    """Leave at once when the parent is gone, however it ended: no orphan goes on working."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
