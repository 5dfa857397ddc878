"""`planner new` without a terminal; in one it is tested in tests/asking."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result
from typer.testing import CliRunner

from planner.asking.answers import read_answers
from planner.cli.app import app
from planner.study import load
from tests.asking.conftest import TODAY

Planner = Callable[..., Result]
ANSWERS = "currency: USD\nunits: lb\npayload: 900\nhours: sat 8-17\nbucket_hours: 8\n"


@pytest.fixture
def answers(tmp_path: Path) -> Path:
    file = tmp_path / "told.yaml"
    file.write_text(ANSWERS)
    return file


def test_answers_from_a_file_make_a_scenario_and_one_document(
    planner: Planner, answers: Path, tmp_path: Path
) -> None:
    found = planner("new", "mine.yaml", "--answers", answers, "--format", "json")
    assert found.exit_code == 0, found.output
    document = json.loads(found.stdout)
    assert document["answered"] == {
        "currency": "USD", "units": "lb", "payload": "900 lb", "hours": {"sat": "08:00-17:00"}, "bucket_hours": "8 h",
    }  # fmt: skip
    assert "cash" in document["left_open"]
    assert document["next"] == ["planner check mine.yaml", "planner compare mine.yaml"]
    assert document["answers_kept"] is None
    assert load(tmp_path / "mine.yaml").currency == "USD"
    assert sorted(one.name for one in tmp_path.iterdir()) == ["mine.yaml", "told.yaml"]


def test_what_is_there_is_not_overwritten_unless_forced(
    planner: Planner, answers: Path, tmp_path: Path
) -> None:
    mine = tmp_path / "mine.yaml"
    mine.write_text("mine\n")
    found = planner("new", "mine.yaml", "--answers", answers)
    assert (found.exit_code, mine.read_text()) == (2, "mine\n")
    assert "mine.yaml is there already, and nothing is overwritten unasked" in found.stderr
    assert planner("new", "mine.yaml", "--answers", answers, "--force").exit_code == 0
    assert mine.read_text().startswith("# Written by `planner new`")


def test_wrong_answers_are_told_with_their_lines_and_nothing_is_written(
    planner: Planner, tmp_path: Path
) -> None:
    (tmp_path / "told.yaml").write_text("payload: 5 h\nbukets: 3\n")
    found = planner("new", "mine.yaml", "--answers", "told.yaml")
    assert found.exit_code == 2
    assert [line.split(": ")[0] for line in found.stderr.splitlines()] == ["told.yaml:1:10", "told.yaml:2:1"]
    assert not (tmp_path / "mine.yaml").exists()


def test_where_nobody_can_be_asked_it_says_what_to_do(planner: Planner, tmp_path: Path) -> None:
    found = planner("new", "mine.yaml")  # standard input is empty
    assert found.exit_code == 2
    assert "Nobody can be asked here" in found.stderr
    assert "planner new mine.yaml --answers answers.yaml" in found.stderr
    assert list(tmp_path.iterdir()) == []


def test_answers_may_come_through_a_pipe(
    planner: Planner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = "My garage\nusd\nlb\n4\n" + "\n" * 13
    found = CliRunner().invoke(app, ["new", "mine.yaml"], input=lines)
    assert found.exit_code == 0, found.output
    assert load(tmp_path / "mine.yaml").title == "My garage"
    kept = read_answers(tmp_path / "mine.answers.yaml", tmp_path, TODAY)
    assert (len(kept.given), len(kept.yours)) == (17, 4)


def test_a_wrong_line_of_a_pipe_ends_it_and_what_came_before_is_kept(
    planner: Planner, tmp_path: Path
) -> None:
    found = CliRunner().invoke(app, ["new", "mine.yaml"], input="My garage\neuros\nkg\n")
    assert found.exit_code == 2
    assert "did you mean EUR?" in found.stderr
    kept = read_answers(tmp_path / "mine.answers.yaml", tmp_path, TODAY)
    assert dict(kept.given) == {"title": "My garage"}


def test_answers_of_an_earlier_session_are_not_overwritten_by_others(
    planner: Planner, answers: Path, tmp_path: Path
) -> None:
    from planner.asking.new import begin
    from planner.report.folder import OutputError

    (tmp_path / "mine.answers.yaml").write_text("title: Earlier\n")
    with pytest.raises(OutputError, match="holds other answers"):
        begin(tmp_path / "mine.yaml", answers, TODAY, overwrites=False, asks=True)
    begun = begin(tmp_path / "mine.yaml", None, TODAY, overwrites=False, asks=True)
    assert (begun.resumed, begun.answers.given["title"]) == (True, "Earlier")


def test_it_compares_at_once_if_that_is_wanted(
    planner: Planner, answers: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    compared: list[Path] = []
    monkeypatch.setattr("planner.cli.new.compare", compared.append)
    assert planner("new", "mine.yaml", "--answers", answers, "--run").exit_code == 0
    assert compared == [Path("mine.yaml")]
    wrong = planner("new", "other.yaml", "--answers", answers, "--run", "--format", "json")
    assert (wrong.exit_code, (tmp_path / "other.yaml").exists()) == (2, False)


def test_a_form_to_fill_in_is_printed(planner: Planner, tmp_path: Path) -> None:
    found = planner("new", "--form")
    assert found.exit_code == 0
    assert "# payload: 410 kg" in found.stdout
    assert list(tmp_path.iterdir()) == []
