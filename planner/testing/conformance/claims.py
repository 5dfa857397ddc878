"""What a check says when it does not hold.

In: whether something holds, and words. Out: nothing, or an ``AssertionError`` that any test runner understands.
Must not know: what is checked.
"""

from __future__ import annotations


def must(holds: bool, words: str) -> None:
    """Raise ``AssertionError`` with these words where something does not hold."""
    if not holds:
        raise AssertionError(words)
