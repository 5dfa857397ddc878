"""The way from nothing to the first report in scenarios/README.md: all that it shows is run, in its order."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from click.testing import Result
from typer.testing import CliRunner

import planner
from planner.asking.answers import read_answers
from planner.asking.questions import FIRST
from planner.cli.app import app
from tests.contract.tree import ROOT
from tests.fences import Block, blocks

PAGE = (ROOT / "scenarios" / "README.md").read_text(encoding="utf-8")
WAY, _, REFERENCE = PAGE.partition("# How a scenario is written\n")
COMMAND = re.compile(r"`planner ([^`]+)`")
NAMED = re.compile(r"`((?:my-|reports/)[\w./-]+)`")


def typed(*words: str) -> Result:
    return CliRunner().invoke(app, list(words), prog_name="planner")


class Newcomer:
    """Does what the page says, line by line: a shell whose program is called in this process."""

    def __init__(self, home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self._monkeypatch = monkeypatch
        self.last = ""
        """What the last box of commands printed."""
        (home / "planner").mkdir()
        (home / "planner" / "scenarios").symlink_to(ROOT / "scenarios")
        (home / "planner" / ".venv").symlink_to(sys.prefix)
        monkeypatch.setenv("HOME", str(home))
        monkeypatch.delenv("PLANNER_STORE")
        monkeypatch.chdir(home)

    def do(self, block: Block) -> None:
        if block.form == "sh":
            self.last = "".join(self._line(line) for line in block.text.splitlines())
        elif block.form == "text":
            for line in block.text.splitlines():
                assert line in " ".join(self.last.split())
        else:
            assert block.file, f"of which file is this?\n{block.text}"
            assert block.form == Path(block.file).suffix.removeprefix(".")
            self._write(block)

    def _line(self, line: str) -> str:
        program, *words = shlex.split(line)
        if program == "planner":
            done = typed(*words)
            assert done.exit_code == 0, f"{line}\n{done.output}"
            return done.output
        told = subprocess.run(["bash", "-euc", f"{line}; pwd"], capture_output=True, text=True, check=True)
        self._monkeypatch.chdir(told.stdout.rstrip("\n"))
        return ""

    def _write(self, block: Block) -> None:
        file, text = Path(block.file), block.text
        if block.below:
            before, line, after = file.read_text(encoding="utf-8").partition(f"\n{block.below}\n")
            assert line
            text = f"{before}{line}{text}{after}"
        elif file.exists():  # a table that was begun: its columns are those that were explained
            given, shown = (one.partition("\n")[0].split(",") for one in (file.read_text("utf-8"), text))
            assert set(shown) <= set(given)
        file.write_text(text, encoding="utf-8")


def test_a_newcomer_comes_from_an_empty_folder_to_advice_by_own_records(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    newcomer = Newcomer(tmp_path, monkeypatch)
    for block in blocks(WAY):
        newcomer.do(block)
    assert Path.cwd() == tmp_path / "garage"
    names = set(NAMED.findall(WAY))
    assert {"my-garage-fitted.yaml", "reports/my-garage-fitted/index.html", "my-records/asked.csv"} <= names
    assert sorted(name for name in names if not Path(name).exists()) == []
    mine, fitted = planner.load("my-garage.yaml"), planner.load("my-garage-fitted.yaml")
    assert {"burner from the neighbour", "half a euro dearer"} <= set(fitted.options)
    assert fitted.estimates
    assert not mine.estimates
    assert "nine times in ten" in Path("my-garage-fitted.yaml").read_text(encoding="utf-8")
    assert "Whether a record would change this choice cannot be told" in " ".join(newcomer.last.split())


def test_the_answers_shown_are_those_to_all_that_is_asked_as_the_program_keeps_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (shown,) = (one for one in blocks(WAY) if one.file.endswith(".answers.yaml"))
    Path(shown.file).write_text(shown.text, encoding="utf-8")
    answers = read_answers(Path(shown.file), tmp_path, date(2026, 3, 7))
    assert list(answers.given) == [question.key for question in FIRST if answers.asked(question)]
    assert typed("new", "my-garage.yaml").exit_code == 0
    kept = Path(shown.file).read_text(encoding="utf-8").splitlines()
    assert [line.partition("  # ")[0] for line in kept if line[0] != "#"] == shown.text.splitlines()


@pytest.mark.parametrize("words", sorted(set(COMMAND.findall(PAGE))))
def test_a_command_named_in_a_sentence_is_one_with_these_options(words: str) -> None:
    told = typed(*shlex.split(words), "--help")
    assert told.exit_code == 0, told.output
    assert f"Usage: planner {words.split()[0]}" in told.output


def test_what_is_shown_of_writing_a_scenario_loads(tmp_path: Path) -> None:
    shutil.copy(ROOT / "scenarios" / "example.yaml", tmp_path)
    found = blocks(REFERENCE)
    assert {(one.form, one.file) for one in found} == {("yaml", "")}
    for one in found:
        start = "" if one.text.startswith("extends:") else "extends: example.yaml\n"
        (tmp_path / "mine.yaml").write_text(f"{start}{one.text}", encoding="utf-8")
        planner.load(tmp_path / "mine.yaml")


def links() -> Iterator[str]:
    yield from re.findall(r"\]\((?!http)([^)]+)\)", WAY)


def test_what_is_linked_to_is_there() -> None:
    for link in links():
        file, _, heading = link.partition("#")
        page = (ROOT / "scenarios" / (file or "README.md")).read_text(encoding="utf-8")
        assert not heading or re.search(rf"^#+ {heading.replace('-', ' ')}$", page, re.M | re.I)


@pytest.mark.parametrize(
    "block",
    [
        "text before it\n```sh\ntrue\n```\n",
        "* in a list:\n\n  ```sh\n  true\n  ```\n",
        "a\n\n```\ntrue\n```\n",
    ],
)
def test_a_block_that_would_not_be_run_is_refused(block: str) -> None:
    with pytest.raises(AssertionError, match="marks of blocks"):
        blocks(block)
