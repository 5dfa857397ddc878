"""What keeps a page from doing harm: text that cannot become markup, scripts that are known by their digest.

In: scripts and values. Out: texts for a page. Must not know: what the page is about.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Iterable
from typing import Any, Final

from markupsafe import Markup

_ENDING: Final = frozenset("<>&\u2028\u2029")
"""Signs that could end a script element, or a line of a script."""


def digest(script: str) -> str:
    """A script's digest as a content security policy names it (W3C Content Security Policy Level 3, section 2.3)."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(script.encode('utf-8')).digest()).decode('ascii')}'"


def policy(scripts: Iterable[str]) -> str:
    """A policy under which only these scripts run and nothing is fetched from anywhere.

    Styles may stand in the page: charts place their parts with them, and no text of the user's reaches a style.
    """
    allowed = " ".join(digest(script) for script in scripts) or "'none'"
    return (
        f"default-src 'none'; script-src {allowed}; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; "
        "form-action 'none'"
    )


def embedded(value: Any) -> Markup:
    """A value as JSON between the marks of a script element: nothing in it can end the element or begin another."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return Markup("".join(f"\\u{ord(sign):04x}" if sign in _ENDING else sign for sign in text))
