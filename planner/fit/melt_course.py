"""How long a known charge takes and what it burns, by the functions that a run is played with.

In: a business, melts as written down. Out: hours and propane of each, for any efficiency, loss and pace of hands. Must
not know: records, priors, how well it fits.

What was melted is known, so the pot takes all of it whatever the owner would have decided: no latest hour, no limit to
the lead in it, and no melt too small.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf, isfinite
from typing import Any, Final

import numpy as np

from planner.fit.estimate import FloatArray
from planner.fit.melt_rows import KnownMelt
from planner.fit.usual import Usual
from planner.scenario.business import Business
from planner.scenario.section import Section
from planner.trade.cylinder import Propane, draw_limit_w
from planner.trade.melting import AT_MELTING_K, melt
from planner.trade.metals import LEAD
from planner.trade.pot import Contents, Kit, Melt, Portion
from planner.workshop.melt import CHANGED_BELOW_SHARE
from planner.workshop.premises import Tables, kit_of, premises

LONGEST_H: Final = 24.0
"""A melt that takes longer is said to take this long: no evening is longer (assumed)."""
LEFT_SHARE: Final = 0.01
"""More of the weights than this left over, and the pot takes more than the scenario says (assumed)."""
ROOM_SHARE: Final = 1.5
"""Such a pot is as large as the lead that it held, times this (assumed; a pot is poured two thirds full)."""
FULLER: Final = 1.02
"""A pot is filled so much fuller if that saves a load (assumed)."""
FILL_SHARES: Final = (0.9, 0.65, 0.4, 0.15)
"""Cylinders are used from full to empty: to each quarter they are filled as often (assumed)."""
WIND_KNOWN_SHARE: Final = 0.05
"""One number for the wind of a whole melt stands for what it was to so much, as a share of it (assumed)."""
MORE_POWER: Final = 1.25
"""A burner that a cold cylinder could not feed if it were so much stronger is looked at as if it might be (assumed)."""
YIELDS: Final = 2
"""How often lead is put right so that the ingots are those that were written down."""


@dataclass(frozen=True, slots=True)
class Lever:
    """A value of `melting` that is estimated: its path, and the names of the attributes that lead to it."""

    path: str
    attributes: tuple[str, ...]

    def of(self, business: Business) -> float:
        """What the business says."""
        here: Any = business.melting
        for name in self.attributes:
            here = getattr(here, name)
        return float(here)


def moved(business: Business, levers: Sequence[Lever], shifts: FloatArray) -> Business:
    """The business with values multiplied by ``exp(shifts)``."""
    melting: Any = business.melting
    for lever, shift in zip(levers, shifts.tolist(), strict=True):
        melting = _times(melting, lever.attributes, float(np.exp(shift)))
    return business.model_copy(update={"melting": melting})


def _times(section: Section, attributes: tuple[str, ...], factor: float) -> Section:
    name, *rest = attributes
    here = getattr(section, name)
    return section.model_copy(update={name: _times(here, tuple(rest), factor) if rest else here * factor})


@dataclass(frozen=True, slots=True)
class Charge:
    """What goes into the pot, and how full the cylinders may be. Masses kg."""

    melt: KnownMelt
    pile: tuple[Portion, ...]
    fill_shares: tuple[float, ...]
    pot_volume_l: float


class Courses:
    """Melts as written down, ready to be played again and again.

    Parameters
    ----------
    business : Business
        The business as it is today.
    usual : Usual
        For what weights are made of where the notebook does not say.
    melts : sequence of KnownMelt
        In order.
    """

    def __init__(self, business: Business, usual: Usual, melts: Sequence[KnownMelt]) -> None:
        self._business, self._usual, self._tables = business, usual, Tables()
        self._known = premises(business)
        kit = self._kits(business)(1.0)
        cylinder = business.melting.cylinder
        self._full_kg = cylinder.content_kg * cylinder.number
        self.charges = [
            Charge(one, self._pile(one, self._lead_kg(one)), self._fill_shares(one), kit.pot_volume_l)
            for one in melts
        ]

    def foretold(
        self, business: Business, charges: Sequence[Charge] | None = None
    ) -> tuple[FloatArray, FloatArray]:
        """Hours from lighting to packed away (or to the next lighting), and propane [kg], shape (melts,) each.

        Where it matters how full the cylinder is, which no notebook says, the geometric mean over what it may be.

        Parameters
        ----------
        business : Business
            With whatever efficiency, loss and pace of hands.
        charges : sequence of Charge, optional
            Others than those that were written down.
        """
        rows = [
            ways.mean(axis=0) for ways in self._ways(business, self.charges if charges is None else charges)
        ]
        hours_h, fuel_kg = np.exp(np.array(rows)).T
        return hours_h, fuel_kg

    def unknown(self, business: Business) -> FloatArray:
        """Covariance of the logarithms of hours and propane by what is not known of each, shape (melts, 2, 2).

        That is how full the cylinder was, and how the wind came and went: a gust takes more than the lull after it
        gives back, and the weaker the fire the more so.
        """
        full = [np.cov(ways.T, bias=True) for ways in self._ways(business, self.charges)]
        calmer, windier = (
            np.log(np.column_stack(self.foretold(business, [_in_wind(one, by) for one in self.charges])))
            for by in (1.0 - WIND_KNOWN_SHARE, 1.0 + WIND_KNOWN_SHARE)
        )
        gusts = 0.5 * (windier - calmer)
        return np.array(full) + gusts[:, :, None] * gusts[:, None, :]

    def _ways(self, business: Business, charges: Sequence[Charge]) -> Iterator[FloatArray]:
        """Logarithms of hours and propane of each melt, a row for each share to which the cylinder may be filled."""
        kits, clean_up_h = self._kits(business), business.melting.clean_up_min / 60.0
        for charge in charges:
            rows = []
            for fill_share in charge.fill_shares:
                got = self.played(charge, kits, fill_share)
                if _changed(got, fill_share, charge.melt.free_h):
                    got = self.played(charge, kits)
                if isinstance(got, str) or got.cause:
                    rows.append((LONGEST_H, LONGEST_H))
                else:
                    rows.append((got.lit_h + (clean_up_h if charge.melt.packed else 0.0), got.fuel_kg))
            yield np.log(np.array(rows))

    def melted(self, business: Business) -> Iterator[tuple[Charge, Melt]]:
        """Each melt that comes to its end, played again."""
        kits = self._kits(business)
        for charge in self.charges:
            got = self.played(charge, kits)
            if isinstance(got, Melt) and not got.cause:
                yield charge, got

    def put_right(self, business: Business) -> None:
        """Take for each melt the lead and the pot with which ingots come out as written."""
        kits = self._kits(business)
        for number, charge in enumerate(self.charges):
            for _ in range(YIELDS):
                charge = self._put_right(charge, self.played(charge, kits))
            self.charges[number] = self._fuller(charge, self.played(charge, kits), kits)

    def _fill_shares(self, one: KnownMelt) -> tuple[float, ...]:
        """To what the cylinders may have been filled when it was lit; full where that makes no difference."""
        stove = self._known.stove
        limit_w = draw_limit_w(stove.cylinder, FILL_SHARES[-1], one.air_c)
        starves = limit_w < MORE_POWER * stove.burner_w
        return FILL_SHARES if starves else (1.0,)

    def _put_right(self, charge: Charge, got: Melt | str) -> Charge:
        if isinstance(got, str) or got.cause:
            return charge
        one = charge.melt
        used_kg = sum(kg for _, kg in got.used)
        if one.weights_kg - used_kg > LEFT_SHARE * one.weights_kg:
            lead_l = (one.ingots_kg / self._business.melting.pots + one.heel_kg) / LEAD.liquid_kg_per_m3 * 1e3
            return replace(charge, pot_volume_l=max(charge.pot_volume_l, ROOM_SHARE * lead_l))
        lead_kg = charge.pile[0].lead_share * one.weights_kg + one.ingots_kg - got.poured_kg
        if isfinite(one.dross_kg):
            lead_kg = self._lead_kg(one)
        return replace(charge, pile=self._pile(one, lead_kg))

    def _fuller(self, charge: Charge, got: Melt | str, kits: _Kits) -> Charge:
        """Fill the pot a little fuller if that saves a load: nobody keeps a handful for a load of its own."""
        fuller = replace(charge, pot_volume_l=FULLER * charge.pot_volume_l)
        other = self.played(fuller, kits)
        saves = isinstance(got, Melt) and isinstance(other, Melt) and other.loads < got.loads
        return fuller if saves else charge

    def played(self, charge: Charge, kits: _Kits, fill_share: float = 1.0) -> Melt | str:
        """One melt, as its functions play it in a run, from cylinders filled to a share."""
        one = charge.melt
        kit = kits.of(charge)
        row = kit.table.hour
        contents = Contents(
            lead_kg=one.heel_before_kg * kit.pots,
            temperature_c=LEAD.melting_c - AT_MELTING_K,
            left_h=one.lit_h - one.cooled_h,
        )
        return melt(
            kit,
            lambda _, fill_share: row(one.air_c, one.wind_m_s, fill_share),
            charge.pile,
            contents,
            one.air_c,
            one.lit_h,
            one.lit_h + LONGEST_H,
            propane=Propane(fill_share * self._full_kg, self._full_kg),
        )

    def _kits(self, business: Business) -> _Kits:
        return _Kits(business, self._tables)

    def _lead_kg(self, one: KnownMelt) -> float:
        """Lead in the weights: ingots and dross, and what more of it is in the pots than before."""
        m = self._business.melting
        dross_kg = one.dross_kg if isfinite(one.dross_kg) else m.dross_share * one.ingots_kg
        return one.ingots_kg + dross_kg + (one.heel_kg - one.heel_before_kg) * m.pots

    def _pile(self, one: KnownMelt, lead_kg: float) -> tuple[Portion, ...]:
        """The weights: so much lead, and the rest as it was skimmed, or as usual."""
        _, clip, zinc, steel, rubbish = self._usual.shares
        lead_kg = min(max(lead_kg, 0.0), one.weights_kg)
        rest_kg, metal = one.weights_kg - lead_kg, clip + zinc + steel
        other = metal + rubbish
        metal_kg = rest_kg * metal / other if other > 0.0 else rest_kg
        if isfinite(one.skimmed_kg):
            metal_kg = min(one.skimmed_kg, rest_kg)
        parts = [share / metal if metal > 0.0 else 1.0 / 3.0 for share in (clip, zinc, steel)]
        clip, zinc, steel = (metal_kg * part / one.weights_kg for part in parts)
        rubbish = (rest_kg - metal_kg) / one.weights_kg
        return (Portion(1, one.weights_kg, lead_kg / one.weights_kg, clip, zinc, steel, rubbish),)


def _in_wind(charge: Charge, by: float) -> Charge:
    return replace(charge, melt=replace(charge.melt, wind_m_s=by * charge.melt.wind_m_s))


def _changed(got: Melt | str, fill_share: float, free_h: float) -> bool:
    """Would the cylinders have been changed before it was lit: do they not last, or feed too weak a fire?

    As a run's owner does (`planner.workshop.melt`): for a weak fire only if they are less full than a share.
    """
    if isinstance(got, str):
        return got == "propane" or fill_share < CHANGED_BELOW_SHARE
    if got.short_of_propane or got.cause == "propane":
        return True
    return fill_share < CHANGED_BELOW_SHARE and (got.cause != "" or got.lit_h > free_h)


class _Kits:
    """Kits of a business by how many hands there are, and what stays in the pot; hands change no heat tables."""

    def __init__(self, business: Business, tables: Tables) -> None:
        self._business, self._tables, self._known = business, tables, premises(business)
        self._by_hands: dict[float, Kit] = {}
        self._kits: dict[tuple[float, float, float], Kit] = {}

    def __call__(self, hands: float) -> Kit:
        if hands not in self._by_hands:
            self._by_hands[hands] = kit_of(self._business, self._known, self._tables, hands)
        return self._by_hands[hands]

    def of(self, charge: Charge) -> Kit:
        """What a melt was made with: all of its weights go in."""
        key = charge.melt.hands, charge.melt.heel_kg, charge.pot_volume_l
        if key not in self._kits:
            self._kits[key] = replace(
                self(charge.melt.hands),
                heel_kg=charge.melt.heel_kg,
                pot_volume_l=charge.pot_volume_l,
                lead_at_most_kg=inf,
                least_lead_kg=0.0,
            )
        return self._kits[key]
