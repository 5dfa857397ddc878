"""The package as users meet it: its models' examples, and the example scenario, checked and played."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

import planner_other_sources
from planner.cli.app import app
from planner.plugin.models import models_for
from planner.plugin.registry import Registry
from planner.scenario.header import EXPECTED
from planner.study import check, load
from planner.workshop.fetch import UNFETCHED
from planner.workshop.play import play
from planner.world.build import build as build_world
from planner.world.draw import Draw
from planner.world.parts import Horizon, Supply

PACKAGE = Path(__file__).resolve().parents[1]
EXAMPLE = PACKAGE / "other-sources.yaml"
YEAR = Horizon(date(2026, 1, 1), 365, 45.0)
EACH = pytest.mark.parametrize("provider", planner_other_sources.planner_models(), ids=lambda one: one.name)


@pytest.fixture(scope="session")
def example_records(records: Callable[..., str]) -> None:
    records("date,shop,mass [kg],price", "2025-03-01,Ropewalk Tyres,57,10")


@EACH
@pytest.mark.usefixtures("example_records")
def test_the_example_that_users_are_shown_works(provider: Any, draw: Callable[..., Supply]) -> None:
    for replicate in range(5):
        draw(provider.name, dict(provider.example), replicate)


@EACH
@pytest.mark.usefixtures("example_records")
def test_a_model_can_be_sent_to_another_process(provider: Any, build: Callable[..., Any]) -> None:
    model = build(provider.name, dict(provider.example))
    sent = pickle.loads(pickle.dumps(model))
    here, there = (one.draw(Draw(3, 4), YEAR) for one in (model, sent))
    assert [shop.name for shop in here.shops] == [shop.name for shop in there.shops]
    for one, other in zip(here.shops, there.shops, strict=True):
        np.testing.assert_array_equal(one.shares, other.shares)


def test_check_tells_what_is_owed_and_what_is_played_again() -> None:
    found = check(load(EXAMPLE), "sign the contract")
    assert [tuple(row) for row in found.owed] == [("Ferry Lane Fleet Depot", 18, 108.0)]
    assert found.notes == (
        "my records: pickups.csv: the records of 2025-01-14 to 2025-12-13 are played again every year",
    )
    assert check(load(EXAMPLE)).owed == ()
    told = " ".join(
        CliRunner().invoke(app, ["check", str(EXAMPLE), "--option", "sign the contract"]).output.split()
    )
    assert (
        "Owed by contract, wanted or not: 18 buckets from Ferry Lane Fleet Depot, in all 108.00 EUR" in told
    )


def test_the_example_is_sound_and_is_played() -> None:
    ran = CliRunner().invoke(app, ["run", str(EXAMPLE), "--option", "sign a dear one", "--replicates", "2"])
    assert ran.exit_code == 0
    assert "Buckets fetched" in ran.output


def test_what_is_owed_is_fetched_above_the_owners_price_limit_or_paid_for() -> None:
    business = load(EXAMPLE).business("sign a dear one", EXPECTED)
    models = models_for(Registry(), business)
    for replicate in range(3):
        run = play(business, build_world(Draw(1, replicate), business, models), models.pricing)
        fetched = [lot for lot in run.lots if lot.source == "Ferry Lane Fleet Depot"]
        in_vain = [entry for entry in run.ledger if entry.kind == UNFETCHED]
        assert fetched
        assert {lot.cost for lot in fetched} == {14.0}
        assert 17 <= len(fetched) + len(in_vain) <= 18  # the last may still be waiting at the end
        others = [lot.cost for lot in run.lots if lot.source != "Ferry Lane Fleet Depot"]
        assert max(others) <= 12.0


def test_a_dirty_record_stops_a_scenario_with_its_line(tmp_path: Path) -> None:
    (tmp_path / "other-sources.yaml").write_text(EXAMPLE.read_text(encoding="utf-8"), encoding="utf-8")
    dirty = (PACKAGE / "pickups.csv").read_text(encoding="utf-8").replace("57.2", "57 kg")
    (tmp_path / "pickups.csv").write_text(dirty, encoding="utf-8")
    ran = CliRunner().invoke(app, ["check", str(tmp_path / "other-sources.yaml")])
    assert ran.exit_code != 0
    told = " ".join(ran.output.split())
    assert "pickups.csv:2: mass is '57 kg'; write a number such as 57.2, without its unit" in told


def test_the_table_of_settings_in_the_readme_names_every_setting() -> None:
    readme = (PACKAGE / "README.md").read_text(encoding="utf-8")
    for provider in planner_other_sources.planner_models():
        missing = [
            field.alias
            for field in provider.settings.model_fields.values()
            if field.alias and f"`{field.alias}`" not in readme
        ]
        assert missing == [], provider.name
