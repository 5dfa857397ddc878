"""Tables are begun and checked from a shell."""

from __future__ import annotations

import json
from pathlib import Path

from tests.cli.conftest import Planner


def test_tables_are_begun_filled_in_and_checked(planner: Planner, tmp_path: Path) -> None:
    begun = planner("records", "start", "kept")
    assert begun.exit_code == 0, begun.output
    assert "README.txt" in begun.output
    assert "  planner records check kept\n" in begun.output
    empty = planner("records", "check", "kept")
    assert "Nothing is written down yet" in empty.output
    assert "planner fit" not in empty.output
    with (tmp_path / "kept" / "melts.csv").open("a") as melts:
        melts.write("2026-03-07,121 lb,36.2,3:30\n")
    checked = planner("records", "check", "kept")
    assert checked.exit_code == 0
    assert "melts.csv:2: weights [kg]: '121 lb' is in lb; read as 54.88 kg" in checked.output
    assert "melts: 1 row on hours of a melt" in checked.output
    assert "  planner fit YOUR-SCENARIO.yaml --records kept\n" in checked.output


def test_the_units_and_the_names_of_a_scenario_are_known(
    planner: Planner, tmp_path: Path, garden: Path
) -> None:
    scenario = tmp_path / "mine.yaml"
    scenario.write_text(f"units: us\n{garden.read_text()}")
    begun = planner("records", "start", "kept", "--scenario", scenario)
    assert begun.exit_code == 0
    assert f"  planner records check kept --scenario {scenario}\n" in begun.output
    assert "weights [lb]" in (tmp_path / "kept" / "melts.csv").read_text()
    (tmp_path / "kept" / "sales.csv").write_text("date,sold,price,buyers\n2026-03-07,20,2,nobody\n")
    found = planner("records", "check", "kept", "--scenario", scenario, "--dates", "day-first")
    assert f"  planner fit {scenario} --records kept --dates day-first\n" in found.output
    assert "the scenario has no buyers called 'nobody'; kept" in " ".join(found.output.split())


def test_nothing_is_overwritten(planner: Planner, tmp_path: Path) -> None:
    (tmp_path / "kept").mkdir()
    mine = tmp_path / "kept" / "yard.csv"
    mine.write_text("mine")
    refused = planner("records", "start", "kept")
    assert refused.exit_code == 2
    assert "kept/yard.csv is there already, and nothing is overwritten; name another folder" in refused.output
    assert [path.name for path in (tmp_path / "kept").iterdir()] == ["yard.csv"]
    mine.rename(tmp_path / "kept" / "my notes.txt")
    begun = planner("records", "start", "kept", "--format", "xlsx")
    assert begun.exit_code == 0
    assert "explained in the first sheet of notebook.xlsx" in " ".join(begun.output.split())
    names = sorted(path.name for path in (tmp_path / "kept").iterdir())
    assert names == ["example", "my notes.txt", "notebook.xlsx"]


def test_what_is_checked_is_one_document(planner: Planner, tmp_path: Path) -> None:
    (tmp_path / "sales.csv").write_text("date,sold,price\n03/07/2026,10,4.2\n04/07/2026,10,4.2\n")
    words = ("records", "check", tmp_path, "--format", "json")
    refused = planner(*words)
    assert refused.exit_code == 2
    assert (
        "write year-month-day, or say which comes first with --dates" in json.loads(refused.stdout)["error"]
    )
    found = json.loads(planner(*words, "--dates", "month-first").stdout)
    assert (found["first_day"], found["last_day"]) == ("2026-03-07", "2026-04-07")
    assert found["tables"]["sales"]["rows"] == 2
    assert [one["done"] for one in found["remarks"]] == ["read with the month first, as you said"]


def test_where_nothing_can_be_read_the_exit_code_says_so(planner: Planner, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    assert planner("records", "check", "empty").exit_code == 2
    assert planner("records", "check", "nowhere").exit_code == 2
    assert planner("records", "start", "kept", "--currency", "EURO").exit_code == 2
