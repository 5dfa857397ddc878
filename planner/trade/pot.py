"""What a melt is done with and what comes of it: weights that lie ready, what is in the pot, the kit, the melt.

In: masses [kg], shares, sizes. Out: values, and the heat capacity of what is in a pot. Must not know: the course of a
melt, hours, weather.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import inf
from typing import Final, NamedTuple

from planner.trade.charge import Charge
from planner.trade.heat import HeatTable
from planner.trade.metals import IRON, LEAD, ZINC

RUBBISH_J_PER_KG_K: Final = 1200.0
"""Rubber, paper, grit: assumed."""
_IRON, _ZINC = IRON.solid_j_per_kg_k, ZINC.solid_j_per_kg_k
_LEAD, _MOLTEN_LEAD = LEAD.solid_j_per_kg_k, LEAD.liquid_j_per_kg_k


Parts = tuple[float, float, float, float, float]
"""Lead, clips, zinc, steel, rubbish [kg]."""


class Portion:
    """Weights of one lot that lie ready: mass [kg] and shares; ``key`` says whose they are."""

    __slots__ = ("clip_share", "key", "lead_share", "mass_kg", "rubbish_share", "steel_share", "zinc_share")

    def __init__(
        self,
        key: int,
        mass_kg: float,
        lead_share: float,
        clip_share: float,
        zinc_share: float,
        steel_share: float,
        rubbish_share: float,
    ) -> None:
        self.key: Final = key
        self.mass_kg: Final = mass_kg
        self.lead_share: Final = lead_share
        self.clip_share: Final = clip_share
        self.zinc_share: Final = zinc_share
        self.steel_share: Final = steel_share
        self.rubbish_share: Final = rubbish_share

    def less(self, kg: float) -> Portion:
        """What is left of it when so much was taken [kg]."""
        return Portion(
            self.key,
            self.mass_kg - kg,
            self.lead_share,
            self.clip_share,
            self.zinc_share,
            self.steel_share,
            self.rubbish_share,
        )


class Pile:
    """Weights that go into pots alike, in order. Masses are per pot."""

    def __init__(self, portions: Sequence[Portion], pots: int) -> None:
        self._portions = [p for p in portions if p.mass_kg > 0]
        self._pots = pots
        self._weigh()

    def _weigh(self) -> None:
        mass = lead = 0.0
        for p in self._portions:
            mass += p.mass_kg
            lead += p.mass_kg * p.lead_share
        self.ready_kg = mass / self._pots
        """All that lies ready [kg a pot]."""
        self.lead_share = lead / mass if mass > 0 else 0.0
        """Lead in all of it."""

    def with_lead(self, lead_kg: float) -> float:
        """The largest load [kg a pot] that brings no more than so much lead [kg a pot]."""
        left, load = lead_kg * self._pots if lead_kg > 0.0 else 0.0, 0.0
        for p in self._portions:
            lead = p.mass_kg * p.lead_share
            if lead > left:
                return (load + left / p.lead_share) / self._pots
            left -= lead
            load += p.mass_kg
        return load / self._pots

    def first(self, load_kg: float) -> Parts:
        """Lead, clips, zinc, steel, rubbish [kg a pot] of the first ``load_kg`` a pot."""
        n = self._pots
        left = load_kg * n
        lead = clip = zinc = steel = rubbish = 0.0
        for p in self._portions:
            kg = left if left < p.mass_kg else p.mass_kg
            lead += kg * p.lead_share
            clip += kg * p.clip_share
            zinc += kg * p.zinc_share
            steel += kg * p.steel_share
            rubbish += kg * p.rubbish_share
            left -= kg
            if left <= 0:
                break
        return lead / n, clip / n, zinc / n, steel / n, rubbish / n

    def take(self, load_kg: float) -> list[tuple[int, float]]:
        """Take the first ``load_kg`` a pot away: (key, kg) over all pots."""
        left, taken = load_kg * self._pots, []
        while left > 1e-9 and self._portions:
            p = self._portions[0]
            kg = left if left < p.mass_kg else p.mass_kg
            taken.append((p.key, kg))
            left -= kg
            if p.mass_kg - kg > 1e-9:
                self._portions[0] = p.less(kg)
            else:
                self._portions.pop(0)
        self._weigh()
        return taken


class Contents(NamedTuple):
    """What is in the pot [kg]: metal, and what has not been skimmed; ``left_h`` is when it was left."""

    lead_kg: float = 0.0
    clip_kg: float = 0.0
    zinc_kg: float = 0.0
    steel_kg: float = 0.0
    rubbish_kg: float = 0.0
    zinc_in_lead_kg: float = 0.0
    temperature_c: float = 20.0
    left_h: float = -inf
    run_together: bool = True
    """Has it touched the pot as one piece since it was molten? Weights left before they melted lie loose."""

    @property
    def mass_kg(self) -> float:
        """Everything in the pot [kg]."""
        return self.lead_kg + self.clip_kg + self.zinc_kg + self.steel_kg + self.rubbish_kg

    def worth_lighting(self, heel_kg: float, least_lead_kg: float) -> bool:
        """Was so much left behind, beyond the heel, that it is worth lighting without another load?"""
        return self.lead_kg > heel_kg and self.lead_kg - heel_kg >= least_lead_kg


@dataclass(frozen=True, slots=True)
class Kit:
    """What a melt is done with. Times [h] are for one person; ``hands`` divides them."""

    table: HeatTable
    pots: int
    pot_mass_kg: float
    pot_volume_l: float
    """Usable volume: to the height it is filled."""
    lead_at_most_kg: float
    loose_kg_per_m3: float
    heel_kg: float
    pour_c: float
    hands: float
    load_h: float
    skim_h: float
    flux_h: float
    solid_h: float
    round_kg: float
    """Ingots from one round of all moulds."""
    round_h: float
    dross_share: float
    dross_hourly_share: float
    dross_at_most_share: float
    zinc_hourly_share: float
    zinc_overheated_share: float
    least_lead_kg: float
    turned_down: bool
    slack_share: float = 0.0
    """Time kept in hand when a melt is planned, as a share of the heating that this hour's weather would take."""
    loading_h: float = field(init=False)
    """One load into every pot, by all hands."""
    tending_h: float = field(init=False)
    """Skimming and fluxing every pot once, by all hands."""
    filling_h: float = field(init=False)
    """Filling all moulds once, by all hands."""

    def __post_init__(self) -> None:
        """Times by all hands, worked out once."""
        work = object.__setattr__
        work(self, "loading_h", self.load_h * self.pots / self.hands)
        work(self, "tending_h", (self.skim_h + self.flux_h) * self.pots / self.hands)
        work(self, "filling_h", self.round_h / self.hands)


@dataclass(slots=True)
class Melt:
    """What came of it. Masses [kg] over all pots together; times [h]."""

    t_h: float
    end_h: float
    used: list[tuple[int, float]] = field(default_factory=list)
    loads: int = 0
    new_lead_kg: float = 0.0
    poured_kg: float = 0.0
    dross_kg: float = 0.0
    clip_kg: float = 0.0
    zinc_kg: float = 0.0
    steel_kg: float = 0.0
    rubbish_kg: float = 0.0
    zinc_share: float = 0.0
    fuel_kg: float = 0.0
    heating_h: float = 0.0
    handling_h: float = 0.0
    molten_h: float = 0.0
    useful_j: float = 0.0
    heaviest_kg: float = 0.0
    """The most that was in one pot after a load."""
    contents: Contents = field(default_factory=Contents)
    cause: str = ""
    short_of_propane: bool = False
    """Would a load have been larger, had the cylinders held more?"""
    steps: list[tuple[float, str]] = field(default_factory=list)

    @property
    def lit_h(self) -> float:
        """From lighting to solid [h]."""
        return self.end_h - self.t_h


def capacity_j_per_k(
    lead: float, clip: float, zinc: float, steel: float, rubbish: float
) -> tuple[float, float]:
    """Heat capacity [J/K] of what is in the pot (masses kg), with the lead solid and with it liquid."""
    rest = (clip + steel) * _IRON + zinc * _ZINC + rubbish * RUBBISH_J_PER_KG_K
    return rest + lead * _LEAD, rest + lead * _MOLTEN_LEAD


def warming_j(parts: Parts, from_c: float, to_c: float) -> float:
    """Heat [J] that brings lead, clips, zinc, steel, rubbish [kg] to a temperature [degC] at which lead is molten."""
    solid, liquid = capacity_j_per_k(*parts)
    above = liquid * (to_c - LEAD.melting_c)
    return solid * (LEAD.melting_c - from_c) + parts[0] * LEAD.fusion_j_per_kg + above


def charge_of(pot_kg: float, lead: float, clip: float, zinc: float, steel: float, rubbish: float) -> Charge:
    """The heat balance's charge for a steel pot [kg] and what is in it [kg]."""
    solid, liquid = capacity_j_per_k(lead, clip, zinc, steel, rubbish)
    if lead < 0.0 or solid < 0.0:
        raise ValueError(
            f"nothing in a pot weighs less than nothing: {(lead, clip, zinc, steel, rubbish)} kg"
        )
    pot = pot_kg * _IRON
    return Charge(solid + pot, liquid + pot, lead * LEAD.fusion_j_per_kg, LEAD.melting_c)
