"""Blocks of code in a page of words, and the file that the line before each names."""

from __future__ import annotations

import re
from typing import NamedTuple

FENCE = re.compile(r"(?P<before>[^\n]*)\n\n```(?P<form>\w+)\n(?P<text>.*?)```(?=\n)", re.S)
FILE = re.compile(r"`([\w./-]+\.(?:py|toml|yaml|csv))`")
BELOW = re.compile(r"below the line `([^`]+)`")
NO_FILE = ("sh", "text")
"""Forms that are never a file: what is typed, and what is printed."""


class Block(NamedTuple):
    """One block: what it is written in, the file it is, or of that file the line below which it goes."""

    form: str
    file: str
    below: str
    text: str


def blocks(page: str) -> list[Block]:
    """Every block of a page, in order.

    One that is indented, has no form or no empty line before it would be passed over: the page is then refused.
    """
    found = []
    for fence in FENCE.finditer(page):
        file, below = (one.search(fence["before"]) for one in (FILE, BELOW))
        named = file if fence["form"] not in NO_FILE else None
        found.append(
            Block(
                fence["form"], named[1] if named else "", below[1] if named and below else "", fence["text"]
            )
        )
    marks = len(re.findall(r"```|~~~", page))
    assert 2 * len(found) == marks, f"{marks} marks of blocks, but only {len(found)} blocks are found"
    return found
