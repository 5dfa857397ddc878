"""What a process beside ours does: make a player once, then play what it is sent.

In: a pipe to the parent, and the pickled recipe of the player. Out: over the pipe, ``READY`` or what went wrong, then
the outcomes of each batch. Must not know: which runs there are, who else works.
"""

from __future__ import annotations

import multiprocessing
import os
import pickle
import signal
import sys
import threading
from multiprocessing.connection import Connection
from typing import Any, Final

READY: Final = "ready"


def serve(channel: Connection[Any, Any], recipe: bytes) -> None:
    """Play batches until the pipe says ``None`` or closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C goes to the whole group; the parent ends us
    threading.Thread(target=_end_with_the_parent, daemon=True).start()
    sys.stdout = sys.stderr  # the parent's standard output holds one document
    try:
        play = pickle.loads(recipe)()
    except Exception as error:
        channel.send(f"{type(error).__name__}: {error}")
        return
    channel.send(READY)
    try:
        while (batch := channel.recv()) is not None:
            channel.send(play(batch))
    except (EOFError, OSError):
        return


def _end_with_the_parent() -> None:
    """Leave at once when the parent is gone, however it ended: no orphan goes on working."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
