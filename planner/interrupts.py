"""Ctrl-C held back for a moment that must not be cut in two.

In: nothing. Out: a context. Must not know: what is done meanwhile.
"""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def held() -> Iterator[None]:
    """Hold Ctrl-C back until the end of the context, where the system can; processes started meanwhile never see it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
