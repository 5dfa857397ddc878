"""How much goes into a pot: the largest load that it takes and that can be finished in the time left.

In: the kit, the rows of the heat balance hour by hour, the weights that lie ready, what is in the pot, and when the
owner must be done. Out: a load [kg], or in one word why there is none. Must not know: what happens once it is lit.

A load is judged by the weather of the hour in which it is made, as if that would last, with some slack.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, floor, inf
from typing import Final

from planner.trade.charge import Charge, Heat, mixed
from planner.trade.heat import HourRow, advance, heating_h
from planner.trade.metals import LEAD
from planner.trade.pot import Contents, Kit, Parts, Pile, Portion, charge_of

LEAST_KG: Final = 0.5
"""No load is smaller, but for the last of the pile (assumed)."""
GUESSES: Final = (0.98, 0.9)
"""The load that fits is guessed in a straight line between the smallest and the largest, and taken a little smaller."""
LEAST_LOAD_SHARE: Final = 0.25
"""A further load kept smaller than this share of the first by room or time waits for another day (assumed)."""
COLD_AFTER_H: Final = 10.0
"""A pot left longer than this is taken to be at air temperature (assumed)."""

Hours = Callable[[int], HourRow]


def refused(
    kit: Kit,
    hours: Hours,
    pile: Sequence[Portion],
    contents: Contents,
    air_c: float,
    t_h: float,
    until_h: float,
) -> str:
    """Why nothing would be lit, in one word; empty if it would. Arguments as in :func:`planner.trade.melting.melt`."""
    return Filling(kit, hours, pile, contents, air_c, t_h, until_h).refused()


class Filling:
    """A pot that is being filled. Inside, masses are per pot, so that all pots alike are one."""

    def __init__(
        self,
        kit: Kit,
        hours: Hours,
        pile: Sequence[Portion],
        contents: Contents,
        air_c: float,
        t_h: float,
        until_h: float,
    ) -> None:
        n = kit.pots
        self.kit, self.hours, self.pile, self.air_c = kit, hours, Pile(pile, n), air_c
        self.t_h, self.until_h = t_h, until_h
        self.first_kg = 0.0
        self.lead, self.clip, self.zinc = contents.lead_kg / n, contents.clip_kg / n, contents.zinc_kg / n
        self.steel, self.rubbish = contents.steel_kg / n, contents.rubbish_kg / n
        self.worth = contents.worth_lighting(kit.heel_kg * n, kit.least_lead_kg)
        self.charge = charge_of(kit.pot_mass_kg, self.lead, self.clip, self.zinc, self.steel, self.rubbish)
        self.heat = self._cooled(contents)

    def _cooled(self, contents: Contents) -> Heat:
        """How warm the pot is by now, since it was left."""
        cold = Heat(self.air_c, 0.0, contents.lead_kg > 0 and contents.run_together)
        if self.t_h - contents.left_h >= COLD_AFTER_H:
            return cold
        warm = cold._replace(temperature_c=contents.temperature_c)
        return advance(self.hours, self.charge, warm, contents.left_h, self.t_h, self.air_c - 1.0, "off")[1]

    def refused(self) -> str:
        """Why nothing would be lit; judged by the smallest load, which takes the least time."""
        size = self.size()
        why = size if isinstance(size, str) else self._too_long(self._need_h(size[0]))
        return self.unfinished() if why and self.worth else why

    def unfinished(self) -> str:
        """Why what is in the pot could not be finished as it is; empty if it could."""
        return self._too_long(self._finish_h(self.charge, self.heat, self.lead))

    def size(self) -> tuple[float, float] | str:
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

    def fitting(self, least: float, most: float) -> tuple[float, str]:
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
        charge, heat = self.after(parts)
        load_h = self.kit.load_h * self.kit.pots / self.kit.hands
        return load_h + self._finish_h(charge, heat, self.lead + parts[0])

    def _finish_h(self, charge: Charge, heat: Heat, lead: float) -> float:
        kit = self.kit
        heating = heating_h(self.hours(floor(self.t_h)), charge, heat, kit.pour_c)
        rounds = self.rounds((lead - kit.heel_kg) * (1.0 - kit.dross_share))
        handling = (kit.skim_h + kit.flux_h) * kit.pots / kit.hands + rounds * self.round_h()
        return heating * (1.0 + kit.slack_share) + handling + kit.solid_h

    def after(self, parts: Parts) -> tuple[Charge, Heat]:
        """Charge and heat after these parts [kg a pot] fall into the pot at air temperature."""
        return mixed(self.charge, self.heat, charge_of(0.0, *parts), self.air_c)

    def rounds(self, pourable: float) -> int:
        """How often all moulds are filled for so much lead [kg a pot]."""
        return max(0, ceil(pourable * self.kit.pots / self.kit.round_kg - 1e-9))

    def round_h(self) -> float:
        """Filling all moulds once [h]."""
        return self.kit.round_h / self.kit.hands
