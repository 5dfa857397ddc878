"""Names that would do harm in a terminal, a page, a table or a shell: in every place where they come out again."""

from __future__ import annotations

import csv
import json
import re
import shlex
from pathlib import Path

import pytest
from click.testing import Result
from typer.testing import CliRunner

from planner.cli.app import app
from planner.engine import Here
from planner.engine.player import Setting
from planner.report.csv_text import FORMULA
from planner.scenario.unseen import UNSEEN
from planner.study import comparison
from tests.study.workshops import gift_fails

MARKUP = "</script><script>alert(1)</script>"
OPTIONS = {
    "=1+1": "melting.heel: 1 kg",
    f"@x{MARKUP}": "melting.heel: 2 kg",
    "-x [bold]b[/bold] $(id)": "melting.heel: 3 kg",
    "שלום {{7*7}} `id`": "melting.heel: 4 kg",
    "x" * 60: "melting.heel: 5 kg",
}
OUTLOOK = f"+out{MARKUP[:40]}"
TITLE = f"<b>Title</b>{MARKUP}"
HOSTILE = f"""\
extends: garden.yaml
title: "{TITLE}"
summary: "=HYPERLINK(1) ]]> --> <!-- [red]x[/red]"
supply:
  - name: "@SUM(1)"
    model: core.shops
    settings:
      shops:
        "=cmd|' /C calc'!A0": {{x: 2 km, y: 1 km, kind: independent}}
        "<i>shop</i>{MARKUP}": {{x: 1 km, y: 1 km, kind: small}}
demand:
  - name: "+1{MARKUP}"
    model: core.returning
    settings: {{people: 8, known: 8, gap: 9 days, size: 9 kg, most: {{hard: 5 EUR/kg, mixed: 5 EUR/kg}}}}
costs:
  - {{name: "-2+3", amount: 0.5 EUR, per: melt}}
options:
  full buckets: none
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory, root: Path) -> Path:
    """The hostile business, run and compared; its present fails."""
    found = tmp_path_factory.mktemp("hostile")
    garden = (root / "tests" / "study" / "garden.yaml").read_text(encoding="utf-8")
    (found / "garden.yaml").write_text(garden, encoding="utf-8")
    options = "".join(f"  {json.dumps(name)}: {{changes: {{{what}}}}}\n" for name, what in OPTIONS.items())
    outlooks = f"outlooks:\n  {json.dumps(OUTLOOK)}: {{changes: {{melting.heel: 0 kg}}}}\n"
    (found / "bad.yaml").write_text(HOSTILE + options + outlooks, encoding="utf-8")
    return found


@pytest.fixture(scope="module")
def said(folder: Path) -> dict[str, Result]:
    """What each command says."""
    true_compare = comparison.compare

    def with_failures(scenario: object, **asked: object) -> object:
        del asked["workers"]
        asked["engine"] = Here(Setting(scenario, 4, gift_fails))
        return true_compare(scenario, **asked)  # type: ignore[arg-type]

    def call(*words: object) -> Result:
        return CliRunner().invoke(app, [str(word) for word in words], prog_name="planner")

    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setattr(comparison, "compare", with_failures)
        return {
            "check": call("check", "bad.yaml"),
            "check json": call("check", "bad.yaml", "--format", "json"),
            "run": call("run", "bad.yaml", "--option", "=1+1", "--trace", "told"),
            "compare": call("compare", "bad.yaml", "--replicates", 2, "--out", "o"),
            "compare json": call("compare", "bad.yaml", "--replicates", 2, "--out", "o2", "--format", "json"),
            "unknown": call("run", "bad.yaml", "--option", "\x1b[31mred\u202e"),
            "no file": call("check", "\x1b]0;owned\x07.yaml"),
        }


def test_the_terminal_is_shown_names_and_obeys_none(said: dict[str, Result]) -> None:
    codes = {which: found.exit_code for which, found in said.items()}
    assert codes == {
        "check": 0, "check json": 0, "run": 0, "compare": 1, "compare json": 1, "unknown": 2, "no file": 2,
    }  # fmt: skip
    for found in said.values():
        assert not UNSEEN.search(found.output)
    assert TITLE in said["compare"].stdout.replace("\n", "")
    assert "-x [bold]b" in said["compare"].stdout


def test_json_says_every_name_as_it_is_written(said: dict[str, Result]) -> None:
    known, compared = (json.loads(said[which].stdout) for which in ("check json", "compare json"))
    assert set(OPTIONS) < set(known["options"])
    assert {row["option"] for row in compared["options"]} > set(OPTIONS)
    assert compared["scenario"]["title"] == TITLE


def tables(folder: Path) -> list[Path]:
    return sorted(path for place in ("o", "told") for path in (folder / place).glob("*.csv"))


@pytest.mark.usefixtures("said")
def test_no_cell_of_any_table_is_a_formula(folder: Path) -> None:
    names = {path.name for path in tables(folder)}
    assert {
        "options.csv",
        "runs.csv",
        "failures.csv",
        "months.csv",
        "lots.csv",
        "trips.csv",
        "ledger.csv",
    } <= names
    seen = set()
    for path in tables(folder):
        with path.open(encoding="utf-8", newline="") as file:
            rows = list(csv.reader(file))
        assert len({len(row) for row in rows}) == 1  # no name broke a line
        for cell in (cell for row in rows for cell in row):
            assert not cell.startswith(FORMULA) or re.fullmatch(r"-?[\d.]+(e-?\d+)?", cell)
            seen.add(cell.removeprefix("'"))
    assert {*OPTIONS, OUTLOOK, "=cmd|' /C calc'!A0", "-2+3"} <= seen


@pytest.mark.usefixtures("said")
def test_the_command_that_repeats_a_failed_run_hands_no_name_to_the_shell(folder: Path) -> None:
    with (folder / "o" / "failures.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    (words,) = {
        row["repeat"] for row in rows if row["outlook"].lstrip("'") == OUTLOOK and row["replicate"] == "0"
    }
    told = shlex.split(words)
    assert told[told.index("--outlook") + 1] == OUTLOOK
    assert told[:3] == ["planner", "run", "bad.yaml"]


@pytest.mark.usefixtures("said")
def test_the_page_runs_its_own_script_and_nothing_of_a_name(folder: Path) -> None:
    text = (folder / "o" / "index.html").read_text(encoding="utf-8")
    assert "alert(1)</script>" not in text
    assert "<b>Title" not in text
    assert "&lt;b&gt;Title" in text
    assert re.search(r"Content-Security-Policy\" content=\"default-src (?:'|&#39;)none", text)
    assert len(re.findall(r"<script(?: type=\"application/json\"[^>]*)?>", text)) == len(
        re.findall("</script>", text)
    )


@pytest.mark.usefixtures("said")
def test_what_a_study_is_drawn_from_holds_the_names_as_they_are(folder: Path) -> None:
    manifest = json.loads((folder / "o" / "manifest.json").read_text(encoding="utf-8"))
    assert OUTLOOK in manifest["outlooks"]
    assert json.loads((folder / "o" / "study.json").read_text(encoding="utf-8"))
    told = (folder / "told" / "README.txt").read_text(encoding="utf-8")
    assert not UNSEEN.search(told)
    assert told.startswith(TITLE)
