"""Measured weather keeps to what is asked of every weather model."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import planner_measured_weather
from planner.testing import WeatherConformance

TMY3, EPW, CSV = planner_measured_weather.planner_models()


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


class TestRecords(WeatherConformance):
    provider = CSV
    changed = {"colder_by": "0.5 K", "windier_times": 1.05}

    @pytest.fixture(autouse=True)
    def _two_years_in_a_file_of_that_name(self, tmp_path: Path) -> None:
        hours = np.datetime64("2023-01-01T01") + np.arange(731 * 24)
        rows = [
            f"{hour},{10 - i % 24 / 3 - i // 24 % 9:.1f},{1 + i % 37 / 9:.1f},{i % 50 // 49},{max(0, i % 24 - 8) * 20}"
            for i, hour in enumerate(hours.astype("datetime64[m]").astype(str))
        ]
        header = "UTC-5,temperature [degC],wind at 2 m [m/s],rain [mm],sun [W/m2]"
        (tmp_path / "weather.csv").write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
        self.folder = tmp_path
