"""Weather models for planner from measured hourly files: ``measured.tmy3`` and ``measured.epw``.

In: the settings of a scenario that names one of them. Out: a model that draws the weather of a world.
Must not know: the workshop. pvlib is imported only when a file is read.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from planner.plugin.protocol import Provider, hookimpl
from planner_measured_weather import readers
from planner_measured_weather.model import Harder, MeasuredWeather
from planner_measured_weather.settings import MeasuredSettings
from planner_measured_weather.year import Rows, assemble

__all__ = ["MeasuredSettings", "MeasuredWeather", "planner_models"]


def _builder(read: Callable[[Path], Rows]) -> Callable[[MeasuredSettings], MeasuredWeather]:
    def build(settings: MeasuredSettings) -> MeasuredWeather:
        year = assemble(read(settings.file), settings.rain, settings.wind_height_m)
        return MeasuredWeather.of(
            year,
            settings.as_measured,
            int(settings.block_days),
            int(settings.season_days),
            Harder(settings.colder_by_k, settings.windier_times),
        )

    return build


@hookimpl
def planner_models() -> list[Provider]:
    """The models of this package."""
    return [
        Provider(
            kind="weather",
            name="tmy3",
            settings=MeasuredSettings,
            build=_builder(readers.read_tmy3),
            summary="A measured typical year from a TMY3 file, resampled in blocks of days or replayed.",
            example={"file": "pvlib:data/723170TYA.CSV", "block": "5 days", "season": "15 days"},
        ),
        Provider(
            kind="weather",
            name="epw",
            settings=MeasuredSettings,
            build=_builder(readers.read_epw),
            summary="A measured typical year from an EPW file, resampled in blocks of days or replayed.",
            example={"file": "weather.epw", "as_measured": False, "rain": "mm"},
        ),
    ]
