"""YAML text made into a `Tree`, from the stream of events, before anything is built.

In: text. Out: plain values with their places. Anchors, aliases, tags, merge keys, double keys, a second
document and deep nesting are refused here, each with line and column. Where it is plain what is meant all the same,
the tree is built, so that what is wrong with its values can be told as well.
"""

from __future__ import annotations

import copy
import re
from typing import Any

from ruamel.yaml.error import MarkedYAMLError, YAMLError

from planner.scenario.errors import InputError, Problem
from planner.scenario.scanning import events
from planner.scenario.tree import Place, Steps, Tree
from planner.scenario.unseen import UNSEEN, in_words
from planner.scenario.wording import NO_BLANK, blank_missing, shown

MOST_LINES = 50_000
MOST_VALUES = 20_000
MOST_DEPTH = 20
MOST_LETTERS = 5_000
"""Of one text; no field takes as many."""
_WHOLE = re.compile(r"-?(?:0|[1-9]\d{0,17})")
_DECIMAL = re.compile(r"-?(?:0|[1-9]\d{0,17})?\.\d{1,300}")
_DIVIDES = re.compile(r"[:{}\[\],]")
_LONGEST_KEY = 1000
"""A key of more characters is not taken for one by the reader of YAML."""
_WORDS = {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}
_MERGE = "<<"
_NOTHING = {"", "null", "Null", "NULL", "~"}


def scalar(text: str) -> Any:
    """A value written without quotes, by the rules of YAML 1.2 without its rarer ways of writing numbers.

    `no`, `010`, `1e3`, `0x1F`, `12:30`, `.inf` stay text, so that whoever reads the field can say what to write.
    """
    if text in _NOTHING:
        return None
    if text in _WORDS:
        return _WORDS[text]
    if _WHOLE.fullmatch(text):
        return int(text)
    if _DECIMAL.fullmatch(text):
        return float(text)
    return text


class _Level:
    """One mapping or list that is not yet closed."""

    def __init__(self, steps: Steps, into: dict[str, Any] | list[Any], anchor: str | None) -> None:
        self.steps = steps
        self.into = into
        self.anchor = anchor
        self.key: str | None = None
        self.seen: set[str] = set()


class _Stop(Exception):  # noqa: N818  (not an error: the rest of the file would only repeat it)
    """Nothing after this can be understood."""


class _Composer:
    def __init__(self, file: str) -> None:
        self.file = file
        self.tree = Tree({})
        self.levels: list[_Level] = []
        self.anchored: dict[str, Any] = {}
        self.whole = True
        self.problems: list[Problem] = []
        self.count = 0
        self.documents = 0

    def wrong(self, mark: Any, message: str, path: str = "") -> None:
        self.problems.append(Problem(self.file, mark.line + 1, mark.column + 1, path, message))

    def take(self, event: Any) -> None:
        match type(event).__name__:
            case "DocumentStartEvent":
                self._document(event)
            case "MappingStartEvent":
                self._open(event, {})
            case "SequenceStartEvent":
                self._open(event, [])
            case "MappingEndEvent" | "SequenceEndEvent":
                self._close()
            case "ScalarEvent":
                self._scalar(event)
            case "AliasEvent":
                self._alias(event)

    def _document(self, event: Any) -> None:
        self.documents += 1
        if self.documents > 1:
            self.wrong(
                event.start_mark,
                "--- begins a second text here, and a scenario is one; delete this line and what does not belong "
                "below it",
            )
            raise _Stop
        if event.version or event.tags:
            self.wrong(
                event.start_mark,
                "a line that begins with % has no meaning here; delete it, and the line --- below it",
            )

    def _count(self, event: Any, more: int) -> None:
        self.count += more
        if self.count > MOST_VALUES:
            self.wrong(
                event.start_mark,
                f"there are more than {MOST_VALUES:,} keys and values; make the scenario shorter",
            )
            raise _Stop

    def _common(self, event: Any) -> None:
        self._count(event, 1)
        if event.anchor:
            self.wrong(
                event.start_mark,
                f"& and a name (&{shown(event.anchor)}) have no meaning here; write the value out where it is needed, "
                "and put a text that begins with & in quotes",
            )
        if event.tag:
            self.wrong(
                event.start_mark,
                f"a word with ! before a value ({shown(event.tag)}) has no meaning here; write the value alone, and "
                "put a text that begins with ! in quotes",
            )

    def _open(self, event: Any, new: dict[str, Any] | list[Any]) -> None:
        self._common(event)
        if len(self.levels) >= MOST_DEPTH:
            self.wrong(
                event.start_mark,
                f"block stands in block here, more than {MOST_DEPTH} deep; no scenario needs so many, take some away",
            )
            raise _Stop
        if self.levels and isinstance(self.levels[-1].into, dict) and self.levels[-1].key is None:
            self.wrong(
                event.start_mark,
                "a list or a block stands where a key is needed; a key is a single word or text",
            )
            raise _Stop
        if not self.levels and isinstance(new, list):
            self.wrong(
                event.start_mark, "the file begins with a list; begin with a key such as `title: My business`"
            )
            raise _Stop
        level = self.levels[-1] if self.levels else None
        old = level.into.get(level.key) if level and isinstance(level.into, dict) and level.key else None
        if isinstance(old, dict) and isinstance(new, dict):
            new = old  # a block that is written twice: all that stands in either
        self.levels.append(_Level(self._place(event, new), new, event.anchor))

    def _close(self) -> None:
        level = self.levels.pop()
        if level.anchor:
            self.anchored[level.anchor] = level.into
        if isinstance(level.into, dict):
            level.into.pop("", None)
            merged = level.into.pop(_MERGE, None)
            for block in merged if isinstance(merged, list) else [merged]:
                for key, value in block.items() if isinstance(block, dict) else ():
                    level.into.setdefault(key, value)

    def _alias(self, event: Any) -> None:
        words = (
            f"* and a name (*{shown(event.anchor)}) have no meaning here; write the value out again, and put a text "
            "that begins with * in quotes"
        )
        self.wrong(event.start_mark, words)
        value = self.anchored.get(event.anchor)
        self._count(event, _size(value))
        steps = self._place(event, copy.deepcopy(value))
        if event.anchor not in self.anchored:
            self.tree.unread.add(steps)

    def _place(self, event: Any, value: Any) -> Steps:
        """Put a value where it belongs; its path."""
        place = Place(self.file, event.start_mark.line + 1, event.start_mark.column + 1)
        if not self.levels:
            if isinstance(value, dict):
                self.tree.value = value
                self.tree.values[()] = Place(self.file, 1, 1)
                return ()
            self.wrong(
                event.start_mark,
                "no key with a colon stands here; begin with a line such as `title: My business`",
            )
            raise _Stop
        level = self.levels[-1]
        if isinstance(level.into, list):
            steps: Steps = (*level.steps, len(level.into))
            level.into.append(value)
        else:
            if level.key is None:
                self.wrong(event.start_mark, "a key is missing here")
                raise _Stop
            steps = (*level.steps, level.key)
            level.into[level.key] = value
            level.key = None
        if value is None and steps in self.tree.keys:
            place = self.tree.keys[steps]
        self.tree.values[steps] = place
        return steps

    def _scalar(self, event: Any) -> None:
        self._common(event)
        level = self.levels[-1] if self.levels else None
        if level and isinstance(level.into, dict) and level.key is None:
            self._key(level, event)
        else:
            plain = event.style is None and not (event.tag or "").endswith("str")
            value = scalar(event.value) if plain else self._seen(event)
            long = isinstance(value, str) and len(value) > MOST_LETTERS
            if long:
                self.wrong(
                    event.start_mark,
                    f"a text of more than {MOST_LETTERS:,} characters stands here; make it shorter",
                )
                value = None
            if event.anchor:
                self.anchored[event.anchor] = value
            steps = self._place(event, value)
            if long:
                self.tree.unread.add(steps)

    def _seen(self, event: Any) -> str:
        """A text without the control characters that escapes in it stand for; each kind of these is told once."""
        text = str(event.value)
        found = dict.fromkeys(letter for letter in text if letter == "\r" or UNSEEN.match(letter))
        for letter in found:
            self.wrong(event.start_mark, in_words(letter, written=False))
            text = text.replace(letter, "")
        return text

    def _key(self, level: _Level, event: Any) -> None:
        key = self._seen(event)
        steps = (*level.steps, key)
        if key == _MERGE:
            self.wrong(event.start_mark, "<< has no meaning here; write the keys out again")
        elif not key.strip():
            self.wrong(event.start_mark, "an empty key stands here; write a key before the colon")
            key = ""
        elif key in level.seen:
            first = self.tree.keys[steps].line
            self.wrong(
                event.start_mark, f"'{shown(key)}' is written twice, first in line {first}; delete one"
            )
        else:
            self.tree.keys[steps] = Place(self.file, event.start_mark.line + 1, event.start_mark.column + 1)
        level.seen.add(key)
        level.key = key


def _size(value: Any) -> int:
    """How many keys and values there are in a value."""
    parts = [*value, *value.values()] if isinstance(value, dict) else value if isinstance(value, list) else ()
    return 1 + sum(map(_size, parts))


def compose(text: str, file: str) -> Tree:
    """Build the tree of one document, with what is wrong in its writing.

    Raises
    ------
    InputError
        With all that is wrong in its writing, where so much is wrong that the rest cannot be understood.
    """
    if len(text.splitlines()) > MOST_LINES:
        message = f"there are more than {MOST_LINES:,} lines; make the scenario shorter"
        raise InputError.of([Problem(file, MOST_LINES + 1, 1, "", message)])
    composer = _Composer(file)
    try:
        for event in events(text):
            composer.take(event)
    except _Stop:
        composer.whole = False
    except MarkedYAMLError as error:
        composer.whole = False
        composer.problems.append(_no_blank(error, text, file) or _broken(error, text, file))
    except (YAMLError, ValueError) as error:
        composer.whole = False
        composer.problems.append(Problem(file, 0, 0, "", f"cannot be understood ({shown(error)})"))
    if composer.whole and not composer.documents:
        composer.whole = False
        message = (
            "holds nothing but lines that begin with #, which are not read; begin with a line such as "
            "`title: My business`"
        )
        composer.problems.append(Problem(file, 0, 0, "", message))
    if not composer.whole:
        raise InputError.of(composer.problems)
    composer.tree.problems = composer.problems
    return composer.tree


def _broken(error: MarkedYAMLError, text: str, file: str) -> Problem:
    mark, message = _in_words(error)
    lines = text.split("\n")
    line, start = lines[mark.line] if mark.line < len(lines) else "", 0
    for end in _DIVIDES.finditer(line):
        key = line[start : end.start()].strip()
        if end[0] == ":" and len(key) > _LONGEST_KEY:
            message = f"a key of more than {_LONGEST_KEY} characters stands here; a name has 60 at most"
            return Problem(file, mark.line + 1, line.index(key, start) + 1, "", message)
        start = end.end()
    return Problem(file, mark.line + 1, mark.column + 1, "", message)


def _no_blank(error: MarkedYAMLError, text: str, file: str) -> Problem | None:
    """The line that only lacks a blank after its colon: it is found wrong a line too late, or as one without colon."""
    last = None
    if "mapping values are not allowed" in (error.problem or "") and error.problem_mark:
        last = error.problem_mark.line
    elif "could not find expected ':'" in (error.problem or "") and error.context_mark:
        last = error.context_mark.line + 1
    lines = text.splitlines()[:last] if last is not None else []
    number = next((n for n in range(len(lines), 0, -1) if lines[n - 1].strip()), 0)
    found = NO_BLANK.fullmatch(lines[number - 1].rstrip()) if number else None
    message = blank_missing(found[0]) if found else None
    return Problem(file, number, len(found[1]) + 1, "", message) if message and found else None


def _in_words(error: MarkedYAMLError) -> tuple[Any, str]:
    """Where the writing is wrong, and what to do, for the mistakes people make."""
    problem, context = error.problem or "", error.context or ""
    here, start = error.problem_mark or error.context_mark, error.context_mark or error.problem_mark
    if "'\\t'" in problem:
        return here, "a tab stands here; use spaces instead"
    if "cannot start any token" in problem:
        letter = problem.split("'")[1] if "'" in problem else "this sign"
        return here, f"a value cannot begin with {letter}; put the text in quotes"
    if "quoted scalar" in context and ("end of stream" in problem or "document separator" in problem):
        return start, "the quote that opens here is not closed; add the closing quote"
    if "unknown escape" in problem:
        return here, "a backslash in double quotes has a meaning of its own; use single quotes"
    if "flow sequence" in context or "flow mapping" in context:
        sign, close = ("[", "]") if "sequence" in context else ("{", "}")
        return (
            start,
            f"what opens here with {sign} is not closed, or a comma is missing; check up to its {close}",
        )
    if "mapping values are not allowed" in problem:
        return (
            here,
            "a colon is not expected here; indent the line like its neighbours, or put the text in quotes",
        )
    if "expected <block end>" in problem:
        return here, "this line does not fit the lines above; indent it like its neighbours"
    if "could not find expected ':'" in problem:
        return start, "this line has no colon; write `key: value`"
    return here, f"this cannot be understood ({shown(problem)}); check quotes, colons and indentation"
