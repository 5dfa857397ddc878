"""Settings of fetching, lifting, the vehicle and the yard: what a scenario says about moving heavy things.

In: the user's YAML, already read. Out: frozen values. Must not know: how a trip or a lift is played.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from planner.scenario.clock import WeekdayWindows
from planner.scenario.section import Section
from planner.scenario.units import (
    AngleDeg,
    Count,
    DistanceKm,
    DurationDays,
    DurationMin,
    LengthCm,
    MassKg,
    Money,
    MoneyPerH,
    MoneyPerKm,
    Share,
    SpeedKmH,
)
from planner.trade.lifting import (
    BUCKET_GRIP_CM,
    BUCKET_WIDTH_CM,
    REACH_OVER_SILL_CM,
    REFUSED_INDEX,
    TAILGATE_CM,
)
from planner.trade.ways import WAYS, Method


def _by_way(number: str) -> str:
    """What is taken for each way of lifting where a field is left out, in words."""
    return ", ".join(f"{method} {getattr(way, number):g}" for method, way in WAYS.items())


class Lifting(Section):
    """How buckets get from the shop's floor into the vehicle and out again (revised NIOSH lifting equation)."""

    method: Method = Field(
        "by hand",
        description=(
            "What takes part of the load off the hands. Two people: a second one rides along on every trip that lifts "
            "and is paid for it, unless the helper is there and lifts."
        ),
    )
    carried_share: Share | None = Field(
        None,
        description=(
            "Share of a portion that rests on the owner's hands. Left out: "
            f"{_by_way('carried_share')} (all but the first assumed)."
        ),
    )
    portion_kg: MassKg | None = Field(
        None,
        gt=0,
        description="Most lifted at once: fuller buckets are split into equal portions. Left out: never split.",
    )
    limit_index: float = Field(
        REFUSED_INDEX,
        gt=0,
        le=REFUSED_INDEX,
        description="Lifts above this lifting index are refused. At most 3, this project's rule.",
    )
    reach_cm: LengthCm = Field(
        20.0 + BUCKET_WIDTH_CM / 2.0,
        ge=0,
        description="Ankles to hands, horizontally: 20 cm and half the bucket's width (NIOSH 94-110, p. 8).",
    )
    over_sill_cm: LengthCm = Field(
        REACH_OVER_SILL_CM,
        ge=0,
        description="Reach further than that over the sill of the vehicle (assumed).",
    )
    floor_cm: LengthCm = Field(
        BUCKET_GRIP_CM,
        ge=0,
        description="Height of the hands when the bucket stands on the floor: its raised handle (assumed).",
    )
    tailgate_cm: LengthCm = Field(
        TAILGATE_CM + BUCKET_GRIP_CM,
        ge=0,
        description="Height of the hands when the bucket stands on the load floor (assumed: 75 cm and the handle).",
    )
    turn_deg: AngleDeg = Field(0.0, ge=0, le=135, description="Turn of the body during the lift.")
    grip: Literal["good", "fair", "poor"] = Field(
        "fair",
        description="Hold of the hands, as the lifting equation grades it. Gloves make it less than good.",
    )
    lifts_per_minute: float = Field(0.5, gt=0, le=15, description="Lifts a minute while loading (assumed).")
    minutes_min: DurationMin | None = Field(
        None,
        ge=0,
        description=(
            "Time for one lift with whatever helps it, there and back, at a shop and at home. Left out, in minutes: "
            f"{_by_way('lift_min')} (assumed)."
        ),
        alias="time_per_lift",
    )
    ready_min: DurationMin | None = Field(
        None,
        ge=0,
        description=(
            "Time to set up and stow what helps, at each stop and once at home. Left out, in minutes: "
            f"{_by_way('ready_min')} (assumed)."
        ),
        alias="time_per_stop",
    )
    second_wage_per_h: MoneyPerH = Field(
        12.0,
        ge=0,
        description=(
            "Two people: what the second one is paid for the whole trip (assumed). 0 for a friend who asks nothing."
        ),
        alias="second_wage",
    )
    split_min: DurationMin = Field(
        3.0,
        ge=0,
        description="Time to fill one portion out of a bucket that is split (assumed).",
        alias="time_per_split",
    )
    most_a_day: Count = Field(
        30, ge=1, description="Lifts in one day, loading and unloading together (assumed)."
    )


class Vehicle(Section):
    """The vehicle that fetches buckets and takes goods to the yard."""

    payload_kg: MassKg = Field(
        ...,
        gt=0,
        description="Rated load, people included, as its plate says (49 CFR 567.4: rated cargo and seats).",
    )
    driver_kg: MassKg = Field(
        68.0, ge=0, description="Mass of the people in it (150 lb a person, as 49 CFR 567.4 counts them)."
    )
    rear_axle_spare_kg: MassKg | None = Field(
        None, gt=0, description="What the rear axle may still take, driver aboard. Left out: not a limit."
    )
    rear_share: Share = Field(0.8, description="Share of the load that rests on the rear axle (assumed).")
    cost_per_km: MoneyPerKm = Field(
        0.43,
        ge=0,
        description="All-in cost of driving. 0.43 is the IRS mileage rate of 2025 (70 cents a mile).",
    )
    speed_km_h: SpeedKmH = Field(40.0, gt=0, description="Average speed on these roads (assumed).")
    overload_accepted: bool = Field(
        False, description="Drive overloaded? Unsafe and often unlawful; it wears the vehicle."
    )
    overload_at_most_share: Share = Field(
        0.2, description="Where overload is accepted, the most above the rating, as a share of it (assumed)."
    )
    overload_wear_per_km: MoneyPerKm = Field(
        0.5, ge=0, description="Extra wear while overloaded, at the full share above the rating (assumed)."
    )


class Fetching(Section):
    """When and how the owner fetches buckets."""

    on: bool = Field(True, description="Fetch at all? With false and no stock the business does nothing.")
    every_days: DurationDays = Field(
        14.0, gt=0, description="At least this long between two trips (assumed)."
    )
    stops: Count = Field(4, ge=1, description="Shops on one trip, at most (assumed).")
    least_buckets: Count = Field(1, ge=1, description="Drive only when at least so many buckets are waiting.")
    stop_min: DurationMin = Field(
        15.0, ge=0, description="Time at each stop apart from lifting: finding, talking, paying (assumed)."
    )
    most_price: Money | None = Field(
        None, ge=0, description="The most to pay for one bucket. Left out: whatever is asked."
    )
    scrap_at_most_kg: MassKg = Field(
        400.0, ge=0, description="Fetch no more while at least this mass of weights waits at home (assumed)."
    )
    days: tuple[Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"], ...] = Field(
        ("mon", "tue", "wed", "thu", "fri", "sat", "sun"),
        description="Weekdays on which the owner may drive.",
    )


class Yard(Section):
    """The scrap yard, which takes what nobody else buys."""

    distance_km: DistanceKm = Field(10.0, ge=0, description="One way (assumed).")
    open: WeekdayWindows = Field(
        (*(((8.0, 17.0),),) * 5, ((8.0, 12.0),), ()), description="Opening hours by weekday (assumed)."
    )
    visit_min: DurationMin = Field(
        40.0, ge=0, description="Unloading, sorting out, weighing, being paid (assumed)."
    )
    every_days: DurationDays = Field(
        28.0, gt=0, description="At least this long between two trips to the yard (assumed)."
    )
    least_kg: MassKg = Field(
        80.0, ge=0, description="Drive only with at least this mass: a minimum trip (assumed)."
    )
    lead_above_kg: MassKg | None = Field(
        None, ge=0, description="Ingots above this stock go to the yard. Left out: none do before the end."
    )
    weights: Literal["keep", "surplus", "all"] = Field(
        "keep",
        description=(
            "Mixed weights as they came: kept for melting; sold above half of `fetching.scrap_at_most`; or all sold."
        ),
    )
    downgraded_share: Share = Field(
        0.1,
        description="Chance, each day, that home-made ingots are taken only at the price of mixed weights (assumed).",
    )
    takes_leaded_clips: bool = Field(True, description="Does it take clips with traces of lead on them?")
