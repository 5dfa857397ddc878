"""What a scenario says of a measured weather file.

In: the block under ``settings:``. Out: frozen settings. Must not know: how files are read.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from planner.scenario.clock import months_of
from planner.scenario.data import DataFile
from planner.scenario.section import Section
from planner.scenario.units import DurationDays, LengthM
from planner_measured_weather.year import REFERENCE_HEIGHT_M, RainUnit


def _whole_days(days: float) -> float:
    if days != int(days):
        raise ValueError(f"{days:g} days are not whole days; write `{round(days)} days`")
    return days


MonthDifferencesK = Annotated[tuple[float, ...], months_of("K", -20.0, 20.0)]
MonthTimes = Annotated[tuple[float, ...], months_of("number", 0.0, 2.5)]
WholeDays = Annotated[DurationDays, AfterValidator(_whole_days)]


class MeasuredSettings(Section):
    """A measured year and how worlds are made from it."""

    file: DataFile = Field(
        ...,
        description="A file in the scenario's folder, or `package:path` for one that a package ships.",
    )
    as_measured: bool = Field(
        False,
        description="Replay the year as it was measured, the same in every world, instead of resampling it.",
    )
    block_days: WholeDays = Field(
        5.0, ge=1, le=31, description="Days that stay together when a year is put together anew (assumed)."
    )
    season_days: WholeDays = Field(
        15.0,
        ge=0,
        le=60,
        description="A block comes from at most this many days before or after its date (assumed).",
    )
    rain: RainUnit = Field(
        "auto",
        description="Unit of the rain column: `mm`, `tenths` of a mm, or `auto`: judged by the year's total.",
    )
    colder_by_k: MonthDifferencesK = Field(
        (0.0,) * 12,
        description="So much colder than measured, by month or all year: `{nov-mar: 4 degC, apr-oct: 0 degC}`.",
    )
    windier_times: MonthTimes = Field(
        (1.0,) * 12,
        description="So many times the measured wind, by month or all year: `{nov-mar: 1.3, apr-oct: 1}`.",
    )
    wind_height_m: LengthM = Field(
        REFERENCE_HEIGHT_M, ge=1, le=100, description="Height above ground at which the wind was measured."
    )


class Columns(Section):
    """How the file's header calls each column, without its unit."""

    time: str = Field(
        "time", min_length=1, description="Date and time of each hour, such as 2025-01-31 13:00."
    )
    temperature: str = Field("temperature", min_length=1, description="Headed such as `temperature [degC]`.")
    wind: str = Field("wind", min_length=1, description="Headed such as `wind [m/s]`.")
    rain: str = Field("rain", min_length=1, description="Rain in the hour, headed such as `rain [mm]`.")
    sun: str = Field("sun", min_length=1, description="On level ground, headed such as `sun [W/m2]`.")


class RecordsSettings(MeasuredSettings):
    """Hourly records of whole years, and how worlds are made from them."""

    columns: Columns = Field(
        Columns.model_construct(), description="How the file's header calls each column, without its unit."
    )
    stamp: Literal["end", "start"] = Field(
        "end", description="Does a record's time name the end of its hour, or its start?"
    )
