"""The example scenario of the package, checked and played."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

import planner
from planner.cli.app import app
from planner.plugin.models import models_for
from planner.plugin.registry import Registry
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.world.build import build
from planner.world.draw import Draw
from planner.world.parts import Weather

EXAMPLE = Path(__file__).resolve().parents[1] / "measured-weather.yaml"
WORLDS = 6


@pytest.fixture(scope="module")
def scenario() -> planner.Scenario:
    return planner.load(EXAMPLE)


def test_the_example_is_sound_and_tells_how_the_file_was_read() -> None:
    found = CliRunner().invoke(app, ["check", str(EXAMPLE)])
    assert found.exit_code == 0, found.stdout + found.stderr
    assert "723170TYA.CSV: the rain column adds up to 8,345" in " ".join(found.stdout.split())


@pytest.mark.parametrize("option", [pytest.param("roof", marks=pytest.mark.long), "screen"])
def test_the_example_is_played_with_each_option(option: str) -> None:
    found = CliRunner().invoke(app, ["run", str(EXAMPLE), "--option", option])
    assert found.exit_code == 0, found.stdout + found.stderr


def test_a_hard_winter_takes_more_of_the_free_hours(scenario: planner.Scenario) -> None:
    """The roof gives some of them back."""

    def lost_h(option: str, outlook: str) -> float:
        played = planner.run(scenario, option=option, outlook=outlook, replicates=WORLDS)
        assert played.failures == ()
        names = [measure.name for measure in played.measures]
        return float(played.levels.at(names.index("lost_weather_h")).mean)

    hard = lost_h(AS_TODAY, "a hard winter")
    assert hard > 2.0 * lost_h(AS_TODAY, EXPECTED) > 0.0
    assert lost_h("roof", "a hard winter") < 0.6 * hard


def test_the_measured_year_is_the_same_in_every_world_and_others_are_not(scenario: planner.Scenario) -> None:
    def weather(outlook: str, world: int) -> Weather:
        business = scenario.business(AS_TODAY, outlook)
        return build(Draw(1, world), business, models_for(Registry(), business)).weather

    def alike(outlook: str) -> bool:
        one, other = (weather(outlook, world).temperature_c for world in (0, 1))
        return bool(np.array_equal(one, other))

    assert alike("the measured year")
    assert not alike(EXPECTED)
