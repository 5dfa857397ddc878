"""``planner new`` in a real terminal."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pexpect
import pytest

from planner.asking.answers import read_answers
from planner.study import load
from tests.asking.conftest import TODAY

AT_LAST_S = 60
UP, CTRL_C, CTRL_D = "\x1b[A", "\x03", "\x04"
CODE = "from planner.cli import main; main()"
Terminal = Callable[..., "pexpect.spawn[str]"]


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Terminal]:
    """Open a terminal with a command in it, in an empty folder."""
    opened: list[pexpect.spawn[str]] = []

    def begin(*words: str, term: str = "xterm") -> pexpect.spawn[str]:
        env = {**os.environ, "TERM": term, "PROMPT_TOOLKIT_NO_CPR": "1", "NO_COLOR": "1"}
        opened.append(
            pexpect.spawn(
                sys.executable, ["-c", CODE, *words], cwd=str(tmp_path), env=env, encoding="utf-8",
                timeout=AT_LAST_S, dimensions=(50, 160),
            )
        )  # fmt: skip
        return opened[-1]

    yield begin
    for one in opened:
        one.close(force=True)


def answer(talk: pexpect.spawn[str], question: str, *typed: str) -> None:
    """Wait for a question, then type."""
    talk.expect_exact(question)
    for text in typed:
        talk.expect(r"\] >")
        talk.send(text if text in (UP, CTRL_C, CTRL_D) else f"{text}\r")


def test_forward_back_stopped_resumed_and_checked(terminal: Terminal, tmp_path: Path) -> None:
    talk = terminal("new", "mine.yaml")
    answer(talk, "be called?", "My garage")
    answer(talk, "Which currency", "usd")
    answer(talk, "Do you weigh", "kg")
    answer(talk, "How many buckets", UP)
    answer(talk, "Do you weigh", "lb")
    answer(talk, "How many buckets", "4,5")
    talk.expect_exact("write a decimal point: 4.5")
    answer(talk, "[3 per month", "4.5")
    answer(talk, "What do you pay", "12")
    talk.expect_exact("A bucket sold to casters")
    answer(talk, "get into the vehicle?", "full")
    talk.expect_exact("refused")
    answer(talk, "How much may the vehicle carry", CTRL_D)
    talk.expect_exact("nothing is lost of what you answered")
    talk.expect(pexpect.EOF)
    talk.close()
    assert talk.exitstatus == 130
    assert [one.name for one in tmp_path.iterdir()] == ["mine.answers.yaml"]

    talk = terminal("new", "mine.yaml")
    talk.expect_exact("Going on with the 6 answers")
    answer(talk, "How much may the vehicle carry", UP)
    answer(talk, "get into the vehicle?", "half")
    answer(talk, "How much may the vehicle carry", "900")
    for question in ("free for it?", "worth to you?", "do you melt?", "is the burner?"):
        answer(talk, question, "")
    answer(talk, "at the stove", "8")
    for question in ("cast bullets", "orders a month", "ask for ingots", "scrap yard", "How much cash"):
        answer(talk, question, "")
    answer(talk, "That is what matters most.", "no")
    talk.expect_exact("Written: mine.yaml")
    answer(talk, "Go on at once?", "check")
    talk.expect_exact("My garage: mine.yaml is sound")
    talk.expect(pexpect.EOF)
    talk.close()
    assert talk.exitstatus == 0
    text = (tmp_path / "mine.yaml").read_text()
    assert "payload: 900 lb # your answer" in text
    assert load(tmp_path / "mine.yaml").units == "us"


def test_killed_in_the_middle_the_answers_so_far_are_kept(terminal: Terminal, tmp_path: Path) -> None:
    talk = terminal("new", "mine.yaml", term="dumb")
    answer(talk, "be called?", "My garage")
    answer(talk, "Which currency", "gbp")
    talk.expect_exact("Do you weigh")
    talk.kill(signal.SIGKILL)
    talk.expect(pexpect.EOF)
    (kept,) = tmp_path.glob("*.yaml")
    assert dict(read_answers(kept, tmp_path, TODAY).given) == {"title": "My garage", "currency": "GBP"}


def test_a_scenario_that_is_there_is_overwritten_only_when_asked_for(
    terminal: Terminal, tmp_path: Path
) -> None:
    (tmp_path / "mine.yaml").write_text("mine\n")
    talk = terminal("new", "mine.yaml")
    answer(talk, "Write it anew", "")
    talk.expect_exact("nothing is overwritten unasked")
    talk.expect(pexpect.EOF)
    talk.close()
    assert talk.exitstatus == 2
    assert (tmp_path / "mine.yaml").read_text() == "mine\n"
