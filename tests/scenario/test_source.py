from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.scenario.compose import MOST_LINES, MOST_VALUES, compose, scalar
from planner.scenario.errors import InputError, Problem
from planner.scenario.source import MOST_BYTES, read
from planner.scenario.tree import Place, at, dotted

TEXT = """\
title: A test
melting:
  power: 9 kW
  pot:
    fill_share: 0.5
demand:
  - name: casters
    people: 20
  - people: 010
nothing:
yes: no
"""


def message(path: Path, name: str = "x.yaml") -> str:
    """What is wrong with the writing of a file, whether its values are understood all the same or not."""
    try:
        return "\n".join(map(str, read(path, name).problems))
    except InputError as error:
        return str(error)


def test_values_keep_what_was_written() -> None:
    assert compose(TEXT, "x.yaml").value == {
        "title": "A test",
        "melting": {"power": "9 kW", "pot": {"fill_share": 0.5}},
        "demand": [{"name": "casters", "people": 20}, {"people": "010"}],
        "nothing": None,
        "yes": "no",
    }


def test_every_key_and_value_has_its_line_and_column() -> None:
    tree = compose(TEXT, "x.yaml")
    assert tree.place(("melting", "power")) == Place("x.yaml", 3, 10)
    assert tree.place(("melting", "power"), key=True) == Place("x.yaml", 3, 3)
    assert tree.place(("demand", 1, "people")) == Place("x.yaml", 9, 13)
    assert tree.place(("nothing",)) == Place("x.yaml", 10, 1)


def test_what_is_not_written_stands_at_the_deepest_key_that_is() -> None:
    tree = compose(TEXT, "x.yaml")
    assert tree.place(("melting", "pot", "lid", "colour")) == Place("x.yaml", 4, 3)
    assert tree.place(("elsewhere",)) == Place("x.yaml", 1, 1)


def test_an_entry_of_a_list_is_called_by_its_name_or_its_number() -> None:
    value = compose(TEXT, "x.yaml").value
    assert dotted(("demand", 0, "people"), value) == "demand.casters.people"
    assert dotted(("demand", 1, "people"), value) == "demand.2.people"
    assert at(value, ("demand", 0, "name")) == "casters"


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("5", 5), ("-5", -5), ("0", 0), ("0.5", 0.5), (".5", 0.5), ("-0.25", -0.25), ("true", True),
        ("false", False), ("", None), ("null", None), ("~", None),
    ],
)  # fmt: skip
def test_plain_values_follow_the_core_rules(text: str, value: object) -> None:
    found = scalar(text)
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize(
    "text",
    [
        "no",
        "yes",
        "on",
        "010",
        "1e3",
        "+5",
        "0x1F",
        "0o17",
        "1_000",
        "12:30",
        ".inf",
        ".nan",
        "5.",
        "2026-01-05",
    ],
)
def test_what_may_mean_something_else_stays_text(text: str) -> None:
    assert scalar(text) == text


def test_numbers_in_quotes_stay_text() -> None:
    assert compose("a: '5'\nb: \"true\"\n", "x.yaml").value == {"a": "5", "b": "true"}


def test_a_missing_file_names_the_nearest(tmp_path: Path) -> None:
    (tmp_path / "example.yaml").write_text("a: 1\n")
    near = tmp_path / "exmaple.yaml"
    assert message(near) == f"x.yaml: there is no such file; did you mean {tmp_path / 'example.yaml'}?"
    far = tmp_path / "business.yaml"
    assert (
        message(far) == f"x.yaml: there is no such file; check the path, such as {tmp_path / 'example.yaml'}"
    )
    lost = tmp_path / "nowhere" / "a.yaml"
    assert message(lost) == f"x.yaml: there is no folder {tmp_path / 'nowhere'}; check the path"
    bare = tmp_path / "exampel"
    assert message(bare) == f"x.yaml: there is no such file; did you mean {tmp_path / 'example.yaml'}?"
    (tmp_path / "scenarios").mkdir()
    (tmp_path / "scenarios" / "a.yaml").write_text("a: 1\n")
    folder = tmp_path / "scenarioz" / "a.yaml"
    meant = tmp_path / "scenarios" / "a.yaml"
    assert message(folder) == f"x.yaml: there is no folder {folder.parent}; did you mean {meant}?"


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    assert message(tmp_path) == "x.yaml: is a folder; name a scenario file"


def test_a_pipe_or_a_device_is_never_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.yaml"
    os.mkfifo(pipe)
    assert message(pipe) == "x.yaml: is not an ordinary file; name a scenario file"
    assert message(Path("/dev/zero")) == "x.yaml: is not an ordinary file; name a scenario file"


def test_a_large_file_is_not_read_to_its_end(tmp_path: Path) -> None:
    large = tmp_path / "large.yaml"
    large.write_bytes(b"#" * (MOST_BYTES + 1))
    assert message(large) == (
        "x.yaml: is larger than 1 MB; a scenario is a short text, name another file. If it is one, it is too much to "
        "play: 30,000 shops would take about 2 seconds and 58 MB a world"
    )


def test_a_million_shops_are_answered_with_time_and_memory_though_they_are_not_read(tmp_path: Path) -> None:
    many = tmp_path / "many.yaml"
    many.write_bytes(b"        s999999: {x: 2 km, y: 1 km}\n" * 1_000_000)
    assert message(many).endswith("1,000,000 shops would take about 72 seconds and 1,920 MB a world")


def test_a_path_that_no_system_takes_is_told(tmp_path: Path) -> None:
    assert "cannot be opened" in message(tmp_path / "a\0b.yaml")


NOT_UTF8 = "a letter here cannot be read; save the file anew in your editor, and choose UTF-8 as its encoding"


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"a: 1\0\n", "x.yaml: is not a text file; name a scenario, such as scenarios/example.yaml"),
        (
            b"a: 1\nb: \xe9\n",
            "x.yaml:2:4: " + NOT_UTF8,
        ),
        (
            "a: 1\n".encode("utf-16"),
            "x.yaml:1:1: " + NOT_UTF8,
        ),
        (b"a: \x07\n", "x.yaml:1:4: an invisible control character (U+0007) stands here; delete it"),
    ],
)
def test_a_file_that_is_no_text_is_told(tmp_path: Path, content: bytes, told: str) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(content)
    assert message(path) == told


def test_a_mark_of_byte_order_does_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(b"\xef\xbb\xbfa: 1\n")
    assert read(path).value == {"a": 1}


def test_thousands_of_keys_are_refused() -> None:
    with pytest.raises(InputError, match=f"more than {MOST_VALUES:,} keys and values"):
        compose("".join(f"k{number}: 1\n" for number in range(MOST_VALUES)), "x.yaml")


def test_tens_of_thousands_of_lines_are_refused() -> None:
    assert compose("a: 1\n" + "#\n" * (MOST_LINES - 1), "x.yaml").value == {"a": 1}
    with pytest.raises(
        InputError, match=f"^x.yaml:{MOST_LINES + 1}:1: there are more than {MOST_LINES:,} lines"
    ):
        compose("a: 1\n" + "#\n" * MOST_LINES, "x.yaml")


def test_a_word_with_an_exclamation_mark_is_told_however_it_is_written() -> None:
    for word in ("!" + "x" * 100_000, "!%25zz"):
        (found,) = compose(f"a: {word} 1", "x.yaml").problems
        assert (found.line, found.column) == (1, 4)
        assert found.message.startswith("a word with ! before a value (!")


@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=60))
def test_whatever_the_text_it_is_a_tree_or_a_told_mistake(text: str) -> None:
    told: tuple[Problem, ...] = ()
    keys: set[object] = set()
    try:
        tree = compose(text, "x.yaml")
        keys = set(tree.keys)
        assert keys <= set(tree.values)
    except InputError as error:
        told = error.problems
    assert told or keys or text.strip() in {"{}", "{ }"}
