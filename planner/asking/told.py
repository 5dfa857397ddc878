"""What may be answered: each answer's type and range, read as a scenario's own keys are.

In: a mapping of answers. Out: ``Told``, None where nothing was answered. Must not know: words of questions, what is
usual, how an answer is written into a scenario.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from planner.scenario.business import Weekday
from planner.scenario.clock import Day, DayRanges, WeekdayWindows
from planner.scenario.data import DataFile
from planner.scenario.header import checked_currency
from planner.scenario.part import PartError
from planner.scenario.section import Section, across
from planner.scenario.units import (
    AngleDeg,
    Count,
    DistanceKm,
    DurationDays,
    DurationH,
    DurationMin,
    LengthCm,
    MassKg,
    Money,
    MoneyPerH,
    MoneyPerKg,
    MoneyPerKm,
    Number,
    PerMonth,
    PowerW,
    TemperatureC,
)
from planner.scenario.zone import TimeZone

Lift = Literal["full", "half", "third", "two people", "plank", "hand truck", "hoist"]


class Told(Section):
    """Answers, in internal units. What was not answered is None."""

    title: str | None = Field(
        None, min_length=1, max_length=120, examples=["My garage"], description="Name of the scenario."
    )
    currency: Annotated[str, AfterValidator(checked_currency)] | None = Field(
        None, examples=["EUR"], description="Currency of all amounts, by its code (ISO 4217)."
    )
    units: Literal["kg", "lb"] | None = Field(None, description="Kilograms, or pounds.")
    euro_is: Number | None = Field(None, gt=0, le=10_000_000, description="What a euro is worth.")
    buckets_per_month: PerMonth | None = Field(
        None, gt=0, le=200, description="Buckets that the shops fill in a month."
    )
    bucket_price: Money | None = Field(None, ge=0, le=1_000_000, description="Paid for a bucket.")
    bucket_kg: MassKg | None = Field(None, ge=5, le=150, description="Mass of a full bucket.")
    shops: Count | None = Field(None, ge=1, le=60, description="Shops that give to you.")
    shop_distance_km: DistanceKm | None = Field(None, ge=0.1, le=300, description="To a shop, one way.")
    fetch_every_days: DurationDays | None = Field(None, ge=1, le=366, description="From trip to trip.")
    lift: Lift | None = Field(None, description="How a bucket gets into the vehicle.")
    payload_kg: MassKg | None = Field(None, gt=0, le=20_000, description="Payload, people included.")
    drive_cost_per_km: MoneyPerKm | None = Field(None, ge=0, le=10_000, description="Cost of driving.")
    hours: WeekdayWindows | None = Field(None, description="Free hours by weekday.")
    holidays: DayRanges | None = Field(None, description="Days off.")
    hour_price_per_h: MoneyPerH | None = Field(
        None, ge=0, le=1_000_000, description="What an hour of yours is worth."
    )
    helper_wage_per_h: MoneyPerH | None = Field(None, ge=0, le=1_000_000, description="A helper's wage.")
    helper_days: tuple[Weekday, ...] | None = Field(
        None, min_length=1, description="Weekdays on which the helper comes."
    )
    sort: bool | None = Field(None, description="Sorted by hand before melting?")
    place: Literal["open air", "roof", "enclosed"] | None = Field(None, description="Where the pot stands.")
    extraction: bool | None = Field(None, description="Fume extraction and a carbon monoxide alarm?")
    sheltered: bool | None = Field(None, description="Is the pot sheltered from the wind?")
    light: bool | None = Field(None, description="Is there light after dark?")
    burner_w: PowerW | None = Field(None, ge=500, le=200_000, description="Power of the burner.")
    fuel_price_per_kg: MoneyPerKg | None = Field(None, ge=0, le=100_000, description="Price of propane.")
    pot_diameter_cm: LengthCm | None = Field(None, ge=8, le=120, description="The pot, inside, across.")
    pot_height_cm: LengthCm | None = Field(None, ge=6, le=120, description="The pot, inside, high.")
    stand_kg: MassKg | None = Field(None, gt=0, le=20_000, description="What the stand bears.")
    heel: bool | None = Field(None, description="Is an inch of lead left in the pot?")
    lid: bool | None = Field(None, description="A lid on the pot?")
    windbreak: bool | None = Field(None, description="A skirt round the pot and a screen?")
    thermometer: bool | None = Field(None, description="A thermometer in the melt?")
    moulds: Count | None = Field(None, ge=1, le=200, description="Moulds filled in one round.")
    mould_kg: MassKg | None = Field(None, ge=0.1, le=50, description="Ingots from one mould.")
    bucket_hours_h: DurationH | None = Field(None, ge=0.25, le=40, description="Stove hours of a bucket.")
    casters: Count | None = Field(None, le=1000, description="Casters who know of you.")
    orders_per_month: PerMonth | None = Field(None, gt=0, le=300, description="Casters' orders in a month.")
    order_kg: MassKg | None = Field(None, ge=0.5, le=500, description="A caster's usual order.")
    anglers: Count | None = Field(None, le=1000, description="Anglers who know of you.")
    angler_orders_per_month: PerMonth | None = Field(
        None, gt=0, le=300, description="Anglers' orders in a month."
    )
    angler_order_kg: MassKg | None = Field(None, ge=0.2, le=500, description="An angler's usual order.")
    asked_per_kg: MoneyPerKg | None = Field(None, gt=0, le=100_000, description="What you ask for ingots.")
    buy_of_ten: Count | None = Field(None, ge=1, le=10, description="Of ten who ask, how many buy.")
    sale_min: DurationMin | None = Field(None, ge=0, le=600, description="Your time for a sale.")
    yard_lead_per_kg: MoneyPerKg | None = Field(
        None, ge=0, le=100_000, description="What the yard pays for ingots."
    )
    yard_weights_per_kg: MoneyPerKg | None = Field(
        None, ge=0, le=100_000, description="What the yard pays for weights as they come."
    )
    yard_distance_km: DistanceKm | None = Field(None, ge=0, le=300, description="To the yard, one way.")
    cash: Money | None = Field(None, ge=0, le=1_000_000_000, description="Cash for the business.")
    ingots_kg: MassKg | None = Field(None, ge=0, le=100_000, description="Ingots in stock.")
    sundries: Money | None = Field(None, ge=0, le=1_000_000, description="Flux, filters, gloves in a month.")
    start: Day | None = Field(None, description="First day.")
    time_zone: TimeZone | None = Field(None, description="Of your clock.")
    latitude_deg: AngleDeg | None = Field(None, ge=-66, le=66, description="Where the sun stands.")
    coldest_c: TemperatureC | None = Field(None, ge=-60, le=40, description="Mean of the coldest time.")
    warmest_c: TemperatureC | None = Field(None, ge=-40, le=50, description="Mean of the warmest time.")
    weather_file: DataFile | None = Field(None, description="Measured hours of a year.")

    @across("coldest", "warmest")
    def _summer_is_warmer(self) -> None:
        if self.coldest_c is not None and self.warmest_c is not None and self.warmest_c < self.coldest_c:
            raise PartError("the warmest time is colder than the coldest", ["warmest"])
