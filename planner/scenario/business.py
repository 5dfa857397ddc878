"""The business as a scenario describes it: one frozen value for one option under one outlook.

In: the user's YAML, already read, options and outlooks applied. Out: ``Business``.
Must not know: how anything is drawn or played.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, ClassVar, Final, Literal

from pydantic import Field

from planner.scenario import toll
from planner.scenario.clock import Day, DayRanges, DayWindows, WeekdayWindows
from planner.scenario.gear import Melting, Sorting
from planner.scenario.hauling import Fetching, Lifting, Vehicle, Yard
from planner.scenario.part import PartError
from planner.scenario.section import Choice, Section, across
from planner.scenario.spread import Spread, SpreadMassKg, SpreadMoneyPerKg, SpreadShare
from planner.scenario.units import (
    AngleDeg,
    Count,
    DurationH,
    DurationMin,
    MassKg,
    Money,
    MoneyPerH,
    MoneyPerKg,
    PerYear,
    Share,
)
from planner.scenario.zone import TimeZone, standard_h
from planner.trade.alloys import PEWTERS, PewterType

SUM_TOLERANCE: Final = 1e-6
SHARES_OF_WEIGHTS: Final = ("clip_on_share", "stick_on_share", "zinc_share", "steel_share", "rubbish_share")
"""What weights are, by mass; they sum to 1."""
FARTHEST_NOON_H: Final = 4.0
"""A time zone whose noon is further from the sun's is taken for a mistake (assumed; the farthest today is about 3)."""
Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
Task = Literal["serve", "fetch", "melt", "sort", "yard", "ask"]
TASKS: tuple[Task, ...] = ("serve", "fetch", "yard", "melt", "sort", "ask")


class Calendar(Section):
    """Which days are played, by which clock, and where the sun stands.

    All hours of a scenario and of its results are those of the clock on the owner's wall, summer time included.
    """

    start: Day = Field(date(2026, 1, 1), description="First day.")
    years: Annotated[Count, toll.YEARS] = Field(1, ge=1, le=3, description="Years played, 365 days each.")
    days: Annotated[Count | None, toll.DAYS] = Field(
        None, ge=1, le=1095, description="Days played instead of whole years."
    )
    latitude_deg: AngleDeg = Field(
        45.0, ge=-66, le=66, description="For sunrise, sunset and seasons; north positive (assumed)."
    )
    longitude_deg: AngleDeg | None = Field(
        None,
        ge=-180,
        le=180,
        description="For sunrise and sunset; east positive. Left out: the time zone's own, 15 deg an hour.",
    )
    time_zone: TimeZone = Field(
        "UTC",
        description=(
            "Of the clock, a name of the IANA time zone database such as `CET` or `EST5EDT`: says when summer time is."
        ),
    )

    @property
    def zone_longitude_deg(self) -> float:
        """Longitude [deg], or the time zone's own."""
        if self.longitude_deg is not None:
            return self.longitude_deg
        return 15.0 * standard_h(self.time_zone, [self.start.year])[self.start.year]

    @across("start", "longitude", "time_zone")
    def _noon_is_about_noon(self) -> None:
        noon_h = 12.0 + standard_h(self.time_zone, [self.start.year])[self.start.year]
        noon_h -= self.zone_longitude_deg / 15.0
        if abs(noon_h - 12.0) > FARTHEST_NOON_H:
            raise PartError(
                f"at {self.longitude_deg:g} deg the sun would be highest at about {noon_h % 24:.0f}:00 by "
                f"{self.time_zone} time; east is positive, west negative",
                ["longitude"],
            )


class Owner(Section):
    """The owner's time and what it is worth."""

    hour_price_per_h: MoneyPerH = Field(
        ..., ge=0, description="What an hour of the owner is worth to the owner."
    )
    hours: WeekdayWindows = Field(..., description="Free hours by weekday, such as `sat: 09:00-17:00`.")
    holidays: DayRanges = Field((), description="Days off, such as `2026-07-01 to 2026-07-14`.")
    other_hours: DayWindows = Field(
        (),
        description=(
            "Free hours of single days, in place of the weekday's and of holidays, such as `2026-03-07 10:00-14:00`; "
            "or `2026-03-07 none`."
        ),
    )
    priority: tuple[Task, ...] = Field(
        TASKS,
        description="What comes first when several things could be done. What is left out is never done.",
    )
    asking_h: DurationH = Field(
        0.0, ge=0, description="Hours a month spent asking around for new shops.", alias="asking_a_month"
    )


class Helper(Section):
    """Somebody paid by the hour."""

    wage_per_h: MoneyPerH = Field(..., ge=0, description="Wage, all charges included.")
    days: tuple[Weekday, ...] = Field(..., min_length=1, description="Weekdays on which the helper comes.")
    absent_share: Share = Field(0.05, description="Chance, each day, of not turning up (assumed).")
    hands: float = Field(
        1.8, ge=1, le=2, description="Pace of sorting, loading and pouring together over alone (assumed)."
    )
    lifts: bool = Field(True, description="Do the two lift together?")
    lift_share: Share = Field(0.5, ge=0.5, description="The heavier share of a lift by two (assumed).")
    portion_kg: MassKg | None = Field(
        None, gt=0, description="Most of a bucket lifted at once by the two. Left out: as `lifting.portion`."
    )


class Selling(Section):
    """How enquiries are handled."""

    part_orders: bool = Field(
        True, description="Serve part of an order when stock is short, if the buyer takes it?"
    )
    bulk_keeps_kg: MassKg = Field(
        30.0,
        ge=0,
        description="A bulk buyer is served only from stock above this, kept for better prices (assumed).",
    )


_STANDARD_PEWTERS: Final[dict[str, PewterType]] = {"type 1": 1, "type 2": 2, "type 3": 3}


class Pewter(Section):
    """Second-hand pewter, bought for its tin."""

    finds_per_year: PerYear = Field(0.0, ge=0, le=365, description="Finds a year.")
    mass_kg: SpreadMassKg = Field(
        default_factory=lambda: Spread.constant(1.0), description="Mass of a find (assumed)."
    )
    composition: Literal["type 1", "type 2", "type 3", "own"] = Field(
        "own",
        description=(
            "By the standard, ASTM B560: type 1 for castings (tin 0.92), type 2 for sheet (0.91), type 3 for special "
            "purposes (0.965, middle of its range, from memory); or own: as `tin_share` says."
        ),
    )
    tin_share: SpreadShare = Field(
        default_factory=lambda: Spread.constant(PEWTERS[1].tin_share),
        description="Tin in it where the composition is own (ASTM B560: 0.90 to 0.98, type 1 has 0.92).",
    )
    price_per_kg: SpreadMoneyPerKg = Field(
        default_factory=lambda: Spread.constant(10.0), description="Asked for it (assumed)."
    )
    minutes_min: DurationMin = Field(
        20.0, ge=0, description="Owner's time for each find (assumed).", alias="time_per_find"
    )
    use: Literal["beside", "blended", "no"] = Field(
        "beside", description="Sell tin beside the lead, blend it into hard ingots, or do not buy any."
    )
    blend_share: Share = Field(
        0.02, description="Tin in blended ingots (2 %: common practice, no published source)."
    )

    @property
    def tin(self) -> Spread:
        """Tin in a find, as a share of its mass: by the standard, or as the scenario says."""
        standard = _STANDARD_PEWTERS.get(self.composition)
        return self.tin_share if standard is None else Spread.constant(PEWTERS[standard].tin_share)


class OpeningLot(Section):
    """Weights already at home at the start."""

    SUM_TO_ONE: ClassVar[tuple[str, ...]] = SHARES_OF_WEIGHTS

    mass_kg: MassKg = Field(..., gt=0, le=1_000_000, description="Mass.")
    cost: Money = Field(0.0, ge=0, description="What was paid for it.")
    clip_on_share: Share = Field(..., description="Clip-on weights, lead and clip together.")
    clip_share: Share = Field(
        0.12, description="Steel clip as a share of a clip-on weight (8 to 15 %, common practice)."
    )
    stick_on_share: Share = Field(0.0, description="Stick-on weights.")
    zinc_share: Share = Field(0.0, description="Zinc weights.")
    steel_share: Share = Field(0.0, description="Steel weights.")
    rubbish_share: Share = Field(0.0, description="Valve stems, stickers, grit.")

    @property
    def shares(self) -> tuple[float, float, float, float, float, float]:
        """Hard lead, clips, soft lead, zinc, steel, rubbish."""
        clip = self.clip_on_share * self.clip_share
        return (
            self.clip_on_share - clip,
            clip,
            self.stick_on_share,
            self.zinc_share,
            self.steel_share,
            self.rubbish_share,
        )

    @across(*SHARES_OF_WEIGHTS)
    def _sums_to_one(self) -> None:
        total = sum(self.shares)
        if abs(total - 1.0) > SUM_TOLERANCE:
            raise ValueError(f"the five shares of a lot sum to {total:.6g}; they must sum to 1")


class Stock(Section):
    """What is there at the start, and how what is left at the end is valued."""

    hard_kg: MassKg = Field(0.0, ge=0, le=1_000_000, description="Hard ingots.")
    soft_kg: MassKg = Field(0.0, ge=0, le=1_000_000, description="Soft ingots.")
    mixed_kg: MassKg = Field(0.0, ge=0, le=1_000_000, description="Mixed ingots.")
    cost_per_kg: MoneyPerKg = Field(0.0, ge=0, description="What these ingots cost.")
    lots: tuple[OpeningLot, ...] = Field((), description="Buckets of weights.")
    sale_share: Share = Field(
        0.6,
        description="Ingots left at the end, at expected net sale: this share of the mean private price (assumed).",
    )


class Cash(Section):
    """Money at hand."""

    opening: Money = Field(..., ge=0, le=1_000_000_000, description="Cash at the start.")
    reserve: Money = Field(0.0, ge=0, description="No purchase takes cash below this.")


class Cost(Section):
    """One row of the table of costs; the ledger takes its name."""

    name: str = Field(..., min_length=1, max_length=60, description="What it is for.")
    amount: Money = Field(..., ge=0, description="How much each time.")
    per: Literal["melt", "session", "month", "bucket", "ingot kg", "trip", "start"] = Field(
        ..., description="Each time of what; a melt counts as soon as it is lit, broken off or not."
    )


class Stopped(Section):
    """Being made to stop: neighbours, municipality, a blood test."""

    date: Day | None = Field(
        None, description="From this day on nothing is fetched or melted; stock is sold off."
    )
    gear_resale: Money = Field(0.0, ge=0, description="What the gear brings then.")
    reason: str = Field("", max_length=200, description="Why, in the report's words.")


class Business(Section):
    """Everything that is known before chance: one option under one outlook."""

    calendar: Calendar = Field(
        default_factory=lambda: Calendar.model_validate({}), description="Days played."
    )
    owner: Owner = Field(..., description="The owner's time.")
    helper: Helper | None = Field(None, description="A paid helper, if any.")
    lifting: Lifting = Field(default_factory=lambda: Lifting.model_validate({}), description="Lifting.")
    vehicle: Vehicle = Field(..., description="The vehicle.")
    fetching: Fetching = Field(
        default_factory=lambda: Fetching.model_validate({}), description="Fetching buckets."
    )
    sorting: Sorting = Field(default_factory=lambda: Sorting.model_validate({}), description="Sorting.")
    melting: Melting = Field(..., description="Melting.")
    selling: Selling = Field(default_factory=lambda: Selling.model_validate({}), description="Selling.")
    pewter: Pewter = Field(
        default_factory=lambda: Pewter.model_validate({}), description="Second-hand pewter."
    )
    yard: Yard = Field(default_factory=lambda: Yard.model_validate({}), description="The scrap yard.")
    stock: Stock = Field(default_factory=lambda: Stock.model_validate({}), description="Opening stock.")
    cash: Cash = Field(..., description="Money at hand.")
    costs: tuple[Cost, ...] = Field((), description="Table of costs beside metal, fuel, driving and wages.")
    stopped: Stopped = Field(
        default_factory=lambda: Stopped.model_validate({}), description="Being made to stop."
    )
    supply: tuple[Choice, ...] = Field((), description="Where weights come from: a list of models.")
    demand: tuple[Choice, ...] = Field((), description="Who buys: a list of models, one a class of buyers.")
    weather: Choice = Field(
        default_factory=lambda: Choice(model="core.synthetic"), description="Weather model."
    )
    rates: Choice = Field(
        default_factory=lambda: Choice(model="core.fixed"), description="What the yard pays: a model."
    )
    pricing: Choice = Field(
        default_factory=lambda: Choice(model="core.fixed"), description="How prices are set: a model."
    )
