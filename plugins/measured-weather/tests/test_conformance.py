"""Measured weather keeps to what is asked of every weather model."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

import planner_measured_weather
from planner.testing import WeatherConformance

TMY3, EPW = planner_measured_weather.planner_models()


class TestTmy3(WeatherConformance):
    provider = TMY3
    changed = {"colder_by": "0.5 K", "windier_times": 1.05}


class TestEpw(WeatherConformance):
    provider = EPW
    changed = {"colder_by": "0.5 K", "windier_times": 1.05}

    @pytest.fixture(autouse=True)
    def _a_file_of_that_name(self, epw_file: Callable[..., Path]) -> None:
        invented = epw_file()
        invented.rename(invented.with_name("weather.epw"))
        self.folder = invented.parent


class TestAReplayedYear(WeatherConformance):
    provider = TMY3
    settings = {"file": "pvlib:data/723170TYA.CSV", "as_measured": True}
