"""A fitted scenario is a scenario: it passes every check, says what changed, and nothing is overwritten."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import numpy as np
import pytest
from ruamel.yaml import YAML
from typer.testing import CliRunner

from planner.cli.app import app
from planner.engine.player import Player, Setting
from planner.fit.applied import applied, drawn
from planner.fit.changed import values_of
from planner.fit.estimate import Estimate
from planner.fit.fitting import Fit, fit
from planner.fit.writing import comment_of, written
from planner.records.tables import TABLES
from planner.records.writing import Units, csv_text, rows_as_written
from planner.scenario.business import SHARES_OF_WEIGHTS
from planner.study import load
from planner.world.draw import Draw
from planner.world.unsure import drawn_inputs
from tests.fit.truths import SMALL, small, year


@pytest.fixture(scope="module")
def found() -> Fit:
    return fit(small(), year())


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Records of a year."""
    folder, units = tmp_path_factory.mktemp("kept"), Units("EUR")
    for name, frame in year().tables.items():
        rows = rows_as_written(TABLES[name], frame.to_dict("records"), units)
        (folder / f"{name}.csv").write_text(csv_text(TABLES[name], rows, units))
    return folder


@pytest.fixture
def place(tmp_path: Path, kept: Path) -> Path:
    """A folder with the scenario and with records of a year of it."""
    shutil.copy(SMALL, tmp_path / "small.yaml")
    shutil.copytree(kept, tmp_path / "records")
    return tmp_path


def planner(*words: object):
    return CliRunner().invoke(app, [str(word) for word in words])


def test_a_fitted_scenario_passes_check_and_says_what_was_put_in_memory(found, tmp_path):
    shutil.copy(SMALL, tmp_path / "small.yaml")
    (tmp_path / "fitted.yaml").write_text(written(found, "small.yaml"))
    again = load(tmp_path / "fitted.yaml")
    assert again.business_digest() == applied(found).business_digest()
    assert set(again.estimates.names) == {one.name for one in found.estimates}
    worlds = [
        Player(Setting(again, 1)).run("as today", "expected", one).measures["profit"] for one in range(2)
    ]
    assert worlds[0] != worlds[1]


def test_each_value_that_changed_is_told_with_what_told_it(found):
    text = written(found, "small.yaml")
    for one in found.estimates:
        comment = comment_of(one)
        assert f"# {comment}" in text
        for word in (one.method, f"{one.records} in {one.table}", "nine times in ten", "was"):
            assert word in comment


def test_estimates_are_told_with_their_deviation_their_ends_and_what_they_hang_together_with(found):
    told = YAML(typ="safe").load(written(found, "small.yaml"))["estimates"]
    for block in found.blocks:
        for i, one in enumerate(block.estimates):
            entry = told[one.name]
            assert entry["path"] == one.path
            assert float(str(entry["sd"]).split()[0]) == pytest.approx(one.sd, rel=0.01)
            for j, other in enumerate(block.estimates[i + 1 :], i + 1):
                correlation = entry.get("with", {}).get(other.name, 0.0)
                assert correlation == pytest.approx(block.correlation[i, j], abs=0.06)


def test_only_what_changed_is_written(found):
    told = YAML(typ="safe").load(written(found, "small.yaml"))
    moved = {one.path.partition(".")[0] for one in found.estimates}
    assert set(told) == {"extends", "title", "estimates"} | moved
    assert set(told["sorting"]) == {"rate"}
    mix = told["supply"][0]["settings"]["typical"]["mix"]
    assert sum(mix[key] for key in SHARES_OF_WEIGHTS) == pytest.approx(1.0, abs=1e-9)
    assert set(told["rates"]["settings"]) < {"weights", "lead", "clips", "zinc", "steel", "dross"}


def test_fit_writes_a_scenario_beside_the_old_one_and_a_page(place, monkeypatch):
    monkeypatch.chdir(place)
    before = (place / "small.yaml").read_bytes()
    result = planner("fit", "small.yaml", "--records", "records")
    assert result.exit_code == 0, result.output
    assert (place / "small.yaml").read_bytes() == before
    for step in ("planner compare small-fitted.yaml", "planner backtest small.yaml --records records"):
        assert f"  {step}\n" in result.output
    assert "days between buckets of Quay" in result.output
    page = (place / "reports" / "small" / "fits.html").read_text(encoding="utf-8")
    assert "days between buckets of Quay" in page.replace("Days between", "days between")
    assert "http://" not in page.split("<script>")[0]
    assert sorted(path.name for path in place.iterdir()) == [
        "records",
        "reports",
        "small-fitted.yaml",
        "small.yaml",
    ]
    assert planner("check", "small-fitted.yaml").exit_code == 0


def test_nothing_is_overwritten_unasked(place, monkeypatch):
    monkeypatch.chdir(place)
    (place / "small-fitted.yaml").write_text("mine")
    result = planner("fit", "small.yaml", "--records", "records")
    assert result.exit_code == 2
    assert "is there already" in result.output
    assert (place / "small-fitted.yaml").read_text() == "mine"
    assert not (place / "reports").exists()


def test_a_fitted_scenario_lies_in_the_folder_of_the_one_it_extends(place, monkeypatch):
    monkeypatch.chdir(place)
    result = planner("fit", "small.yaml", "--records", "records", "--out", "records/other.yaml")
    assert result.exit_code == 2
    assert "extends files of its own folder" in result.output
    result = planner("fit", "small.yaml", "--records", "records", "--out", "other.txt")
    assert result.exit_code == 2
    assert "end in .yaml" in result.output


def test_dates_that_may_be_two_are_read_as_said_and_the_next_command_says_it_too(place, monkeypatch):
    monkeypatch.chdir(place)
    rows = "".join(f"0{month}/07/2026,10,4.2,casters\n" for month in (3, 4, 5))
    Path("sales.csv").write_text(f"date,sold,price,buyers\n{rows}")
    told = planner("fit", "small.yaml", "--records", "sales.csv")
    assert told.exit_code == 2
    assert "--dates" in told.output
    told = planner("fit", "small.yaml", "--records", "sales.csv", "--dates", "month-first")
    assert told.exit_code == 0, told.output
    assert "Records from 2026-03-07 to 2026-05-07" in told.output
    assert "  planner backtest small.yaml --records sales.csv --dates month-first\n" in told.output


def test_a_fit_as_a_document_says_the_same(place, monkeypatch):
    monkeypatch.chdir(place)
    result = planner("fit", "small.yaml", "--records", "records", "--out", "mine.yaml", "--format", "json")
    assert result.exit_code == 0, result.output
    told = json.loads(result.stdout)
    names = [one["name"] for one in told["estimates"]]
    assert "days until casters come back" in names
    for one in told["estimates"]:
        assert one["low"] <= one["now"] <= one["high"]
    assert told["files"][0] == "mine.yaml"
    assert load("mine.yaml").title == "A small business to be fitted, by own records"


def test_a_fitted_scenario_can_be_fitted_again(place, monkeypatch):
    monkeypatch.chdir(place)
    assert planner("fit", "small.yaml", "--records", "records").exit_code == 0
    result = planner("fit", "small-fitted.yaml", "--records", "records")
    assert result.exit_code == 0, result.output
    again = load("small-fitted-fitted.yaml")
    assert again.title == "A small business to be fitted, by own records"
    assert "were put into it before" in " ".join(result.output.split())
    assert len(again.estimates) == len(load("small-fitted.yaml").estimates)


def test_records_that_cannot_be_read_are_told_and_nothing_is_written(place, monkeypatch):
    monkeypatch.chdir(place)
    result = planner("fit", "small.yaml", "--records", "nowhere")
    assert result.exit_code == 2
    assert not (place / "small-fitted.yaml").exists()


def test_worlds_draw_a_mix_that_is_as_unsure_as_the_records_leave_it(found, tmp_path):
    """Shares sum to 1, so what is drawn for each moves the others too; together they vary as the fit says."""
    scenario = drawn(found)
    those = [one for one in found.estimates if one.path.endswith(SHARES_OF_WEIGHTS)]
    mixes = np.array(
        [
            scenario.drawn(drawn_inputs(scenario.estimates, Draw(3, number)))
            .business()
            .supply[0]
            .settings.typical.mix.shares
            for number in range(300)
        ]
    )
    assert mixes.sum(axis=1) == pytest.approx(np.ones(300), abs=1e-6)
    for place, one in enumerate(those):
        logs = np.log(mixes[:, place])
        assert logs.std() == pytest.approx(one.sd, rel=0.15), one.name
        assert logs.mean() == pytest.approx(np.log(one.value), abs=0.3 * one.sd), one.name


@pytest.mark.parametrize("shift", [0.0, 2.0, 1e-7, -3.5])
def test_any_shift_of_an_amount_can_be_written(shift):
    one = Estimate("price", "cash.opening", "plus", 10.0, "EUR", shift, 1.0, 2.0, 3, "means", "sales")
    (found,) = values_of(one, {"cash": {"opening": "10 EUR"}}, "EUR").values()
    assert float(found.split()[0]) == pytest.approx(10.0 + shift, rel=1e-3)
