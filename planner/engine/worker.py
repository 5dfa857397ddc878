"""What a process beside ours does: make a player once, then play what it is sent.

In: a pipe to the parent. Over it: ``HELLO`` out, the pickled recipe of the player in, ``READY`` or what went wrong out,
then a batch in and its outcomes out, again and again. Must not know: which runs there are, who else works.
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

HELLO: Final = "hello"
READY: Final = "ready"


def serve(channel: Connection[Any, Any]) -> None:
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
