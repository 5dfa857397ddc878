"""The one script of every page: the libraries that draw charts, and what calls them, in one piece.

In: page.js, vl-convert. Out: the script, the same for the same versions. Must not know: any study.

To put it together takes longer than all else about a page, so it is kept as Python keeps compiled modules: beside the
source, under a name that says what it was made from, and made anew where that cannot be.
"""

from __future__ import annotations

import re
from contextlib import suppress
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path
from typing import Final

from planner.report.folder import OutputError, write_folder

SOURCE: Final = Path(__file__).with_name("page.js")


@cache
def script() -> str:
    """The script, ready to stand between script tags."""
    source = SOURCE.read_text(encoding="utf-8")
    made_from = f"{version('vl-convert-python')}\n{source}"
    kept = SOURCE.with_name("__pycache__") / f"page-{sha256(made_from.encode()).hexdigest()[:16]}.js"
    with suppress(OSError, UnicodeDecodeError):
        said, _, text = kept.read_text(encoding="utf-8").partition("\n")
        if said == _digest(text):
            return text
    text = _made(source)
    with suppress(OutputError):  # a place that may not be written to, or a full disk: it works without
        write_folder(kept.parent, {kept.name: f"{_digest(text)}\n{text}".encode()})
    return text


def _made(source: str) -> str:
    import vl_convert

    text: str = vl_convert.javascript_bundle(source)
    return re.sub("</(script)", r"<\\/\1", text, flags=re.IGNORECASE).replace("<!--", "<\\!--")


def _digest(text: str) -> str:
    return sha256(text.encode()).hexdigest()
