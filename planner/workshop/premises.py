"""What follows from the settings alone, worked out once: kit, lifts, payload, and what is refused.

In: ``Business``. Out: ``Premises``, frozen. Must not know: worlds, runs, chance.

Refusals are the hard limits: an option that breaks one is shown with the reason and never recommended.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, inf, pi
from typing import Final

from scipy.constants import pound

from planner.scenario.business import Business
from planner.scenario.gear import Melting
from planner.trade.cylinder import Cylinder
from planner.trade.heat import HeatTable
from planner.trade.metals import LEAD
from planner.trade.payload import may_still_load_kg
from planner.trade.pot import Kit
from planner.trade.stove import Stove
from planner.workshop.crew import Crew, crews_of

REFERENCE_C: Final = 60.0
"""Mean pot temperature of the boiling tests in which burner efficiencies were measured (20 to 100 degC)."""
PORTION_KG: Final = 20.0
"""Ingots and goods for the yard are carried in portions of this mass where none is set (assumed)."""
WIDE_CM: Final = 25.0
"""Diameter of the pots of the boiling tests, about (they name 21 cm pans; assumed)."""
NEVER: Final = 10**9
"""More lifts than any day holds: where the equation allows none."""
MOST_EFFICIENT_SHARE: Final = 0.65
"""No burner and pot do better (assumed; the best measured was 0.58)."""


@dataclass(frozen=True, slots=True)
class StartUp:
    """What an option costs to start, and what its gear brings at the end [currency]."""

    cost: float = 0.0
    resale: float = 0.0


@dataclass(frozen=True, slots=True)
class Refusal:
    """A hard limit that is broken."""

    limit: str
    reason: str
    source: str


TABLES_KEPT: Final = 64
"""Heat tables that are kept: far more than the stoves of one study, and few where each of hundreds of points has its
own; a table of one year's weather takes one to two megabytes (measured)."""


class Tables:
    """Heat tables by stove, kept as long as a worker lives, so that worlds and options share them."""

    def __init__(self) -> None:
        self._kept: Final[Callable[[Stove, bool], HeatTable]] = lru_cache(maxsize=TABLES_KEPT)(HeatTable)

    def table(self, stove: Stove, lid: bool) -> HeatTable:
        """The table of this stove; made at first use."""
        return self._kept(stove, lid)


@dataclass(frozen=True, slots=True)
class Premises:
    """Numbers that follow from the settings without simulating. Masses kg, times h."""

    stove: Stove
    alone: Crew
    helped: Crew
    """On days on which the helper is there."""
    portion_at_most_kg: float
    """The heaviest portion that may be lifted under the limit without the helper."""
    full_pot_kg: float
    """The most that the stand bears: pot, lead to the pouring level, weights and clips on top."""
    lead_at_most_kg: float
    refusals: tuple[Refusal, ...]

    def crew(self, helped: bool) -> Crew:
        """Who goes along, and how they lift."""
        return self.helped if helped else self.alone

    def lifts(self, business: Business, mass_kg: float) -> int:
        """Lifts that it takes to load ingots or goods of this mass and to unload them again."""
        portion_kg = self._portion_kg(business)
        return 2 * ceil(mass_kg / portion_kg - 1e-9) if portion_kg > 0 else NEVER

    def most_in_lifts_kg(self, business: Business, lifts: int) -> float:
        """The largest mass of ingots or goods that so many lifts load and unload."""
        return max(0, lifts) // 2 * self._portion_kg(business)

    def _portion_kg(self, business: Business) -> float:
        return min(business.lifting.portion_kg or PORTION_KG, self.portion_at_most_kg)


def premises(business: Business) -> Premises:
    """Work out what follows from the settings."""
    melting = business.melting
    alone, helped = crews_of(business)
    lead = melting.lead_at_most_kg
    full = melting.pot.mass_kg + lead + _loose_on_top_kg(melting)
    return Premises(
        stove=stove_of(melting),
        alone=alone,
        helped=helped,
        portion_at_most_kg=alone.most_kg(business.lifting.limit_index),
        full_pot_kg=full,
        lead_at_most_kg=lead,
        refusals=tuple(_refusals(business, full, helped)),
    )


def kit_of(business: Business, known: Premises, tables: Tables, hands: float = 1.0) -> Kit:
    """Pot, burner, moulds and hands for one melt; ``hands`` above 1 with a helper."""
    m = business.melting
    return Kit(
        table=tables.table(known.stove, m.lid),
        pots=m.pots,
        pot_mass_kg=m.pot.mass_kg,
        pot_volume_l=_usable_l(m),
        lead_at_most_kg=known.lead_at_most_kg,
        loose_kg_per_m3=m.loose_kg_per_m3,
        heel_kg=m.heel_kg,
        pour_c=m.pour_c,
        hands=hands,
        load_h=m.load_min / 60.0,
        skim_h=m.skim_min / 60.0,
        flux_h=m.flux_min / 60.0,
        solid_h=m.solid_min / 60.0,
        round_kg=m.moulds.count * m.moulds.holds_kg,
        round_h=max(m.moulds.round_min, m.moulds.count * m.moulds.each_min) / 60.0,
        dross_share=m.dross_share,
        dross_hourly_share=m.dross_hourly_share,
        dross_at_most_share=m.dross_at_most_share,
        zinc_hourly_share=_zinc_hourly_share(m),
        zinc_overheated_share=m.zinc.overheated_share,
        least_lead_kg=m.least_lead_kg,
        turned_down=m.burner.turned_down,
        slack_share=m.slack_share,
    )


def _zinc_hourly_share(m: Melting) -> float:
    """Share of the zinc that dissolves in an hour: more where nobody reads the temperature [1/h]."""
    return min(1.0, m.zinc.hourly_share * (1.0 if m.thermometer else m.zinc.unwatched_times))


def _usable_l(m: Melting) -> float:
    """Volume of one pot up to where it is filled [L]."""
    return pi / 4 * (m.pot.diameter_cm / 10) ** 2 * (m.pot.height_cm / 10) * m.pot.fill_share


def _loose_on_top_kg(m: Melting) -> float:
    """The most that weights, clips included, can weigh above as much lead as is ever in the pot [kg]."""
    room_l = _usable_l(m) - m.lead_at_most_kg / LEAD.liquid_kg_per_m3 * 1e3
    return max(0.0, room_l) * m.loose_kg_per_m3 / 1e3


def stove_of(m: Melting) -> Stove:
    """The heat balance's stove: skirt, screen and cylinders counted in."""
    c = m.cylinder
    return Stove(
        pot_diameter_m=m.pot.diameter_cm / 100.0,
        pot_height_m=m.pot.height_cm / 100.0,
        burner_w=m.burner.power_w,
        efficiency_share=_efficiency_share(m),
        gas_c=m.burner.gas_c,
        reference_c=REFERENCE_C,
        wind_half_m_s=m.burner.wind_half_m_s,
        wind_at_pot_share=m.wind_at_pot_share * (m.screen_share if m.screen else 1.0),
        contact_share=m.contact_share,
        pool_share=m.pool_share,
        gas_cover_share=m.skirt_cover_share if m.skirt else m.burner.gas_cover_share,
        lid_share=m.lid_share,
        emissivity_top=m.emissivity_top,
        emissivity_side=m.emissivity_side,
        cylinder=Cylinder(
            content_kg=c.content_kg,
            diameter_m=c.diameter_cm / 100.0,
            height_m=c.height_cm / 100.0,
            u_w_per_m2_k=c.transfer_w_per_m2_k,
            liquid_min_c=c.liquid_min_c,
            run_h=c.run_h,
            number=c.number,
        ),
    )


def _efficiency_share(m: Melting) -> float:
    """Efficiency with a wide bottom and a skirt counted in."""
    wide: float = (m.pot.diameter_cm / WIDE_CM) ** m.burner.wide_bottom_power
    skirt = m.skirt_gain if m.skirt else 1.0
    most = max(MOST_EFFICIENT_SHARE, m.burner.efficiency_share)
    return min(most, m.burner.efficiency_share * wide * skirt)


def _refusals(business: Business, full_kg: float, helped: Crew) -> list[Refusal]:
    m, found = business.melting, []
    if m.on and m.place == "enclosed" and not (m.extraction and m.co_alarm):
        found.append(
            Refusal(
                "place",
                "an enclosed place without extraction and a carbon monoxide alarm: nothing is melted there",
                "burner makers' instructions; 29 CFR 1910.1025 for lead in air; this project's rule",
            )
        )
    if m.on and full_kg > m.stand_kg:
        found.append(
            Refusal(
                "stand",
                f"a full pot weighs {_both(full_kg)}, the stand is rated for {_both(m.stand_kg)}",
                "the stand's own rating",
            )
        )
    if m.on and m.pot_moved_full:
        found.append(
            Refusal(
                "pot",
                "the pot would be moved with metal in it: nothing is melted",
                "common practice; this project's rule",
            )
        )
    if m.on and not m.dry_first:
        found.append(
            Refusal(
                "wet",
                "wet weights are not dried first: they would meet a heel or molten metal, so no wet lot is melted",
                "common practice; this project's rule",
            )
        )
    return found + (_hauling_refusals(business, helped) if business.fetching.on else [])


def _hauling_refusals(business: Business, helped: Crew) -> list[Refusal]:
    """What is broken even with the helper's hands, or without the helper's weight in the vehicle."""
    found, most = [], helped.portion_kg
    at_most_kg = helped.most_kg(business.lifting.limit_index)
    if at_most_kg <= 0 or at_most_kg + 1e-9 < most < inf:
        what = f"portions of {_both(most)} have" if most < inf else "any lift has"
        found.append(
            Refusal(
                "lifting",
                f"{what} a lifting index above {business.lifting.limit_index:.1f}; "
                f"at most {_both(at_most_kg)} this way ({helped.method})",
                "revised NIOSH lifting equation, NIOSH 94-110; refusing above 3 is this project's rule",
            )
        )
    if may_still_load_kg(crews_of(business)[0].vehicle) <= 0:
        found.append(
            Refusal(
                "payload",
                "the vehicle's payload is used up by the people in it",
                "the vehicle's plate; 49 CFR 567.4",
            )
        )
    return found


def _both(kg: float) -> str:
    """A mass for any reader: a refusal must be understood whatever units a scenario is told in."""
    return f"{kg:.0f} kg ({kg / pound:.0f} lb)"
