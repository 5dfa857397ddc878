"""Who uses a store: files beside it that the kernel lets go when their holder ends, however it ends.

In: a path. Out: locks. Must not know: what a store holds.

Everybody who has a store open shares one lock; whoever makes or mends it needs that lock alone. A study that is being
played has one of its own, so that nobody plays it twice at once. Where the system has no such locks (Windows, some
network shares), nobody is kept out.
"""

from __future__ import annotations

import os
import time
from importlib import import_module
from pathlib import Path
from typing import Any, Final

fcntl: Any = import_module("fcntl") if os.name == "posix" else None

PATIENCE_S: Final = 20.0
"""How long we wait for somebody who makes or mends the store [s]."""

LOOK_S: Final = 0.02


class Lock:
    """A file beside a store, locked or not.

    Parameters
    ----------
    path : Path
        Of the lock; made if it is not there.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._handle: int | None = None

    def share(self) -> bool:
        """Share it with others who do; False if somebody has had it alone for too long."""
        return self._take(alone=False, patience_s=PATIENCE_S)

    def alone(self, patience_s: float = 0.0) -> bool:
        """Have it alone; False if others do not let go of it."""
        return self._take(alone=True, patience_s=patience_s)

    def release(self, *, remove: bool = False) -> None:
        """Let go of it, and remove the file if nobody needs it any more."""
        if self._handle is None:
            return
        if remove:
            self._path.unlink(missing_ok=True)
        os.close(self._handle)
        self._handle = None

    def _take(self, *, alone: bool, patience_s: float) -> bool:
        if fcntl is None:
            return True
        how = (fcntl.LOCK_EX if alone else fcntl.LOCK_SH) | fcntl.LOCK_NB
        end = time.monotonic() + patience_s
        while True:
            if self._handle is None:
                self._handle = os.open(self._path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o666)
            try:
                fcntl.flock(self._handle, how)
            except BlockingIOError:
                if time.monotonic() >= end:
                    return False
                time.sleep(LOOK_S)
                continue
            except OSError:  # a file system without locks
                return True
            if self._is_still_there():
                return True
            os.close(self._handle)  # whoever had it before us removed it
            self._handle = None

    def _is_still_there(self) -> bool:
        assert self._handle is not None
        try:
            there = self._path.stat()
        except FileNotFoundError:
            return False
        ours = os.fstat(self._handle)
        return (ours.st_dev, ours.st_ino) == (there.st_dev, there.st_ino)
