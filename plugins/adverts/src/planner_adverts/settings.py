"""What a scenario says of buyers who come after adverts.

In: the block under ``settings:``. Out: frozen settings. Must not know: how buyers are drawn.
"""

from __future__ import annotations

from pydantic import Field

from planner.plugin.builtin.crowd_settings import ReturningSettings
from planner.scenario.clock import DateRange, DayRanges
from planner.scenario.part import PartError
from planner.scenario.section import Section, across
from planner.scenario.units import DurationDays, Money, Number, Share


class Adverts(Section):
    """When adverts appear, what one costs, and what it does. Without dates there are none."""

    dates: DayRanges = Field((), description="Days on which one appears: a date, a list of dates, or none.")
    every_days: DurationDays | None = Field(
        None,
        ge=1,
        description="Another one every so many days, from the first day of the run or of `between`.",
    )
    between: DateRange | None = Field(
        None, description="First and last day of those that come every so many days. Left out: the whole run."
    )
    cost: Money = Field(0.0, ge=0, description="What one costs, paid on the day on which it appears.")
    reach_share: Share = Field(
        0.1,
        lt=1,
        description="Share of those who do not know of the business yet whom one advert tells in the end (assumed).",
    )
    more_often_share: Number = Field(
        0.0,
        ge=0,
        le=10,
        description="How much more often those who know it ask right after one: 0.5 is half as often again.",
    )
    half_life_days: DurationDays = Field(
        7.0, gt=0, description="Time after which an advert has done half of what it does (assumed)."
    )

    @across("between", "every")
    def _between_is_for_every(self) -> None:
        if self.between is not None and self.every_days is None:
            words = (
                "`between` is for adverts that come every so many days; write `every` too, or only `dates`"
            )
            raise PartError(words, ["between"])


class BurstSettings(ReturningSettings):
    """Private buyers who come back, as in `core.returning`, and adverts that bring more of them."""

    adverts: Adverts = Field(Adverts.model_construct(), description="Adverts.")
