"""Plain words for what was found in a file, and the nearest right name.

In: a value or a name. Out: short text for an error message. Knows no fields and no models.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from functools import lru_cache
from typing import Any

_LONGEST = 60
_LIKE = 0.6
"""How alike a name and the one that may be meant are at least (a ratio of `difflib`; its own usual one)."""
_A_SLIP = 0.8
"""How alike a misspelt name and the one that is meant are at least (a ratio of `difflib`; assumed)."""
_ROUNDING = 1e-9
_CURRENCY_SIGNS = {"$": "USD", "€": "EUR", "£": "GBP"}
_COMMA = re.compile(r"(-?\d+)((?:,\d+)+)(\.\d+)?")
NO_BLANK = re.compile(r"(\s*(?:- )?)([A-Za-z_][\w ]*):([^\s:/].*)")
"""A line whose colon has no blank behind it, so that it is no key."""


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
    beginning = str(value)[: _LONGEST + 1]
    text = "".join(letter if letter.isprintable() else "?" for letter in beginning)
    return text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "..."


def quoted(value: Any) -> str:
    """What was found, in quotes where it is text."""
    return f"'{shown(value)}'" if isinstance(value, str) else shown(value)


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name most like this one; None where nothing is like it."""
    by_key = {_key(other): other for other in known}
    key = _key(name)
    if key in by_key:
        return by_key[key]
    found = _most_like(key, by_key, _LIKE)
    if not found and len(key) > 2:
        # part of a longer name: `cost` for `start_up_cost`, `fill` for `fill_share`
        words = key.split()
        found = [other for other in by_key if words[0] in other and set(words) < set(other.split())][:1]
    return by_key[found[0]] if found else None


def close(name: str, known: Iterable[str]) -> str | None:
    """The known name that this one is a slip of the pen away from; None where it may be another word."""
    by_key = {_key(other): other for other in known}
    found = _most_like(_key(name), by_key, _A_SLIP)
    return by_key[found[0]] if found else None


def _most_like(key: str, known: Iterable[str], cutoff: float) -> list[str]:
    """The known one most like this one, if any is like it; what shares too few letters is not looked at closely."""
    letters, least = set(key), cutoff - _ROUNDING
    able = [
        other
        for other in known
        if 2.0 * min(sum(map(letters.__contains__, other)), len(key)) >= least * (len(key) + len(other))
    ]
    return difflib.get_close_matches(key, able, n=1, cutoff=cutoff) if able else []


def unknown(key: str, meant: str | None = None) -> str:
    """The beginning of what is said of a key that is not known, and the one that is meant."""
    start = f"the key '{shown(key)}' is not known here"
    return f"{start}; did you mean {meant}?" if meant else start


@lru_cache(maxsize=4096)
def _key(name: str) -> str:
    return name.casefold().replace("_", " ").replace("-", " ").strip()


def listed(names: Iterable[str]) -> str:
    """Names one after the other, at most a dozen."""
    all_names = list(names)
    more = f" and {len(all_names) - 12} more" if len(all_names) > 12 else ""
    return ", ".join(all_names[:12]) + more


def blank_missing(text: str) -> str | None:
    """What to write where a colon has no blank behind it; None for any other text."""
    found = NO_BLANK.fullmatch(text.rstrip())
    return f"a blank is missing after the colon; write `{found[2]}: {shown(found[3])}`" if found else None


def too_large(text: str) -> str | None:
    """What is said of a plain number that is too long to be read as one; None of any other text."""
    return f"'{shown(text)}' is too large a number" if re.fullmatch(r"-?\d{19,}(?:\.\d*)?", text) else None


def explain_number(text: str, currency: str | None = None) -> str | None:
    """Why this text is not a number as this program writes numbers; None where nothing is odd."""
    text = text.strip()
    short = shown(text)
    if not text:
        return "an empty text was found"
    if sign := next((sign for sign in _CURRENCY_SIGNS if sign in text), None):
        amount = _with_code(text, sign, currency)
        return f"'{short}' has a currency sign; write the currency's code after the number: {shown(amount)}"
    if found := _COMMA.match(text):
        return f"'{short}' has a comma; {_without_comma(found)}"
    if found := re.fullmatch(r"(-?\d*\.?\d+)\s*(?:%|percent)", text):
        return f"'{short}' is a percentage, which is written as a share: {_hundredth(found[1])}"
    if re.match(r"-?\d{1,2}:\d\d", text):
        return f"'{short}' looks like a time of day"
    if found := re.match(r"(-?)0+(\d[\d.]*)", text):
        return f"'{short}' begins with a zero; write {found[1]}{found[2]}"
    if re.match(r"[-+]?\d{301}", text):
        return f"'{short}' is too large a number"
    if re.match(r"[-+]?\d*\.\d{301}", text):
        return f"'{short}' has too many digits"
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


def _with_code(text: str, sign: str, currency: str | None) -> str:
    """`8 €/h` and `$8/h` as `8 EUR/h` and `8 USD/h`; a dollar is the scenario's own where it counts in one."""
    code = currency if sign == "$" and currency and currency.endswith("D") else _CURRENCY_SIGNS[sign]
    number = re.search(r"-?\d[\d.,]*", text)
    amount = number[0] if number else "5"
    rest = text.replace(sign, "").replace(amount, "").strip()
    return f"{amount} {code}{rest}" if rest.startswith("/") else f"{amount} {code} {rest}".strip()


def _without_comma(found: re.Match[str]) -> str:
    """What to write for a number with commas: a decimal comma, thousands, or what may be either."""
    head, groups, decimals = found[1], found[2], found[3] or ""
    thousands = all(len(group) == 3 for group in groups[1:].split(",")) and head.lstrip("-") != "0"
    many = decimals or groups.count(",") > 1
    whole, point = found[0].replace(",", ""), f"{head}.{groups[1:]}"
    if thousands and not many:
        return f"write a decimal point, and thousands without a gap: {point} or {whole}"
    if thousands or many:
        return f"write thousands without a gap: {whole}"
    return f"write a decimal point: {point}"


def _hundredth(number: str) -> str:
    return f"{float(number) / 100:.6f}".rstrip("0").rstrip(".")
