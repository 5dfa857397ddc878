"""One melt, lit to poured: loads, heating by the hour's weather, skimming, fluxing, pouring, freezing.

In: the kit (pot, burner, moulds and the times of the hands), the rows of the heat balance hour by hour, the weights
that lie ready, what is in the pot, and when the owner must be done. Out: ``Melt``, with every kilogram accounted for.
Must not know: calendars, money, simpy; where the weather comes from.

The owner decides with what can be known at the moment: before each load, whether a melt of that size can be finished
in the time left *if this hour's weather lasts*, with some slack. What follows may surprise; a melt that time or
weather breaks off freezes in the pot, and the next one starts from there.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, inf
from typing import Final

from planner.trade.charge import without
from planner.trade.cylinder import ENDLESS, Propane, fuel_kg
from planner.trade.heat import spell
from planner.trade.loading import Filling, Hours
from planner.trade.metals import LEAD, dross_kg, zinc_dissolved_kg
from planner.trade.pot import Contents, Kit, Melt, Portion, charge_of, warming_j

NOTHING_KG: Final = 1e-6
"""Propane below this is none left [kg], so that a burner goes out once and for all."""
AT_MELTING_K: Final = 0.01
"""So close below the melting point that melting begins [K]."""


def melt(
    kit: Kit,
    hours: Hours,
    pile: Sequence[Portion],
    contents: Contents,
    air_c: float,
    t_h: float,
    until_h: float,
    breaks_h: float = inf,
    overheats: bool = False,
    propane: Propane = ENDLESS,
) -> Melt | str:
    """Play one melt from ``t_h``; it must be solid by ``until_h``.

    Parameters
    ----------
    kit : Kit
        Pot, burner, moulds, hands.
    hours : callable
        Row of the heat balance for clock hour ``i`` with the cylinders filled to a share.
    pile : sequence of Portion
        Weights in the order in which they are used. Must be dry.
    contents : Contents
        What is in the pot from before.
    air_c : float
        Temperature of air and weights now [degC].
    t_h, until_h : float
        When it may be lit; when it must be solid [h].
    breaks_h : float
        When the weather will break it off [h]; unknown to the owner, used only as it happens.
    overheats : bool
        Would a cold start without a heel overheat the bottom today?
    propane : Propane
        What there is to burn for one pot; each load takes from what the last one left.

    Returns
    -------
    Melt or str
        What came of it, or in one word why nothing was lit: ``supply``, ``heat`` (in this weather it never melts),
        ``hours`` (not enough time left), ``propane`` (the cylinders do not hold enough) or ``cash`` (to pay for it).
    """
    course = _Melting(kit, hours, pile, contents, air_c, t_h, until_h, propane)
    course.surprised(breaks_h, overheats)
    return course.light() or course.play()


class _Melting(Filling):
    """The course of one melt. Inside, masses are per pot, so that all pots alike are one."""

    def __init__(
        self,
        kit: Kit,
        hours: Hours,
        pile: Sequence[Portion],
        contents: Contents,
        air_c: float,
        t_h: float,
        until_h: float,
        propane: Propane,
    ) -> None:
        super().__init__(kit, hours, pile, contents, air_c, t_h, until_h, propane)
        n = kit.pots
        self.zinc_in_lead = contents.zinc_in_lead_kg / n
        self.out = Melt(t_h, t_h)
        beyond_kg = max(0.0, self.lead - kit.heel_kg)
        self.out.new_lead_kg = beyond_kg * n
        left = (beyond_kg, self.clip, self.zinc, self.steel, self.rubbish)
        self.cold_j = warming_j(left, self.heat.temperature_c, kit.pour_c)
        self.hot_from_h = self.molten_from_h = inf

    def surprised(self, breaks_h: float, overheats: bool) -> None:
        """What the owner cannot know: when the weather breaks it off, and whether a cold start would overheat."""
        self.stop_h = min(self.until_h - self.kit.solid_h, breaks_h)
        self.weather_breaks = breaks_h <= self.stop_h
        self.overheats = overheats and not self.heat.pool

    # -- the course ------------------------------------------------------------------------------------------------

    def light(self) -> str:
        """Fill the pot and light up; or say why not."""
        why = self._load()
        return self.unfinished() if why == "full" or (why and self.worth) else why

    def play(self) -> Melt:
        """Load while it fits, then finish."""
        if self.t_h > self.stop_h:
            return self._give_up()
        self._say("lit")
        while self._heat() and self._skim():
            if self._load() or self.out.cause:
                break
        if not self.out.cause:
            self._pour()
        return self._close()

    def _load(self) -> str:
        """Add the largest load that can still be finished; empty string if one was added, else why not."""
        size = self.size()
        if isinstance(size, str):
            return size
        fits, why = self.fitting(*size)
        if not why:
            self._take(fits)
        return why

    def _take(self, load: float) -> None:
        """Move a load from the pile into the pot; time passes, and the charge cools what is there."""
        kit, n = self.kit, self.kit.pots
        parts = self.pile.first(load)
        self.out.used += self.pile.take(load)
        if self.out.loads:
            self._hold(kit.loading_h)
        else:
            self.t_h += kit.loading_h
            self.out.handling_h += kit.loading_h
        self.charge, self.heat = self.after(parts)
        self.lead += parts[0]
        self.clip += parts[1]
        self.zinc += parts[2]
        self.steel += parts[3]
        self.rubbish += parts[4]
        self.out.new_lead_kg += parts[0] * n
        self.out.loads += 1
        self.first_kg = self.first_kg or load
        self.cold_j += warming_j(parts, self.air_c, kit.pour_c)
        held_kg = self.lead + self.clip + self.zinc + self.steel + self.rubbish
        self.out.heaviest_kg = max(self.out.heaviest_kg, held_kg)
        self._say(f"load {self.out.loads}: {load * n:.1f} kg")

    def _heat(self) -> bool:
        """Heat to pouring temperature; False if time or weather broke it off."""
        start = self.t_h
        if self.heat.temperature_c < LEAD.melting_c:
            self._advance(LEAD.melting_c - AT_MELTING_K)
        self.hot_from_h = self.t_h
        self.molten_from_h = min(self.molten_from_h, self.t_h)
        reached = self._advance(self.kit.pour_c)
        self.out.heating_h += self.t_h - start
        if not reached:
            self._break()
            return False
        self.out.useful_j += self.cold_j * self.kit.pots
        self.cold_j = 0.0
        return True

    def _advance(self, target_c: float) -> bool:
        """Burn towards a temperature [degC], hour by hour, while there is time and propane; whether it was reached."""
        while True:
            row, start_h = self.row(), self.t_h
            end_h = floor(start_h) + 1.0
            end_h = self._burns_until(row.fire_w, end_h if end_h < self.stop_h else self.stop_h)
            self.t_h, self.heat, reached = spell(row, self.charge, self.heat, start_h, end_h, target_c)
            self._burn(row.fire_w, self.t_h - start_h)
            if reached or self.t_h >= self.stop_h or self.empty():
                return reached

    def _skim(self) -> bool:
        """Skim what floats; False if time or weather broke it off."""
        if not (self.clip + self.zinc + self.steel + self.rubbish > 1e-12):
            return True
        self._hold(self.kit.skim_h * self.kit.pots / self.kit.hands)
        if self.out.cause:
            return False
        n = self.kit.pots
        dissolved = zinc_dissolved_kg(
            self.zinc,
            self.t_h - self.hot_from_h,
            self.overheats and self.out.loads <= 1,
            self.lead,
            self.kit.zinc_hourly_share,
            self.kit.zinc_overheated_share,
            self.zinc_in_lead,
        )
        self.zinc_in_lead += dissolved
        self.lead += dissolved
        self.out.clip_kg += self.clip * n
        self.out.zinc_kg += (self.zinc - dissolved) * n
        self.out.steel_kg += self.steel * n
        self.out.rubbish_kg += self.rubbish * n
        floating = charge_of(0.0, 0.0, self.clip, self.zinc, self.steel, self.rubbish)
        self.charge, self.heat = without(self.charge, self.heat, floating)
        self.clip = self.zinc = self.steel = self.rubbish = 0.0
        self._say("skimmed")
        return True

    def _pour(self) -> None:
        """Flux, skim dross, pour round by round, wait until solid."""
        kit, n = self.kit, self.kit.pots
        self._hold(kit.flux_h * n / kit.hands)
        if self.out.cause:
            return
        if not self._molten():
            self._break("weather")
            return
        molten_h = self.t_h - self.molten_from_h
        self.out.molten_h = molten_h
        dross = dross_kg(
            self.out.new_lead_kg / n,
            molten_h,
            kit.dross_share,
            kit.dross_hourly_share,
            kit.dross_at_most_share,
        )
        self.lead -= dross
        self.out.dross_kg += dross * n
        self.out.zinc_share = self.zinc_in_lead / max(self.lead, 1e-9)
        self._say("fluxed")
        pourable = max(0.0, self.lead - kit.heel_kg)
        rounds, round_h = self.rounds(pourable), kit.filling_h
        done = 0
        while done < rounds and self._molten() and self.t_h + round_h <= self.stop_h + 1e-9:
            self._hold(round_h)
            done += 1
        self._pour_out(pourable if done >= rounds else min(pourable, done * kit.round_kg / n))
        if done < rounds:
            self._break("" if self._molten() else "weather")
            return
        self._say("poured")
        self.t_h += kit.solid_h
        self.out.handling_h += kit.solid_h

    def _pour_out(self, poured: float) -> None:
        share = poured / self.lead if self.lead > 0 else 0.0
        self.zinc_in_lead *= 1.0 - share
        self.lead -= poured
        self.out.poured_kg = poured * self.kit.pots

    def _molten(self) -> bool:
        """Is all the lead molten?"""
        return self.heat.latent_in_j >= self.charge.latent_j * (1.0 - 1e-9)

    def _break(self, cause: str = "") -> None:
        """Burner off; the owner stays until it is solid."""
        empty = self.ends_by() if self.empty() else ""
        self.out.cause = empty or cause or ("weather" if self.weather_breaks else "hours")
        self._say("broken off: it freezes in the pot")
        self.t_h += self.kit.solid_h
        self.out.handling_h += self.kit.solid_h

    def _give_up(self) -> Melt:
        """The weather turned, or time was up, while the pot was filled: it is not lit, and what is in it stays cold."""
        self.out.cause = "weather" if self.weather_breaks else "hours"
        self._say(
            "not lit: the weather turned while the pot was filled" if self.weather_breaks else "not lit"
        )
        return self._close()

    def _close(self) -> Melt:
        n, out = self.kit.pots, self.out
        out.end_h, out.short_of_propane = self.t_h, self.short_of_propane
        out.contents = Contents(
            self.lead * n,
            self.clip * n,
            self.zinc * n,
            self.steel * n,
            self.rubbish * n,
            self.zinc_in_lead * n,
            min(self.heat.temperature_c, LEAD.melting_c - AT_MELTING_K),
            self.t_h,
            self.heat.pool,
        )
        return out

    # -- small steps -----------------------------------------------------------------------------------------------

    def _hold(self, hours_h: float) -> None:
        """Hands at work while the pot is held warm, as far as the fire can; breaks off where time or weather does."""
        begun, turned_down = self.t_h, self.kit.turned_down
        end = begun + hours_h
        cut = end > self.stop_h + 1e-9
        stop = end if end < self.stop_h else self.stop_h
        stop = stop if stop > begun else begun
        self.out.handling_h += stop - begun
        while self.t_h < stop:
            row = self.row()
            hold = row.hold_share(self.heat.temperature_c) if turned_down else 1.0
            until = floor(self.t_h) + 1.0
            until = until if until < stop else stop
            if not self.empty():
                until = self._burns_until(row.fire_w * hold, until)
                self._burn(row.fire_w * hold, until - self.t_h)
            if hold >= 1.0:
                _, self.heat, _ = spell(row, self.charge, self.heat, self.t_h, until, inf)
            self.t_h = until
        if cut:
            self._break()

    def _burns_until(self, fire_w: float, end_h: float) -> float:
        """When such a fire goes out: at the end of this stretch of time [h], or when the propane is used up."""
        kg, most = fuel_kg(fire_w, end_h - self.t_h), self.left_kg
        most = most if most < self.paid_kg else self.paid_kg
        return end_h if kg <= most else self.t_h + (end_h - self.t_h) * most / kg

    def _burn(self, fire_w: float, hours_h: float) -> None:
        """Burn propane, in all pots alike; what is less than `NOTHING_KG` then is nothing."""
        kg = fuel_kg(fire_w, hours_h)
        self.out.fuel_kg += kg * self.kit.pots
        self.left_kg -= kg
        self.paid_kg -= kg
        if self.left_kg < NOTHING_KG or self.paid_kg < NOTHING_KG:
            self.left_kg = self.left_kg if self.left_kg >= NOTHING_KG else 0.0
            self.paid_kg = self.paid_kg if self.paid_kg >= NOTHING_KG else 0.0

    def _say(self, what: str) -> None:
        self.out.steps.append((self.t_h, what))
