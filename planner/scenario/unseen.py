"""Letters that nobody sees and that may change what is shown: control characters, and marks that turn its direction.

In: text. Out: where they stand, and the text without them. Knows no files.

Line breaks and tabs are left: they are ordinary in a text of several lines. Letters of scripts that are written from
right to left are no marks.
"""

from __future__ import annotations

import re
from typing import Final

UNSEEN: Final = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\ud800-\udfff"
    "\U000e0000-\U000e007f]"
)
"""Control characters, turns of direction (Unicode UAX 9), line breaks of other kinds, and halves of letters."""

CONTROLS: Final = re.compile(f"{UNSEEN.pattern[:-1]}\t\n\r]")
"""These, and what ends a line or jumps in it: nothing of the kind stands in a name."""


def in_words(letter: str, written: bool = True) -> str:
    """What is said of one that stands in a file, or that a backslash in a text in double quotes makes."""
    which = f"an invisible control character (U+{ord(letter):04X})"
    if written:
        return f"{which} stands here; delete it"
    return f"a backslash in this text in double quotes makes {which}; delete it, or use single quotes"


def without(text: str) -> str:
    """The text without them."""
    return UNSEEN.sub("", text)


def visible(text: str) -> str:
    """A text of which nobody knows where it comes from, so that a terminal shows it and obeys nothing in it.

    What is left out is shown as a question mark. Line breaks and tabs stay.
    """
    return UNSEEN.sub("?", text).replace("\r\n", "\n").replace("\r", "?")
