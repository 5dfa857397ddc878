"""Settings of sorting and melting: pot, burner, cylinder, moulds, place, and how the owner uses them.

In: the user's YAML, already read. Out: frozen values. Must not know: the heat balance itself (planner.trade.heat).
"""

from __future__ import annotations

from math import pi
from typing import Final, Literal

from pydantic import Field

from planner.scenario.clock import DayRanges
from planner.scenario.part import PartError
from planner.scenario.section import Section, across
from planner.scenario.spread import Spread, SpreadShare
from planner.scenario.units import (
    Count,
    DensityKgPerM3,
    DurationDays,
    DurationH,
    DurationMin,
    LengthCm,
    MassKg,
    MoneyPerKg,
    Number,
    PowerW,
    RainMm,
    RateKgPerH,
    Share,
    SpeedMS,
    TemperatureC,
    TransferWPerM2K,
)
from planner.trade.metals import LEAD

LEAD_IN_POT_SHARE: Final = 2.0 / 3.0
"""How full of lead a pot is when it is poured, unless said otherwise (assumed)."""


class Sorting(Section):
    """Sorting by hand before melting: zinc, steel and rubbish out, stick-on weights apart if wanted."""

    on: bool = Field(False, description="Sort before melting?")
    rate_kg_per_h: RateKgPerH = Field(
        45.0, gt=0, description="By hand 25 to 80 kg/h (common practice, no published source)."
    )
    ahead_kg: MassKg = Field(
        120.0, gt=0, description="Sort no further ahead of the pot than this mass (assumed)."
    )
    apart: bool = Field(True, description="Put stick-on weights apart, so that they give soft lead?")
    missed_share: SpreadShare = Field(
        default_factory=lambda: Spread.constant(0.05),
        description="Share of zinc and steel that is missed, lot by lot (assumed).",
    )


class Pot(Section):
    """The melting pot."""

    diameter_cm: LengthCm = Field(25.0, gt=0, le=120, description="Inside diameter (assumed).")
    height_cm: LengthCm = Field(20.0, gt=0, le=120, description="Inside height (assumed).")
    mass_kg: MassKg = Field(5.0, gt=0, description="Mass of the empty pot (assumed).")
    fill_share: Share = Field(
        0.85, gt=0, description="How full it is loaded, as a share of its height (assumed)."
    )
    lead_at_most_kg: MassKg | None = Field(
        None,
        gt=0,
        description="Pour when this much lead is in it. Left out: when two thirds full of lead (assumed).",
    )


class Burner(Section):
    """The burner. Power and efficiency on the net heating value of propane (46.3 MJ/kg)."""

    power_w: PowerW = Field(..., gt=0, description="Full power, net heating value.")
    efficiency_share: Share = Field(
        0.45,
        gt=0,
        description=(
            "Heat into a pot at 60 degC in still air, as a share of the fuel's net heat (assumed, within 0.32 to 0.58 "
            "as published for boiling water: a range, not a constant)."
        ),
    )
    wide_bottom_power: Number = Field(
        0.3,
        ge=0,
        le=1,
        description="Efficiency grows with the pot's diameter over 25 cm to this power (assumed; 0: not at all).",
    )
    gas_c: TemperatureC = Field(
        1100.0,
        gt=400,
        description="Temperature of the gases, at which a pot would take up nothing more (assumed, 800 to 1,300 degC).",
    )
    gas_cover_share: Share = Field(
        0.9, description="Share of the pot's side that the gases wash (assumed, 0.7 to 1)."
    )
    wind_half_m_s: SpeedMS = Field(
        2.0,
        gt=0,
        description="Wind at the pot that takes half of the useful heat away (assumed, 1 to 4 m/s).",
    )
    turned_down: bool = Field(True, description="Turn the flame down while loading, skimming and pouring?")


class CylinderSettings(Section):
    """The propane cylinder, which gives less when cold or half empty."""

    content_kg: MassKg = Field(
        9.07, gt=0, description="Propane in a full one (20 lb, as this size is called: common practice)."
    )
    diameter_cm: LengthCm = Field(31.0, gt=0, description="Outside diameter (assumed).")
    height_cm: LengthCm = Field(29.0, gt=0, description="Height of the liquid's space (assumed).")
    transfer_w_per_m2_k: TransferWPerM2K = Field(
        14.0,
        gt=0,
        description="Heat from the air through its wetted wall (assumed; draw tables give 13 to 18 at 4 to 21 degC).",
    )
    liquid_min_c: TemperatureC = Field(
        -28.9,
        ge=-42,
        description="Coldest liquid that still feeds the regulator (assumed, as in draw tables; it boils at -42).",
    )
    run_h: DurationH = Field(
        2.0, gt=0, description="The liquid's own warmth is spread over a run of this length (assumed)."
    )
    swap_below_share: Share = Field(
        0.1, description="Swapped for a full one before lighting when less than this is left (assumed)."
    )
    number: Count = Field(
        1, ge=1, description="Cylinders joined side by side: each gives its share of the vapour."
    )


class Moulds(Section):
    """Ingot moulds and the hands that fill them."""

    count: Count = Field(4, ge=1, description="Moulds filled in one round (assumed).")
    holds_kg: MassKg = Field(1.8, gt=0, description="Ingots from one mould (assumed).")
    round_min: DurationMin = Field(
        4.0, gt=0, description="Filling, setting and knocking out, for one round of all moulds (assumed)."
    )
    each_min: DurationMin = Field(
        0.5, ge=0, description="Hands' time for each mould: many moulds make a round longer (assumed)."
    )


class Zinc(Section):
    """What zinc does in the pot (dissolution rates assumed; no published source for this use)."""

    hourly_share: Share = Field(
        0.0008,
        description="Share of the zinc in the pot that dissolves in an hour in hot metal, by thermometer (assumed).",
    )
    overheated_share: Share = Field(
        0.03, description="Share of it that dissolves when a cold start overheats the bottom (assumed)."
    )
    overheats_share: Share = Field(
        0.3,
        description="Chance a day that a cold start overheats: no heel, no thermometer, a strong burner (assumed).",
    )
    strong_w: PowerW = Field(
        6000.0, gt=0, description="A burner counts as strong from this power up (assumed)."
    )
    unwatched_times: Number = Field(
        3.0,
        ge=1,
        le=20,
        description=(
            "Without a thermometer the metal gets hotter than it need, and zinc dissolves so many times as fast "
            "(assumed, 1 to 5)."
        ),
    )
    noticed: bool = Field(True, description="Does the owner see a zinced pot and say so when selling?")


class Melting(Section):
    """Melting: where, with what, and by which rules."""

    on: bool = Field(
        True, description="Melt at all? With false, weights are kept or sold untouched (see `yard.weights`)."
    )
    place: Literal["open air", "roof", "enclosed"] = Field(
        "open air",
        description=(
            "Open air: no rain, little wind. Roof: open-sided. Enclosed: refused without extraction and a CO alarm."
        ),
    )
    light: bool = Field(False, description="Is there light after dark?")
    extraction: bool = Field(False, description="Fume extraction, needed in an enclosed place.")
    co_alarm: bool = Field(False, description="Carbon monoxide alarm, needed in an enclosed place.")
    wind_at_pot_share: Share = Field(
        0.4,
        description=(
            "Wind at the pot over wind at 10 m. Open air 0.3 to 0.5 (over grass the logarithmic profile gives 0.48 at "
            "0.5 m; shelter assumed), under a roof 0.1 to 0.4 (assumed)."
        ),
    )
    most_wind_m_s: SpeedMS = Field(
        10.0,
        gt=0,
        description="Wind at 10 m above which nobody lights up, and a melt in the open is broken off (assumed).",
    )
    coldest_c: TemperatureC = Field(-10.0, description="Nobody lights up below this (assumed).")
    rain_from_mm: RainMm = Field(
        0.1, gt=0, description="Rain in an hour that stops work in the open (assumed)."
    )
    pots: Count = Field(
        1, ge=1, le=4, description="Pots alike, each on its own burner, tended by the same hands."
    )
    pot: Pot = Field(default_factory=lambda: Pot.model_validate({}), description="The pot.")
    burner: Burner = Field(..., description="The burner.")
    cylinder: CylinderSettings = Field(
        default_factory=lambda: CylinderSettings.model_validate({}), description="The propane cylinder."
    )
    moulds: Moulds = Field(default_factory=lambda: Moulds.model_validate({}), description="The moulds.")
    zinc: Zinc = Field(default_factory=lambda: Zinc.model_validate({}), description="Zinc in the pot.")
    lid: bool = Field(False, description="Is the lid on while it heats?")
    lid_share: Share = Field(
        0.5, description="Share of the losses from the top that a lid leaves (assumed, 0.3 to 0.8)."
    )
    skirt: bool = Field(False, description="A skirt that leads the gases up the side?")
    skirt_gain: float = Field(
        1.25, ge=1, le=2, description="Efficiency with the skirt over without (assumed)."
    )
    skirt_cover_share: Share = Field(
        1.0, description="Share of the side that gases wash with the skirt (assumed)."
    )
    screen: bool = Field(False, description="A screen against the wind?")
    screen_share: Share = Field(
        0.3, description="Wind behind the screen over wind without (assumed, 0.15 to 0.5)."
    )
    thermometer: bool = Field(False, description="A thermometer in the melt?")
    heel_kg: MassKg = Field(
        0.0, ge=0, description="Lead left in the pot to start the next melt; an inch is usual."
    )
    contact_share: Share = Field(
        0.6,
        gt=0,
        description="Useful heat into loose cold weights, before a pool forms, over that with a pool (assumed).",
    )
    pool_share: Share = Field(0.2, description="Share of the lead molten when there is a pool (assumed).")
    emissivity_top: Share = Field(
        0.5, description="Oxidised lead, published 0.28 at 20 and 0.63 at 200 degC; dirt on top assumed."
    )
    emissivity_side: Share = Field(
        0.8, description="Oxidised steel: 0.78 to 0.82 (published table of emissivities)."
    )
    loose_kg_per_m3: DensityKgPerM3 = Field(
        3400.0,
        gt=0,
        description="Bulk density of loose weights (assumed: a 20 L bucket brim-full holds 60 to 70 kg).",
    )
    pour_c: TemperatureC = Field(
        370.0,
        ge=335,
        le=450,
        description="Temperature for fluxing and pouring (assumed; lead melts at 327.5).",
    )
    load_min: DurationMin = Field(2.0, ge=0, description="Time to add one load (assumed).")
    skim_min: DurationMin = Field(4.0, ge=0, description="Time to skim clips after each load (assumed).")
    flux_min: DurationMin = Field(
        6.0, ge=0, description="Time to flux and skim dross before pouring (assumed)."
    )
    solid_min: DurationMin = Field(
        8.0, ge=0, description="Time from the last pour until solid; attended until then (assumed)."
    )
    set_up_min: DurationMin = Field(
        30.0, ge=0, description="Haul out, dress, light: before the first melt of a session (assumed)."
    )
    clean_up_min: DurationMin = Field(
        30.0, ge=0, description="Cool down, put away, wash: after the last (assumed)."
    )
    dross_share: Share = Field(
        0.01, description="Lead lost to dross in any melt (1 to 3 %, common practice)."
    )
    dross_hourly_share: Share = Field(0.004, description="And for each hour molten (assumed).")
    dross_at_most_share: Share = Field(0.03, description="At most (common practice).")
    least_lead_kg: MassKg = Field(
        8.0, ge=0, description="Not worth lighting for less lead than this (assumed)."
    )
    slack_share: Number = Field(
        0.3,
        ge=0,
        le=5,
        description="Time kept in hand when planning a melt, as a share of its heating (assumed).",
    )
    stop_above_kg: MassKg = Field(
        150.0, ge=0, description="Melt no more while at least this mass of ingots is unsold (assumed)."
    )
    days: tuple[Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"], ...] = Field(
        ("mon", "tue", "wed", "thu", "fri", "sat", "sun"), description="Weekdays on which the owner melts."
    )
    not_on: DayRanges = Field((), description="Days on which nothing is melted, such as `2026-03-07`.")
    dry_days: DurationDays = Field(
        5.0,
        ge=0,
        description="Wet weights dry this long in the shade before they may go near molten metal (assumed).",
    )
    dry_off_mm: RainMm = Field(
        10.0,
        gt=0,
        description=(
            "Depth of water on wet weights that are spread out: in hours without rain the sun takes it off them sooner "
            "(assumed; how fast by Makkink's formula)."
        ),
    )
    dry_first: bool = Field(
        True,
        description="Dry wet weights first? With false every wet lot is refused: it never meets a heel or a melt.",
    )
    pot_moved_full: bool = Field(
        False, description="Is the pot moved with metal in it? With true nothing is melted: a full pot stays."
    )
    stand_kg: MassKg = Field(
        ..., gt=0, description="Load the stand is rated for; a full pot above it is refused."
    )
    fuel_price_per_kg: MoneyPerKg = Field(2.5, ge=0, description="Propane (assumed).")

    @property
    def lead_at_most_kg(self) -> float:
        """Lead in one pot when it is poured [kg]."""
        if self.pot.lead_at_most_kg is not None:
            return self.pot.lead_at_most_kg
        litres = pi / 4 * (self.pot.diameter_cm / 10) ** 2 * (self.pot.height_cm / 10)
        return litres * LEAD_IN_POT_SHARE * LEAD.liquid_kg_per_m3 / 1000.0

    @across("heel", "pot.diameter", "pot.height", "pot.lead_at_most")
    def _heel_leaves_room(self) -> None:
        if self.heel_kg >= self.lead_at_most_kg:
            raise PartError(
                f"a heel of {self.heel_kg:g} kg leaves no room: the pot is poured at {self.lead_at_most_kg:.0f} kg",
                ["heel"],
            )
