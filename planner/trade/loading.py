"""How much goes into a pot: the largest load that it takes and that can be finished in the time left.

In: the kit, the rows of the heat balance hour by hour, the weights that lie ready, what is in the pot, and when the
owner must be done. Out: a load [kg], or in one word why there is none. Must not know: what happens once it is lit.

A load is judged by the weather of the hour in which it is made, as if that would last, with some slack: whether it can
be finished in the time left and with the propane that is there and can be paid for.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, floor, inf
from typing import Final

from planner.trade.charge import Charge, Heat, mixed
from planner.trade.cylinder import ENDLESS, Propane, fuel_kg
from planner.trade.heat import HourRow, advance, heating_h
from planner.trade.heat_table import same_down_to
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

Hours = Callable[[int, float], HourRow]
"""Row of the heat balance for clock hour ``i`` with the cylinders filled to a share."""


Need = tuple[float, float]
"""What it takes to melt and finish: time [h], and propane for one pot [kg]."""


def refused(
    kit: Kit,
    hours: Hours,
    pile: Sequence[Portion],
    contents: Contents,
    air_c: float,
    t_h: float,
    until_h: float,
    propane: Propane = ENDLESS,
) -> str:
    """Why nothing would be lit, in one word; empty if it would. Arguments as in :func:`planner.trade.melting.melt`."""
    return Filling(kit, hours, pile, contents, air_c, t_h, until_h, propane).refused()


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
        propane: Propane,
    ) -> None:
        n = kit.pots
        self.kit, self.hours, self.pile, self.air_c = kit, hours, Pile(pile, n), air_c
        self.t_h, self.until_h = t_h, until_h
        self.left_kg, self.full_kg, self.paid_kg = propane
        self._row: HourRow | None = None
        self._hour, self._same_down_to_kg = -1, 0.0
        self.first_kg = 0.0
        self.short_of_propane = False
        self.lead, self.clip, self.zinc = contents.lead_kg / n, contents.clip_kg / n, contents.zinc_kg / n
        self.steel, self.rubbish = contents.steel_kg / n, contents.rubbish_kg / n
        self.worth = contents.worth_lighting(kit.heel_kg * n, kit.least_lead_kg)
        self.charge = charge_of(kit.pot_mass_kg, self.lead, self.clip, self.zinc, self.steel, self.rubbish)
        self.heat = self._cooled(contents)

    def _cooled(self, contents: Contents) -> Heat:
        """How warm the pot is by now, since it was left."""
        pool = contents.lead_kg > 0 and contents.run_together
        if self.t_h - contents.left_h >= COLD_AFTER_H:
            return Heat(self.air_c, 0.0, pool)
        warm = Heat(contents.temperature_c, 0.0, pool)
        off = lambda hour: self.hours(hour, 1.0)  # noqa: E731
        return advance(off, self.charge, warm, contents.left_h, self.t_h, self.air_c - 1.0, "off")[1]

    def row(self) -> HourRow:
        """The weather of this hour, as the cylinders feed the burner now."""
        hour = floor(self.t_h)
        if (
            self._row is not None
            and hour == self._hour
            and self.left_kg >= self._same_down_to_kg
            and self.paid_kg > 0.0 < self.left_kg
        ):
            return self._row
        fill_share = self.left_kg / self.full_kg if self.full_kg < inf else 1.0
        self._row = row = self.hours(hour, fill_share if self.paid_kg > 0.0 else 0.0)
        self._hour, self._same_down_to_kg = hour, same_down_to(fill_share) * self.full_kg
        return row

    def empty(self) -> bool:
        """Is there nothing left that may be burnt?"""
        return self.left_kg <= 0.0 or self.paid_kg <= 0.0

    def ends_by(self) -> str:
        """What there is less of, in one word: propane in the cylinders, or cash to pay for it."""
        return "propane" if self.left_kg <= self.paid_kg else "cash"

    def refused(self) -> str:
        """Why nothing would be lit; judged by the smallest load, which takes the least time."""
        size = self.size()
        why = size if isinstance(size, str) else self._beyond(self._need(size[0]))
        return self.unfinished() if why == "full" or (why and self.worth) else why

    def unfinished(self) -> str:
        """Why what is in the pot could not be finished as it is; empty if it could."""
        return self._beyond(self._finish(self.charge, self.heat, self.lead))

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
            least = min(most, wanting / max(lead_share, 1e-9)) if wanting > 0.0 else 0.0
        least = least if least > LEAST_KG else LEAST_KG
        if most < least and most < ready:
            return "full"
        return least if least < most else most, most

    def fitting(self, least: float, most: float) -> tuple[float, str]:
        """The largest load [kg a pot] between ``least`` and ``most`` for which time and propane suffice."""
        need = self._need(most)
        if not self._beyond(need):
            return most, ""
        need_least = self._need(least)
        if why := self._beyond(need_least):
            return 0.0, why
        limits = (self.until_h - self.t_h, min(self.left_kg, self.paid_kg))
        guess = min(
            least + (most - least) * (limit - low) / (high - low)
            for limit, low, high in zip(limits, need_least, need, strict=True)
            if high > limit
        )
        for share in GUESSES:
            load = least + (guess - least) * share
            if not self._beyond(self._need(load)):
                return load, ""
        return least, ""

    def _beyond(self, need: Need) -> str:
        """Whether so much is more than there is, in one word: never hot, not in the time left, propane, its price."""
        hours_h, kg = need
        if hours_h > self.until_h - self.t_h:
            return "heat" if hours_h == inf else "hours"
        if kg <= self.left_kg and kg <= self.paid_kg:
            return ""
        self.short_of_propane = self.short_of_propane or kg > self.left_kg
        return self.ends_by()

    def _need(self, load: float) -> Need:
        """What it takes to melt this load and finish, if this hour's weather lasts."""
        parts = self.pile.first(load)
        charge, heat = self.after(parts)
        hours_h, kg = self._finish(charge, heat, self.lead + parts[0])
        return self.kit.loading_h + hours_h, kg

    def _finish(self, charge: Charge, heat: Heat, lead: float) -> Need:
        """The same for what is in the pot: heat it up, then hold it while hands are at work."""
        kit, row = self.kit, self.row()
        heating = heating_h(row, charge, heat, kit.pour_c) * (1.0 + kit.slack_share)
        rounds = self.rounds((lead - kit.heel_kg) * (1.0 - kit.dross_share))
        handling = kit.tending_h + rounds * kit.filling_h
        held_share = row.way(LEAD.melting_c, kit.pour_c).held_share if kit.turned_down else 1.0
        return heating + handling + kit.solid_h, fuel_kg(row.fire_w, heating + handling * held_share)

    def after(self, parts: Parts) -> tuple[Charge, Heat]:
        """Charge and heat after these parts [kg a pot] fall into the pot at air temperature."""
        return mixed(self.charge, self.heat, charge_of(0.0, *parts), self.air_c)

    def rounds(self, pourable: float) -> int:
        """How often all moulds are filled for so much lead [kg a pot]."""
        rounds = ceil(pourable * self.kit.pots / self.kit.round_kg - 1e-9)
        return rounds if rounds > 0 else 0
