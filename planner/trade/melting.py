"""One melt, lit to poured: loads, heating by the hour's weather, skimming, fluxing, pouring, freezing.

In: the kit (pot, burner, moulds and the times of the hands), the rows of the heat balance hour by hour, the weights
that lie ready, what is in the pot, and when the owner must be done. Out: ``Melt``, with every kilogram accounted for.
Must not know: calendars, money, simpy; where the weather comes from.

The owner decides with what can be known at the moment: before each load, whether a melt of that size can be finished
in the time left *if this hour's weather lasts*, with some slack. What follows may surprise; a melt that time or
weather breaks off freezes in the pot, and the next one starts from there.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, floor, inf
from typing import Final

from planner.trade.charge import Charge, Heat, mixed, without
from planner.trade.cylinder import fuel_kg
from planner.trade.heat import HourRow, advance, heating_h
from planner.trade.metals import LEAD, dross_kg, zinc_dissolved_kg
from planner.trade.pot import Contents, Kit, Melt, Pile, Portion, charge_of, warming_j

LEAST_KG: Final = 0.5
"""No load is smaller, but for the last of the pile (assumed)."""
GUESSES: Final = (0.98, 0.9)
"""The load that fits is guessed in a straight line between the smallest and the largest, and taken a little smaller."""
LEAST_LOAD_SHARE: Final = 0.25
"""A further load kept smaller than this share of the first by room or time waits for another day (assumed)."""
COLD_AFTER_H: Final = 10.0
"""A pot left longer than this is taken to be at air temperature (assumed)."""

AT_MELTING_K: Final = 0.01
"""So close below the melting point that melting begins [K]."""

Hours = Callable[[int], HourRow]


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
) -> Melt | str:
    """Play one melt from ``t_h``; it must be solid by ``until_h``.

    Parameters
    ----------
    kit : Kit
        Pot, burner, moulds, hands.
    hours : callable
        Row of the heat balance for clock hour ``i``.
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

    Returns
    -------
    Melt or str
        What came of it, or in one word why nothing was lit: ``supply``, ``heat`` (in this weather it never melts)
        or ``hours`` (not enough time left).
    """
    course = _Melting(kit, hours, Pile(pile, kit.pots), air_c, t_h, until_h, breaks_h)
    course.start(contents, overheats)
    return course.light() or course.play()


def refused(
    kit: Kit,
    hours: Hours,
    pile: Sequence[Portion],
    contents: Contents,
    air_c: float,
    t_h: float,
    until_h: float,
) -> str:
    """Why :func:`melt` would not light anything, in one word; empty if it would. Arguments as there."""
    course = _Melting(kit, hours, Pile(pile, kit.pots), air_c, t_h, until_h, inf)
    course.start(contents, False)
    return course.refused()


class _Melting:
    """The course of one melt. Inside, masses are per pot, so that all pots alike are one."""

    def __init__(
        self, kit: Kit, hours: Hours, pile: Pile, air_c: float, t_h: float, until_h: float, breaks_h: float
    ) -> None:
        self.kit, self.hours, self.pile, self.air_c = kit, hours, pile, air_c
        self.t_h, self.until_h = t_h, until_h
        self.stop_h = min(until_h - kit.solid_h, breaks_h)
        self.weather_breaks = breaks_h <= self.stop_h
        self.first_kg = 0.0
        self.out = Melt(t_h, t_h)

    def start(self, contents: Contents, overheats: bool) -> None:
        """What is in the pot, cooled since it was left."""
        kit, n = self.kit, self.kit.pots
        self.lead, self.clip, self.zinc, self.steel, self.rubbish, self.zinc_in_lead = (
            kg / n for kg in contents[:6]
        )
        pool = contents.lead_kg > 0 and contents.run_together
        self.overheats = overheats and not pool
        self.worth = contents.worth_lighting(kit.heel_kg * n, kit.least_lead_kg)
        self.charge = charge_of(kit.pot_mass_kg, self.lead, self.clip, self.zinc, self.steel, self.rubbish)
        self.heat = Heat(self.air_c, 0.0, pool)
        if self.t_h - contents.left_h < COLD_AFTER_H:
            warm = self.heat._replace(temperature_c=contents.temperature_c)
            _, self.heat, _ = advance(
                self.hours, self.charge, warm, contents.left_h, self.t_h, self.air_c - 1.0, "off"
            )
        beyond_kg = max(0.0, self.lead - kit.heel_kg)
        self.out.new_lead_kg = beyond_kg * n
        left = (beyond_kg, self.clip, self.zinc, self.steel, self.rubbish)
        self.cold_j = warming_j(left, self.heat.temperature_c, kit.pour_c)
        self.hot_from_h = self.molten_from_h = inf

    # -- the course ------------------------------------------------------------------------------------------------

    def light(self) -> str:
        """Fill the pot and light up; or say why not."""
        why = self._load()
        return self._too_long(self._finish_h(self.charge, self.heat, self.lead)) if why and self.worth else why

    def refused(self) -> str:
        """Why :meth:`light` would not; judged by the smallest load, which takes the least time."""
        size = self._size()
        why = size if isinstance(size, str) else self._too_long(self._need_h(size[0]))
        return self._too_long(self._finish_h(self.charge, self.heat, self.lead)) if why and self.worth else why

    def play(self) -> Melt:
        """Load while it fits, then finish."""
        self._say("lit")
        while self._heat() and self._skim():
            if self._load() or self.out.cause:
                break
        if not self.out.cause:
            self._pour()
        return self._close()

    def _load(self) -> str:
        """Add the largest load that can still be finished; empty string if one was added, else why not."""
        size = self._size()
        if isinstance(size, str):
            return size
        fits, why = self._fitting(*size)
        if not why:
            self._take(fits)
        return why

    def _size(self) -> tuple[float, float] | str:
        """The smallest load worth adding and the largest that the pot takes [kg a pot]; or why there is none."""
        kit, n = self.kit, self.kit.pots
        ready = self.pile.ready_kg
        if ready <= 1e-9:
            return "supply"
        room_l = kit.pot_volume_l - self.lead / LEAD.liquid_kg_per_m3 * 1e3
        room_l -= (self.clip + self.zinc + self.steel + self.rubbish) / kit.loose_kg_per_m3 * 1e3
        most = min(
            ready, room_l * kit.loose_kg_per_m3 / 1e3, self.pile.with_lead(kit.lead_at_most_kg - self.lead)
        )
        least = LEAST_LOAD_SHARE * self.first_kg
        if self.first_kg == 0.0:
            lead_share = self.pile.lead_share
            wanting = kit.least_lead_kg / n - (self.lead - kit.heel_kg)
            if lead_share * ready < wanting - 1e-9:
                return "supply"
            least = min(most, max(0.0, wanting) / max(lead_share, 1e-9))
        if most < min(max(least, LEAST_KG), ready):
            return "full" if self.first_kg else "hours"
        return max(min(least, most), min(LEAST_KG, most)), most

    def _fitting(self, least: float, most: float) -> tuple[float, str]:
        """The largest load [kg a pot] between ``least`` and ``most`` that can be finished in the time left."""
        left = self.until_h - self.t_h
        need = self._need_h(most)
        if need <= left:
            return most, ""
        need_least = self._need_h(least)
        if why := self._too_long(need_least):
            return 0.0, why
        guess = least + (most - least) * (left - need_least) / (need - need_least)
        for share in GUESSES:
            load = least + (guess - least) * share
            if self._need_h(load) <= left:
                return load, ""
        return least, ""

    def _too_long(self, need_h: float) -> str:
        """Whether so many hours are too long, in one word: never done, or not in the time left."""
        if need_h <= self.until_h - self.t_h:
            return ""
        return "heat" if need_h == inf else "hours"

    def _need_h(self, load: float) -> float:
        """Time to melt this load and finish [h], if this hour's weather lasts."""
        parts = self.pile.first(load)
        charge, heat = self._with(parts)
        load_h = self.kit.load_h * self.kit.pots / self.kit.hands
        return load_h + self._finish_h(charge, heat, self.lead + parts[0])

    def _finish_h(self, charge: Charge, heat: Heat, lead: float) -> float:
        kit = self.kit
        heating = heating_h(self.hours(floor(self.t_h)), charge, heat, kit.pour_c)
        rounds = self._rounds((lead - kit.heel_kg) * (1.0 - kit.dross_share))
        handling = (kit.skim_h + kit.flux_h) * kit.pots / kit.hands + rounds * self._round_h()
        return heating * (1.0 + kit.slack_share) + handling + kit.solid_h

    def _take(self, load: float) -> None:
        """Move a load from the pile into the pot; time passes, and the charge cools what is there."""
        kit, n = self.kit, self.kit.pots
        parts = self.pile.first(load)
        self.out.used += self.pile.take(load)
        hold_h = kit.load_h * n / kit.hands
        if self.out.loads:
            self._hold(hold_h)
        else:
            self.t_h += hold_h
            self.out.handling_h += hold_h
        self.charge, self.heat = self._with(parts)
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
        self._burn(start, self.t_h, 1.0)
        self.out.heating_h += self.t_h - start
        if not reached:
            self._break()
            return False
        self.out.useful_j += self.cold_j * self.kit.pots
        self.cold_j = 0.0
        return True

    def _advance(self, target_c: float) -> bool:
        self.t_h, self.heat, reached = advance(
            self.hours, self.charge, self.heat, self.t_h, self.stop_h, target_c, "burning"
        )
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
        rounds, round_h = self._rounds(pourable), self._round_h()
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
        self.out.cause = cause or ("weather" if self.weather_breaks else "hours")
        self._say("broken off: it freezes in the pot")
        self.t_h += self.kit.solid_h
        self.out.handling_h += self.kit.solid_h

    def _close(self) -> Melt:
        n, out = self.kit.pots, self.out
        out.end_h = self.t_h
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

    def _with(self, parts: tuple[float, float, float, float, float]) -> tuple[Charge, Heat]:
        """Charge and heat after these parts [kg a pot] fall into the pot at air temperature."""
        return mixed(self.charge, self.heat, charge_of(0.0, *parts), self.air_c)

    def _rounds(self, pourable: float) -> int:
        """How often all moulds are filled for so much lead [kg a pot]."""
        return max(0, ceil(pourable * self.kit.pots / self.kit.round_kg - 1e-9))

    def _round_h(self) -> float:
        return self.kit.round_h / self.kit.hands

    def _hold(self, hours_h: float) -> None:
        """Hands at work while the pot is held warm, as far as the fire can; breaks off where time or weather does."""
        end = self.t_h + hours_h
        cut = end > self.stop_h + 1e-9
        stop = max(self.t_h, min(end, self.stop_h))
        self.out.handling_h += stop - self.t_h
        while self.t_h < stop:
            until = min(stop, floor(self.t_h) + 1.0)
            row = self.hours(floor(self.t_h))
            hold = row.hold_share(self.heat.temperature_c) if self.kit.turned_down else 1.0
            self._burn(self.t_h, until, hold)
            if hold >= 1.0:
                _, self.heat, _ = advance(self.hours, self.charge, self.heat, self.t_h, until, inf, "burning")
            self.t_h = until
        if cut:
            self._break()

    def _burn(self, start_h: float, end_h: float, share: float) -> None:
        """Fuel of all pots between two times, hour by hour."""
        t = start_h
        while t < end_h - 1e-12:
            i = floor(t)
            nxt = min(end_h, i + 1.0)
            self.out.fuel_kg += fuel_kg(self.hours(i).fire_w * share, nxt - t) * self.kit.pots
            t = nxt

    def _say(self, what: str) -> None:
        self.out.steps.append((self.t_h, what))
