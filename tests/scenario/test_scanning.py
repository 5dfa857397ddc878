"""What is passed over at once is read as ruamel.yaml reads it letter by letter."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError

from planner.scenario.scanning import events

PIECES = (
    " ", "  ", "\n", "\n\n", "\n  ", "# c\n", "  # c\n", " #", "\r\n", "\r", "\x85", "\u2028", "\ufeff", "\t", "a",
    "a word", "b: ", "key: v", ": ", ":", "- ", "? ", "[", "]", "{", "}", ",", '"', "'", "|\n", ">\n  ", "|2-\n", "---",
    "\n---\n", "\n...\n", "&a ", "*a", "!t ", "!!str ", "\\", "\\x41", "é",
)  # fmt: skip


def plainly(text: str) -> Iterable[Any]:
    return YAML(typ="safe", pure=True).parse(text)


def told(found: Iterable[Any]) -> list[Any]:
    """Every event with its places, up to what cannot be read."""
    rows: list[Any] = []

    def place(mark: Any) -> Any:
        return mark and (mark.index, mark.line, mark.column)

    try:
        for one in found:
            said = [str(getattr(one, name, None)) for name in ("value", "style", "anchor", "tag", "implicit")]
            rows.append((type(one).__name__, place(one.start_mark), place(one.end_mark), *said))
    except MarkedYAMLError as error:
        rows.append((error.problem, error.context, place(error.problem_mark), place(error.context_mark)))
    except (YAMLError, ValueError) as error:
        rows.append(str(error))
    return rows


@given(st.lists(st.sampled_from(PIECES), max_size=30).map("".join))
def test_any_text_is_read_as_ruamel_reads_it(text: str) -> None:
    assert told(events(text)) == told(plainly(text))


@pytest.mark.parametrize("folder", ["scenarios", "tests/scenario/bad"])
def test_every_file_of_ours_is_read_as_ruamel_reads_it(root: Path, folder: str) -> None:
    paths = sorted((root / folder).glob("*.yaml"))
    assert paths
    for path in paths:
        text = path.read_text(encoding="utf-8", errors="replace")
        assert told(events(text)) == told(plainly(text)), path.name
