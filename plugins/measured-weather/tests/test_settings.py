"""What a scenario writes, and the model that is built from it."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError

import planner_measured_weather
from planner.plugin.protocol import Provider
from planner.world.draw import Draw
from planner.world.parts import Horizon, Weather
from planner_measured_weather.year import Measured

YEAR = Horizon(date(2026, 1, 1), 365, 36.1)


@pytest.fixture(scope="session")
def providers() -> dict[str, Provider]:
    return {provider.name: provider for provider in planner_measured_weather.planner_models()}


def drawn(provider: Provider, settings: Mapping[str, Any], folder: Path, replicate: int = 0) -> Weather:
    read = provider.settings.model_validate(settings, context={"folder": folder, "currency": "EUR"})
    weather: Weather = provider.build(read).draw(Draw(1, replicate), YEAR)
    return weather


def test_the_file_that_pvlib_ships_is_found_by_its_package(
    providers: dict[str, Provider], greensboro_year: Measured, tmp_path: Path
) -> None:
    replayed = drawn(providers["tmy3"], {"file": "pvlib:data/723170TYA.CSV", "as_measured": True}, tmp_path)
    np.testing.assert_array_equal(replayed.temperature_c, greensboro_year.weather().temperature_c)
    assert "tenths" in replayed.note


def test_a_file_in_the_scenarios_folder_is_found(
    providers: dict[str, Provider], greensboro: Path, tmp_path: Path
) -> None:
    (tmp_path / "data").mkdir()
    shutil.copy(greensboro, tmp_path / "data" / "year.csv")
    weather = drawn(providers["tmy3"], {"file": "data/year.csv", "rain": "tenths"}, tmp_path)
    assert weather.note == ""
    assert weather.temperature_c.shape == (8760,)


@pytest.mark.parametrize("name", ["tmy3", "epw"])
def test_the_example_that_users_are_shown_works(
    name: str, providers: dict[str, Provider], epw_file: Callable[..., Path]
) -> None:
    folder = epw_file().parent
    (folder / "invented.epw").rename(folder / "weather.epw")
    one, other = (drawn(providers[name], providers[name].example, folder, replicate) for replicate in (0, 1))
    assert (one.temperature_c != other.temperature_c).any()


def test_without_more_words_a_world_is_resampled_in_blocks_of_five_days(
    providers: dict[str, Provider], tmp_path: Path
) -> None:
    file = {"file": "pvlib:data/723170TYA.CSV"}
    plain = drawn(providers["tmy3"], file, tmp_path)
    said = drawn(
        providers["tmy3"], {**file, "block": "5 days", "season": "15 days", "rain": "auto"}, tmp_path
    )
    np.testing.assert_array_equal(plain.temperature_c, said.temperature_c)
    other = drawn(providers["tmy3"], {**file, "block": "1 day"}, tmp_path)
    assert (plain.temperature_c != other.temperature_c).any()


def test_wind_measured_at_two_metres_blows_harder_at_ten(
    providers: dict[str, Provider], tmp_path: Path
) -> None:
    file = {"file": "pvlib:data/723170TYA.CSV", "as_measured": True}
    at_two = drawn(providers["tmy3"], {**file, "wind_height": "2 m"}, tmp_path)
    assert at_two.wind_m_s.mean() / 3.0544 == pytest.approx(5.0 ** (1 / 7), rel=0.01)


@pytest.mark.parametrize(
    ("settings", "told"),
    [
        ({"file": "none.csv"}, "there is no file 'none.csv'"),
        (
            {"file": "pvlib:data/723170TYA.CSV", "block": "36 h"},
            "1.5 days are not whole days; write `2 days`",
        ),
        ({"file": "pvlib:data/723170TYA.CSV", "block": "0 days"}, "greater than or equal to 1"),
        ({"file": "pvlib:data/723170TYA.CSV", "season": "90 days"}, "less than or equal to 60"),
        ({"file": "pvlib:data/723170TYA.CSV", "rain": "inches"}, "'auto', 'mm' or 'tenths'"),
        ({"file": "pvlib:data/723170TYA.CSV", "wind_height": "10"}, "10"),
        ({}, "Field required"),
    ],
)
def test_a_setting_that_makes_no_sense_is_refused(
    settings: dict[str, Any], told: str, providers: dict[str, Provider], tmp_path: Path
) -> None:
    with pytest.raises(ValidationError) as caught:
        drawn(providers["tmy3"], settings, tmp_path)
    assert told in str(caught.value)


def test_a_file_of_the_other_format_is_told_when_the_model_is_built(
    providers: dict[str, Provider], tmp_path: Path
) -> None:
    with pytest.raises(ValueError, match=r"say `model: measured\.tmy3`"):
        drawn(providers["epw"], {"file": "pvlib:data/723170TYA.CSV"}, tmp_path)
