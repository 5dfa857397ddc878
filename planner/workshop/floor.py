"""The state of the business while a run lasts: cash, weights, pot, ingots, orders, and the rows it leaves.

In: settings, a world. Out: itself, changed by the tasks. Must not know: which task comes when; chance; files.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from math import floor as whole
from math import fsum, inf
from typing import Final

import numpy as np

from planner.scenario.business import Business, Cost
from planner.scenario.clock import DAYS, days_of
from planner.trade.payload import overload_kg, wear_cost
from planner.trade.pot import Contents, Kit, Portion
from planner.workshop.calendar import Spells, calendar_months, openings, working_days
from planner.workshop.premises import Premises, StartUp, Tables, kit_of
from planner.workshop.result import Entry, HoursRow, LimitRow, Note, Run
from planner.workshop.shops import ShopState
from planner.world.parts import ALLOYS, Alloy, Good, PriceView, Pricing, World

WAGE_H: Final = 8.0
"""Wages for so long are kept back before a helper is counted on and from what a trip may spend (assumed)."""


class Step:
    """Something the owner starts now: it ends at ``end_h``, and then ``done`` takes effect."""

    __slots__ = ("done", "end_h", "what")

    def __init__(self, end_h: float, what: str, done: Callable[[], None]) -> None:
        self.end_h: Final = end_h
        self.what: Final = what
        self.done: Final = done


class Held:
    """Why something cannot be done now, and when that may have changed."""

    __slots__ = ("limit", "retry_h")

    def __init__(self, limit: str, retry_h: float = inf) -> None:
        self.limit: Final = limit
        self.retry_h: Final = retry_h


@dataclass(slots=True)
class Lot:
    """A bucket of weights: what is left of it, unsorted."""

    lot: int
    mass_kg: float
    shares: tuple[float, float, float, float, float, float]
    cost_per_kg: float
    missed_u: float
    dry_h: float
    """When it is dry; inf where wet weights are never dried."""


@dataclass(slots=True)
class Batch:
    """Ingots of one melt."""

    melt: int
    mass_kg: float
    cost_per_kg: float
    t_h: float
    tin_share: float
    zinced: bool


@dataclass(slots=True)
class Order:
    """A buyer who waits: a row with a deadline."""

    crowd: int
    person: int
    need: int
    choices: list[tuple[Alloy, float]]
    """Alloys they take and the price quoted for each [currency/kg], the best first."""
    mass_kg: float
    tin_kg: float
    tin_price: float
    t_h: float
    deadline_h: float
    open: bool = True


class Floor:
    """Everything that changes during a run. Masses kg, money in the scenario's currency, times h."""

    def __init__(
        self,
        business: Business,
        world: World,
        pricing: Pricing,
        start_up: StartUp,
        known: Premises,
        tables: Tables,
        diary: bool = True,
    ) -> None:
        self.business, self.world, self.pricing = business, world, pricing
        self.diary = diary
        """Are notes kept? They tell what happened and why, and change nothing."""
        self.start_up, self.known, self.tables = start_up, known, tables
        self.horizon_h = float(world.horizon.hours)
        self.run = Run(business.cash.opening, world.horizon.days)
        self.cash = business.cash.opening
        self.raw: list[Lot] = []
        """Lots that are not sorted (or wait for it)."""
        self.piles: dict[Alloy, list[tuple[Portion, float]]] = {"hard": [], "soft": [], "mixed": []}
        """Weights ready for the pot by the alloy they give, with the hour at which each is dry."""
        self.lot_cost: dict[int, float] = {}
        """Cost per kg of each lot."""
        self.goods: dict[Good, float] = dict.fromkeys(("clips", "zinc", "steel", "dross"), 0.0)
        self.rubbish_kg = 0.0
        self.ingots: dict[Alloy, deque[Batch]] = {alloy: deque() for alloy in ALLOYS}
        self.ingots_kg: dict[Alloy, float] = dict.fromkeys(ALLOYS, 0.0)
        self.tin_kg = 0.0
        """Tin in the pewter at hand."""
        self.pewter_kg = 0.0
        self.pewter_cost = 0.0
        self._kits: dict[tuple[bool, bool], Kit] = {}
        self._costs: dict[str, list[Cost]] = {}
        """Rows of the table of costs by what they fall due for."""
        for cost in business.costs:
            self._costs.setdefault(cost.per, []).append(cost)
        self.contents = Contents()
        self.pot_alloy: Alloy | None = None
        self.pot_mix: dict[Alloy, float] = {}
        """Shares of the lead in the pot by the pile it came from."""
        self.pot_cost = 0.0
        self.unlit: tuple[tuple[float, int, int, int, int], Held] | None = None
        """Why nothing was lit last, and for which window, weights and cash; holds until it says to look again."""
        self.cylinder_kg = business.melting.cylinder.content_kg * business.melting.cylinder.number
        self.orders: list[Order] = []
        self.messages_h = 0.0
        self.asked_h = 0.0
        self.shops: list[ShopState] = [ShopState(shop) for supply in world.supplies for shop in supply.shops]
        self.last_trip_h = self.last_yard_h = -inf
        """Midnight before the last trip, so that what is due every so many days is due from the morning on."""
        self.lifts_today: tuple[int, int] = (-1, 0)
        self.sold_kg = self.yard_kg = self.pewter_in_kg = 0.0
        self.sold_recent: deque[tuple[float, float]] = deque()
        self.next_lot = self.next_melt = 1
        self.stopped_h = self._stopped_h()
        owner, horizon = business.owner, world.horizon
        off = days_of(owner.holidays)
        self.working_days = working_days(horizon, owner.hours, off, owner.other_hours)
        self._cold = frozenset([(day - horizon.start).days for day in days_of(business.melting.not_on)])
        """Numbers of the days on which nothing is melted."""
        self.first_weekday = world.horizon.start.weekday()
        self.wake: Callable[[], None] = nobody
        self.open = {
            "owner": openings(horizon, owner.hours, off, owner.other_hours),
            "yard": openings(horizon, business.yard.open),
        }
        self.lighting, self.lasting = self._spells()
        self._last_day = world.horizon.days - 1
        self._yard_per_kg = self._prices()
        self._weather, self._sun = self._hours(), self._days()
        self.months = [
            (24.0 * ends, (ends - begun) / length)
            for begun, ends, length in calendar_months(horizon.start, horizon.days)
        ]
        """Where each month ends [h], and the share of it that was played."""

    # -- money, hours, notes ---------------------------------------------------------------------------------------

    def book(self, t_h: float, kind: str, amount: float, note: str = "", lot: int = 0, melt: int = 0) -> None:
        """One movement of money: in if positive."""
        if amount == 0.0:
            return
        self.run.ledger.append(Entry(t_h, kind, amount, note, lot, melt))
        self.cash += amount

    def costs(self, t_h: float, per: str, times: float = 1.0, lot: int = 0, melt: int = 0) -> None:
        """Book the rows of the table of costs that fall due each time of ``per``."""
        for cost in self._costs.get(per, ()):
            self.book(t_h, cost.name, -cost.amount * times, per, lot, melt)

    def cost_of(self, per: str) -> float:
        """What the table of costs asks each time of ``per``."""
        return fsum([cost.amount for cost in self._costs.get(per, ())])

    def spendable(self) -> float:
        """Cash above the reserve."""
        return self.cash - self.business.cash.reserve

    def spend_time(self, start_h: float, end_h: float, what: str, helper: bool = False) -> None:
        """The owner's time, and the helper's with it if present."""
        if end_h <= start_h:
            return
        self.run.hours.append(HoursRow(start_h, end_h, "owner", what))
        if helper and self.business.helper is not None:
            self.run.hours.append(HoursRow(start_h, end_h, "helper", what))
            self.book(end_h, "wages", -(end_h - start_h) * self.business.helper.wage_per_h, what)

    def spend_trip(self, start_h: float, end_h: float, what: str, helped: bool) -> None:
        """Time on the road: the owner's, the helper's, and that of a second person who comes for the lifting."""
        self.spend_time(start_h, end_h, what, helped)
        crew = self.known.crew(helped)
        if crew.second and end_h > start_h:
            self.run.hours.append(HoursRow(start_h, end_h, "second person", what))
            self.book(end_h, "wages", -(end_h - start_h) * crew.wage_per_h, f"{what}, a second person")

    def note(
        self, t_h: float, what: str, who: str = "", cause: str = "", lot: int = 0, melt: int = 0
    ) -> None:
        """One line of the diary, if one is kept."""
        if self.diary:
            self.run.notes.append(Note(t_h, what, who, cause, lot, melt))

    def limit(self, t_h: float, hours: float, limit: str) -> None:
        """Free time that could not be used, and what held it back."""
        if hours > 0:
            self.run.limits.append(LimitRow(t_h, hours, limit))

    # -- looked up -------------------------------------------------------------------------------------------------

    def helped(self, t_h: float) -> bool:
        """Is the helper there today, and can the wage be paid?"""
        helper = self.business.helper
        if helper is None:
            return False
        day = min(self.working_days.day(t_h), self._last_day)
        if self.weekday(t_h) not in helper.days:
            return False
        there = self.world.marks.helper_absent[day] >= helper.absent_share
        return bool(there) and self.spendable() > WAGE_H * helper.wage_per_h

    def weekday(self, t_h: float) -> str:
        """Weekday that the work at ``t_h`` belongs to, mon .. sun: that on which the owner's window began."""
        return DAYS[(self.first_weekday + self.working_days.day(t_h)) % 7]

    def melts_on(self, t_h: float) -> bool:
        """Is the day that the work at ``t_h`` belongs to one on which the owner melts?"""
        return (
            self.weekday(t_h) in self.business.melting.days and self.working_days.day(t_h) not in self._cold
        )

    def hands(self, helped: bool) -> float:
        """Pace of handling over that of one person."""
        return self.business.helper.hands if helped and self.business.helper is not None else 1.0

    def kit(self, helped: bool, heel: bool = True) -> Kit:
        """What a melt is done with today; and where the pot is emptied to the last ladle."""
        key = (helped, heel)
        if key not in self._kits:
            kit = kit_of(self.business, self.known, self.tables, self.hands(helped))
            self._kits[key] = kit if heel else replace(kit, heel_kg=0.0)
        return self._kits[key]

    def overloaded(self, load_kg: float, km: float, helped: bool) -> tuple[float, float]:
        """What an overload costs in wear on this distance, and the share of the load that is too much."""
        vehicle = self.known.crew(helped).vehicle
        over = overload_kg(vehicle, load_kg) / load_kg if load_kg > 0 else 0.0
        return wear_cost(vehicle, load_kg, km), over

    def weather(self) -> tuple[list[float], list[float]]:
        """Temperature [degC] and wind [m/s] hour by hour, as plain lists."""
        return self._weather

    def sun(self, day: int) -> tuple[float, float]:
        """When the sun rises and sets on a day of the run [h]."""
        return self._sun[day]

    def promised_kg(self) -> float:
        """What buyers wait for."""
        return fsum([order.mass_kg for order in self.orders])

    def yard_price(self, t_h: float, good: Good) -> float:
        """What the yard pays today [currency/kg]."""
        day = whole(t_h / 24.0 + 1e-9)
        return self._yard_per_kg[good][day if day < self._last_day else self._last_day]

    def view(self, t_h: float, alloy: Alloy) -> PriceView:
        """What the owner knows when asked for a price."""
        return self.views(t_h, (alloy,))[0]

    def views(self, t_h: float, alloys: Iterable[Alloy]) -> list[PriceView]:
        """The same for a price of each of some alloys."""
        while self.sold_recent and self.sold_recent[0][0] < t_h - 720.0:
            self.sold_recent.popleft()
        free, sold_kg = dict(self.ingots_kg), fsum([kg for _, kg in self.sold_recent])
        for order in self.orders:
            first = order.choices[0][0]
            free[first] = max(0.0, free[first] - order.mass_kg)
        yard_per_kg, zinced_per_kg = self.yard_price(t_h, "lead"), self.yard_price(t_h, "weights")
        dates, days_left = self.world.horizon.dates, (self.horizon_h - t_h) / 24.0
        today = dates[min(whole(t_h / 24.0 + 1e-9), self._last_day)]
        oldest = [(t_h - batches[0].t_h) / 24.0 if (batches := self.ingots[a]) else 0.0 for a in alloys]
        return [
            PriceView(t_h, free, yard_per_kg, sold_kg, days, today, days_left, zinced_per_kg)
            for days in oldest
        ]

    def ingot_total_kg(self) -> float:
        """All ingots in stock."""
        return fsum(self.ingots_kg.values())

    def weights_kg(self) -> float:
        """All weights at home, sorted or not."""
        return fsum([lot.mass_kg for lot in self.raw]) + fsum(
            [p.mass_kg for pile in self.piles.values() for p, _ in pile]
        )

    def lifts_left(self, t_h: float) -> int:
        """Lifts the owner may still do today; a night past midnight belongs to the day on which it began."""
        day = self.working_days.day(t_h)
        done = self.lifts_today[1] if self.lifts_today[0] == day else 0
        return self.business.lifting.most_a_day - done

    def lifted(self, t_h: float, lifts: int) -> None:
        """Count lifts of today."""
        day = self.working_days.day(t_h)
        done = self.lifts_today[1] if self.lifts_today[0] == day else 0
        self.lifts_today = (day, done + lifts)

    # -- stock of ingots -------------------------------------------------------------------------------------------

    def cast(self, alloy: Alloy, batch: Batch) -> None:
        """Put ingots into stock."""
        self.ingots[alloy].append(batch)
        self.ingots_kg[alloy] += batch.mass_kg

    def take(self, alloy: Alloy, mass_kg: float) -> list[tuple[Batch, float]]:
        """Take ingots out of stock, oldest first: (batch, kg)."""
        left, taken, batches = mass_kg, [], self.ingots[alloy]
        while left > 1e-9 and batches:
            batch = batches[0]
            kg = min(left, batch.mass_kg)
            taken.append((batch, kg))
            batch.mass_kg -= kg
            left -= kg
            if batch.mass_kg <= 1e-9:
                batches.popleft()
        out = fsum(kg for _, kg in taken)
        self.ingots_kg[alloy] = self.ingots_kg[alloy] - out if batches else 0.0
        return taken

    # -- set up once -----------------------------------------------------------------------------------------------

    def _stopped_h(self) -> float:
        stopped = self.business.stopped.date
        if stopped is None:
            return inf
        return max(0.0, (stopped - self.world.horizon.start).days * 24.0)

    def _prices(self) -> dict[Good, list[float]]:
        """What the yard pays, day by day [currency/kg]."""
        scratch = self.world.scratch
        if "rates" not in scratch:
            scratch["rates"] = {good: prices.tolist() for good, prices in self.world.rates.per_kg.items()}
        found: dict[Good, list[float]] = scratch["rates"]
        return found

    def _hours(self) -> tuple[list[float], list[float]]:
        """Temperature [degC] and wind [m/s] hour by hour."""
        scratch, weather = self.world.scratch, self.world.weather
        if "air" not in scratch:
            scratch["air"] = (weather.temperature_c.tolist(), weather.wind_m_s.tolist())
        found: tuple[list[float], list[float]] = scratch["air"]
        return found

    def _days(self) -> list[tuple[float, float]]:
        """Sunrise and sunset day by day [h]."""
        scratch, world = self.world.scratch, self.world
        if "sun" not in scratch:
            midnight_h = 24.0 * np.arange(len(world.sunrise_h))
            rises, sets = (midnight_h + world.sunrise_h).tolist(), (midnight_h + world.sunset_h).tolist()
            scratch["sun"] = list(zip(rises, sets, strict=True))
        found: list[tuple[float, float]] = scratch["sun"]
        return found

    def _spells(self) -> tuple[Spells, Spells]:
        """Hours in which the weather allows lighting up where the pot stands, and going on there."""
        m = self.business.melting
        key = ("weather", m.place, m.rain_from_mm, m.most_wind_m_s, m.coldest_c)
        scratch = self.world.scratch
        if key not in scratch:
            w = self.world.weather
            calm, dry = w.wind_m_s <= m.most_wind_m_s, w.rain_mm < m.rain_from_mm
            goes_on = calm & dry if m.place == "open air" else np.ones(calm.shape, bool)
            lights = (w.temperature_c >= m.coldest_c) & goes_on
            scratch[key] = Spells(lights & calm if m.place == "roof" else lights), Spells(goes_on)
        found: tuple[Spells, Spells] = scratch[key]
        return found


def nobody() -> None:
    """Nobody waits to be woken."""
