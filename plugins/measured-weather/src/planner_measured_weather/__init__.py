"""Weather models for planner from measured hourly files: ``measured.tmy3``, ``measured.epw`` and ``measured.csv``.

In: the settings of a scenario that names one of them. Out: a model that draws the weather of a world.
Must not know: the workshop. pvlib is imported only when a TMY3 or EPW file is read.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from planner.plugin.protocol import Provider, hookimpl
from planner_measured_weather import readers
from planner_measured_weather.model import Harder, MeasuredWeather
from planner_measured_weather.records import read_records
from planner_measured_weather.settings import MeasuredSettings, RecordsSettings
from planner_measured_weather.year import Measured, Rows, assemble

__all__ = ["MeasuredSettings", "MeasuredWeather", "RecordsSettings", "planner_models"]


def _builder(read: Callable[[Path], Rows]) -> Callable[[MeasuredSettings], MeasuredWeather]:
    def build(settings: MeasuredSettings) -> MeasuredWeather:
        return _model(assemble(read(settings.file), settings.rain, settings.wind_height_m), settings)

    return build


def _of_records(settings: RecordsSettings) -> MeasuredWeather:
    rows, year = read_records(settings.file, settings.columns, settings.stamp)
    return _model(assemble(rows, settings.rain, settings.wind_height_m, year), settings)


def _model(measured: Measured, settings: MeasuredSettings) -> MeasuredWeather:
    return MeasuredWeather.of(
        measured,
        settings.as_measured,
        int(settings.block_days),
        int(settings.season_days),
        Harder(settings.colder_by_k, settings.windier_times),
    )


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
        Provider(
            kind="weather",
            name="csv",
            settings=RecordsSettings,
            build=_of_records,
            summary="Hourly records of any number of years from a plain CSV, resampled in blocks of days or replayed.",
            example={
                "file": "weather.csv",
                "columns": {"time": "UTC-5", "wind": "wind at 2 m"},
                "wind_height": "2 m",
            },
        ),
    ]
