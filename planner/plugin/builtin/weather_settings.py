"""What a scenario says about made-up weather: settings of ``core.synthetic`` and ``core.constant``.

In: the user's YAML, already read. Out: frozen values. Must not know: how the weather is drawn.
"""

from __future__ import annotations

from typing import Annotated, Final

from pydantic import Field

from planner.scenario.clock import months_of
from planner.scenario.part import PartError
from planner.scenario.section import Section, across
from planner.scenario.spread import Spread, SpreadShare, spread_of
from planner.scenario.units import Count, DifferenceK, DurationH, Number, RainMm, Share, SpeedMS, TemperatureC

MonthShares = Annotated[tuple[float, ...], months_of("share", 0.0, 1.0)]
SpreadRainMm = Annotated[Spread, spread_of("mm", low=0)]
SpreadRainH = Annotated[Spread, spread_of("h", low=1, high=24)]
WET_DAYS: Final = (0.40, 0.38, 0.38, 0.36, 0.36, 0.34, 0.32, 0.32, 0.32, 0.36, 0.40, 0.42)
"""Share of days with rain by month in a temperate, humid climate; assumed."""


class SyntheticSettings(Section):
    """A climate. The defaults are those of a temperate inland place; all of them assumed."""

    coldest_c: TemperatureC = Field(
        0.0, ge=-60, le=40, description="Mean temperature at the coldest time of the year (assumed)."
    )
    warmest_c: TemperatureC = Field(
        20.0, ge=-40, le=50, description="Mean temperature at the warmest time of the year (assumed)."
    )
    coldest_day: Count = Field(
        20, ge=1, le=366, description="Day of the year; south of the equator half a year later (assumed)."
    )
    daily_swing_k: DifferenceK = Field(
        5.0, ge=0, le=20, description="A clear afternoon is so far above its day's mean (assumed)."
    )
    spells_k: DifferenceK = Field(
        4.0, ge=0, le=20, description="Standard deviation of warm and cold spells (assumed)."
    )
    spells_last_h: DurationH = Field(
        72.0, ge=1, le=2000, description="After so long a warm or cold spell is down to 37 % (assumed)."
    )
    wind_m_s: SpeedMS = Field(
        3.5, ge=0, le=30, description="Mean wind of the year 10 m above open ground (assumed)."
    )
    wind_shape: Number = Field(
        1.9, ge=0.8, le=10, description="Weibull shape: 2 is usual, less is gustier (common practice)."
    )
    wind_lasts_h: DurationH = Field(
        10.0, ge=1, le=2000, description="After so long a calm or a blow is down to 37 % (assumed)."
    )
    windier_winter_share: Share = Field(
        0.15, description="Wind at the coldest time of the year above its mean, as a share (assumed)."
    )
    windier_afternoon_share: Share = Field(
        0.3, description="Wind in the early afternoon above the day's mean, as a share (assumed)."
    )
    windier_rain_share: Number = Field(
        0.2, ge=0, le=3, description="Wind on wet days above that of dry days, as a share (assumed)."
    )
    wet_days_share: MonthShares = Field(WET_DAYS, description="Share of wet days by month (assumed).")
    wet_stays_share: Share = Field(
        0.3,
        lt=1,
        description="How much tomorrow takes after today: 0 not at all, 0.9 long wet and dry times (assumed).",
    )
    rain_mm: SpreadRainMm = Field(
        Spread("exponential", (6.0,), low=0.0), description="Rain of a wet day (assumed)."
    )
    rain_lasts_h: SpreadRainH = Field(
        Spread("triangular", (1.0, 3.0, 14.0), low=1.0, high=24.0),
        description="Hours in a row in which it falls (assumed).",
    )
    dry_sun_share: SpreadShare = Field(
        Spread("uniform", (0.5, 1.0), low=0.0, high=1.0),
        description="Sun of a dry day, as a share of that of a clear sky (assumed).",
    )
    wet_sun_share: SpreadShare = Field(
        Spread("uniform", (0.15, 0.5), low=0.0, high=1.0),
        description="Sun of a wet day, as a share of that of a clear sky (assumed).",
    )

    @across("warmest", "coldest")
    def _summer_is_warmer(self) -> None:
        if self.warmest_c < self.coldest_c:
            raise PartError(
                f"the warmest time, {self.warmest_c:g} degC, is colder than the coldest, {self.coldest_c:g} degC",
                ["warmest"],
            )


class ConstantSettings(Section):
    """The same weather in every hour: chance off."""

    temperature_c: TemperatureC = Field(15.0, ge=-60, le=60, description="Air temperature (assumed).")
    wind_m_s: SpeedMS = Field(0.0, ge=0, le=40, description="Wind 10 m above open ground.")
    rain_mm: RainMm = Field(0.0, ge=0, le=100, description="Rain in an hour.")
    sun_w_m2: Number = Field(
        0.0, ge=0, le=1400, alias="sun_w_m2", description="Sun on level ground in W/m^2, day and night."
    )
