"""Plain words for what was found in a file, and the nearest right name.

In: a value or a name. Out: short text for an error message. Knows no fields and no models.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from typing import Any

_LONGEST = 60
_CURRENCY_SIGNS = {"$": "USD", "€": "EUR", "£": "GBP"}


def shown(value: Any) -> str:
    """What was found, in the user's own words, cut to a readable length."""
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "'true'" if value else "'false'"
    if isinstance(value, dict):
        return "a block of keys"
    if isinstance(value, (list, tuple)):
        return "a list"
    text = "".join(letter if letter.isprintable() else "?" for letter in str(value))
    return text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "..."


def quoted(value: Any) -> str:
    """What was found, in quotes where it is text."""
    return f"'{shown(value)}'" if isinstance(value, str) else shown(value)


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name most like this one; None where nothing is like it."""
    by_key = {_key(other): other for other in known}
    if _key(name) in by_key:
        return by_key[_key(name)]
    found = difflib.get_close_matches(_key(name), list(by_key), n=1, cutoff=0.6)
    if not found and len(_key(name)) > 2:
        # part of a longer name: `cost` for `start_up_cost`, `fill` for `fill_share`
        found = [other for other in by_key if set(_key(name).split()) < set(other.split())][:1]
    return by_key[found[0]] if found else None


def _key(name: str) -> str:
    return name.casefold().replace("_", " ").replace("-", " ").strip()


def listed(names: Iterable[str]) -> str:
    """Names one after the other, at most a dozen."""
    all_names = list(names)
    more = f" and {len(all_names) - 12} more" if len(all_names) > 12 else ""
    return ", ".join(all_names[:12]) + more


def explain_number(text: str) -> str | None:
    """Why this text is not a number as this program writes numbers; None where nothing is odd."""
    text = text.strip()
    short = shown(text)
    if not text:
        return "an empty text was found"
    if sign := next((sign for sign in _CURRENCY_SIGNS if sign in text), None):
        amount = text.replace(sign, "").strip() or "5"
        code = _CURRENCY_SIGNS[sign]
        return f"'{short}' has a currency sign; write the currency's code after the number: {shown(amount)} {code}"
    if found := re.match(r"-?\d+(?:,\d+)+(?:\.\d+)?", text):
        whole, point = found[0].replace(",", ""), found[0].replace(",", ".", 1)
        return (
            f"'{short}' has a comma; write a decimal point, and thousands without a gap: {point} or {whole}"
        )
    if found := re.fullmatch(r"(-?\d*\.?\d+)\s*(?:%|percent)", text):
        return f"'{short}' is a percentage, which is written as a share: {_hundredth(found[1])}"
    if re.match(r"-?\d{1,2}:\d\d", text):
        return f"'{short}' looks like a time of day"
    if found := re.match(r"(-?)0+(\d[\d.]*)", text):
        return f"'{short}' begins with a zero; write {found[1]}{found[2]}"
    if found := re.match(r"[-+]?\d*\.?\d+[eE][-+]?\d+", text):
        return f"'{short}' is in powers of ten; write the number out"
    if re.match(r"[-+]?\.?(?:nan|inf|infinity)\b", text, re.IGNORECASE):
        return f"'{short}' is not a number that can be used"
    if text.startswith("+"):
        return f"'{short}' begins with a plus sign; leave it out"
    if re.match(r"-?\d+(?:[_' ]\d+)+", text):
        return f"'{short}' is not one number; write its digits without gaps"
    if re.match(r"[-\d.]+\s*[-+*/]\s*\d", text):
        return f"'{short}' is a calculation; write its result"
    if not re.match(r"-?\.?\d", text):
        return f"'{short}' was understood as text, not as a number"
    return None


def _hundredth(number: str) -> str:
    return f"{float(number) / 100:.6f}".rstrip("0").rstrip(".")
