"""YAML read as ruamel.yaml reads it, with long runs of text passed over at once and not letter by letter.

In: text. Out: the same events at the same places as without; of a tag that is no tag the beginning alone. Knows nothing
of scenarios.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final

from ruamel.yaml import YAML
from ruamel.yaml.reader import Reader
from ruamel.yaml.scanner import Scanner

LONGEST_TAG: Final = 1000
"""Of what stands behind ``!``: ruamel.yaml takes time that grows with the square of its length."""

_OTHER_BREAKS: Final = r"\x85\u2028\u2029"
_BLANK: Final = rf"\0 \t\r\n{_OTHER_BREAKS}"
_LETTER: Final = rf"(?:[^{_BLANK}:]|:(?![{_BLANK}]))"

_MOVES_OTHERWISE: Final = re.compile(r"[\r\n\ufeff]")
"""Letters behind which the column is not one more."""
_EMPTY_LINES: Final = re.compile(rf"(?: *+(?:#[^\0\r\n{_OTHER_BREAKS}]*+)?\r?\n)++")
"""Lines with nothing in them, or a comment alone."""
_WORDS_BUT_ONE: Final = re.compile(rf"(?:{_LETTER}++ ++(?!#)(?={_LETTER}))++")
"""Words of a line without quotes."""
_QUOTED: Final = re.compile(rf"(?:[^{_BLANK}'\"\\]++|[ \t]++(?![{_BLANK}]))++")
"""Words within quotes, and blanks that do not end a line."""


class _Reader(Reader):
    """Reads a text that is there as a whole."""

    def forward(self, length: int = 1) -> None:
        """Go on by so many letters."""
        end = self.pointer + length
        if end < len(self.buffer) and not _MOVES_OTHERWISE.search(self.buffer, self.pointer, end):
            self.pointer = end
            self.index += length
            self.column += length
        else:
            super().forward(length)

    def past(self, run: re.Pattern[str]) -> str:
        """Go past what begins here, if it does; what it is."""
        found = run.match(self.buffer, self.pointer)
        if found:
            self.forward(found.end() - self.pointer)
        return found[0] if found else ""

    def past_lines(self, run: re.Pattern[str]) -> bool:
        """Go past the whole lines that begin here; are there any?"""
        found = run.match(self.buffer, self.pointer)
        if found:
            self.line += self.buffer.count("\n", self.pointer, found.end())
            self.index += found.end() - self.pointer
            self.pointer, self.column = found.end(), 0
        return found is not None


class _Scanner(Scanner):
    """Finds tokens: each method first goes past what it would do again and again."""

    def need_more_tokens(self) -> bool:
        if self.tokens and not self.possible_simple_keys:
            return False
        return bool(super().need_more_tokens())

    def scan_to_next_token(self) -> None:
        if self.reader.past_lines(_EMPTY_LINES) and not self.flow_level:
            self.allow_simple_key = True
        super().scan_to_next_token()

    def scan_plain(self) -> Any:
        start = self.reader.get_mark()
        words = "" if self.flow_level else self.reader.past(_WORDS_BUT_ONE)
        token = super().scan_plain()
        token.value, token.start_mark = words + token.value, start
        return token

    def scan_flow_scalar_non_spaces(self, double: Any, start_mark: Any) -> list[str]:
        words = self.reader.past(_QUOTED)
        return [words, *super().scan_flow_scalar_non_spaces(double, start_mark)]

    def scan_tag(self) -> Any:
        token = super().scan_tag()
        handle, rest = token.value
        # what % stands for was put there already
        token.value = (handle, rest[:LONGEST_TAG].replace("%", "%25"))
        return token


def events(text: str) -> Iterator[Any]:
    """The events of a text in YAML."""
    yaml = YAML(typ="safe", pure=True)
    yaml.Reader, yaml.Scanner = _Reader, _Scanner
    yield from yaml.parse(text)
