"""Buyers' needs falling due: what is asked, what it is answered, who waits, who stays away, who brings a friend.

In: a floor and simpy's clock. Out: orders on the floor. Must not know: the owner's hours.

A need falls due in one timeout and calls back; a waiting buyer is a row with a deadline, not a process.
"""

from __future__ import annotations

from bisect import bisect_right
from math import inf
from typing import Any

import simpy

from planner.workshop.floor import Floor, Order
from planner.workshop.result import LostRow
from planner.world.parts import Alloy, Crowd


class _Columns:
    """A crowd's columns as plain lists; made once a world."""

    __slots__ = (
        "brings_friend",
        "gap_h",
        "knows_from_h",
        "most",
        "operational_h",
        "patience_h",
        "returns_at_share",
        "shows_up",
        "size_kg",
        "tin_kg",
    )

    def __init__(self, crowd: Crowd) -> None:
        self.operational_h: list[float] = crowd.operational_h.tolist()
        self.gap_h: list[list[float]] = crowd.gap_h.tolist()
        self.size_kg: list[list[float]] = crowd.size_kg.tolist()
        self.patience_h: list[list[float]] = crowd.patience_h.tolist()
        self.shows_up: list[list[bool]] = crowd.shows_up.tolist()
        self.brings_friend: list[list[bool]] = crowd.brings_friend.tolist()
        self.returns_at_share: list[float] = crowd.returns_at_share.tolist()
        self.tin_kg: list[list[float]] = crowd.tin_kg.tolist()
        self.knows_from_h: list[float] = [] if crowd.knows_from_h is None else crowd.knows_from_h.tolist()
        self.most: list[tuple[Alloy, list[list[float]]]] = [
            (alloy, most.tolist()) for alloy, most in crowd.most_per_kg.items()
        ]

    def after(self, t_h: float, gap_h: float) -> float:
        """Clock time [h] that is ``gap_h`` of operational time after ``t_h``."""
        op = self.operational_h
        day = min(int(t_h / 24.0), len(op) - 2)
        target = op[day] + (op[day + 1] - op[day]) * (t_h / 24.0 - day) + gap_h
        if target >= op[-1]:
            return inf
        found = bisect_right(op, target) - 1
        return (found + (target - op[found]) / (op[found + 1] - op[found])) * 24.0


class Enquiries:
    """All buyers of a run."""

    def __init__(self, env: simpy.Environment, floor: Floor) -> None:
        self.env, self.floor = env, floor
        self.crowds = floor.world.crowds
        self.columns: list[_Columns] = []
        for i, crowd in enumerate(self.crowds):
            key = ("crowd", i)
            if key not in floor.world.scratch:
                floor.world.scratch[key] = _Columns(crowd)
            self.columns.append(floor.world.scratch[key])
        people = [crowd.gap_h.shape[0] for crowd in self.crowds]
        self.misses = [[0] * n for n in people]
        self.knows = [
            [person < crowd.known for person in range(n)]
            for crowd, n in zip(self.crowds, people, strict=True)
        ]
        """Who knows of the business, of each crowd."""
        self.next_friend = [crowd.known for crowd in self.crowds]
        self.asked = 0
        self.served = 0

    def start(self) -> None:
        """Everybody who knows of the business: first needs. Those who will come to know of it by themselves: when."""
        for i, crowd in enumerate(self.crowds):
            for person in range(min(crowd.known, crowd.gap_h.shape[0])):
                self._next(0.0, i, person, 0)
            for person, t_h in enumerate(self.columns[i].knows_from_h):
                if person >= crowd.known and t_h < self.floor.horizon_h:
                    self._at(t_h, self._by_themselves, (i, person))

    def ended(self, order: Order, t_h: float, share: float, bad: bool = False) -> None:
        """A need has ended with this share of it served; ``bad`` if the metal was spoiled and nobody said so.

        Whoever does not keep the appointment was served as far as they are concerned, and tells nobody.
        """
        crowd, person = order.crowd, order.person
        kind = self.crowds[crowd]
        if bad:
            self.floor.note(t_h, "buyer lost", kind.name, "zinced metal sold as good")
            return
        columns = self.columns[crowd]
        if share >= columns.returns_at_share[person]:
            self.misses[crowd][person] = 0
            if columns.brings_friend[person][order.need] and columns.shows_up[person][order.need]:
                self._friend(t_h, crowd)
        else:
            self.misses[crowd][person] += 1
            if self.misses[crowd][person] > int(kind.misses_borne[person]):
                self.floor.note(t_h, "buyer stays away", kind.name, "went unserved too often")
                return
        self._next(t_h, crowd, person, order.need + 1)

    def _friend(self, t_h: float, crowd: int) -> None:
        knows = self.knows[crowd]
        while self.next_friend[crowd] < len(knows) and knows[self.next_friend[crowd]]:
            self.next_friend[crowd] += 1
        if self.next_friend[crowd] < len(knows):
            self._new(t_h, crowd, self.next_friend[crowd], "word of mouth")

    def _by_themselves(self, t_h: float, who: tuple[int, int]) -> None:
        crowd, person = who
        if not self.knows[crowd][person]:
            self._new(t_h, crowd, person, "by an advert or a sign")

    def _new(self, t_h: float, crowd: int, person: int, cause: str) -> None:
        self.knows[crowd][person] = True
        self.floor.note(t_h, "new buyer", self.crowds[crowd].name, cause)
        self._next(t_h, crowd, person, 0)

    def _next(self, t_h: float, crowd: int, person: int, need: int) -> None:
        columns = self.columns[crowd]
        if need >= len(columns.gap_h[person]):
            return
        due = columns.after(t_h, columns.gap_h[person][need])
        if due < self.floor.horizon_h:
            self._at(due, self._due, (crowd, person, need))

    def _at(self, t_h: float, then: Any, what: Any) -> None:
        timeout = self.env.timeout(max(0.0, t_h - self.env.now))
        callbacks = timeout.callbacks
        if callbacks is not None:
            callbacks.append(lambda _: then(t_h, what))

    def _due(self, t_h: float, what: tuple[int, int, int]) -> None:
        """Somebody asks: quote, and either they wait for it or they do not."""
        crowd, person, need = what
        f, kind, columns = self.floor, self.crowds[crowd], self.columns[crowd]
        self.asked += 1
        size = max(columns.size_kg[person][need], kind.least_kg)
        if kind.parcel_kg > 0:
            size = max(1, round(size / kind.parcel_kg)) * kind.parcel_kg
        choices = self._quotes(t_h, crowd, person, need, size)
        order = Order(
            crowd, person, need, choices, size, 0.0, 0.0, t_h, t_h + columns.patience_h[person][need]
        )
        if not choices:
            f.messages_h += kind.message_h
            f.run.lost.append(LostRow(t_h, kind.name, person, size, "price"))
            f.note(t_h, "enquiry lost", kind.name, f"price too high for {size:.1f} kg")
            self.ended(order, t_h, 0.0)
            return
        wanted = columns.tin_kg[person][need]
        if wanted > 0:
            price = f.pricing.tin(f.view(t_h, choices[0][0]))
            if price <= kind.tin_most_per_kg:
                order.tin_kg, order.tin_price = wanted, price
        f.orders.append(order)
        f.note(t_h, "order", kind.name, f"{size:.1f} kg {choices[0][0]} at {choices[0][1]:.2f} a kg")
        self._at(order.deadline_h, self._expired, order)
        f.wake()

    def _quotes(
        self, t_h: float, crowd: int, person: int, need: int, size: float
    ) -> list[tuple[Alloy, float]]:
        """Alloys they would take at the price asked; those in stock first, then the dearer first."""
        f, channel = self.floor, self.crowds[crowd].channel
        found: list[tuple[bool, float, Alloy]] = []
        limits = [
            (alloy, limit) for alloy, most in self.columns[crowd].most if (limit := most[person][need]) > 0
        ]
        for (alloy, limit), view in zip(limits, f.views(t_h, [a for a, _ in limits]), strict=True):
            price = f.pricing.quote(view, alloy, size, channel)
            if 0 < price <= limit:
                found.append((f.ingots_kg[alloy] >= size, price, alloy))
        found.sort(reverse=True)
        return [(alloy, price) for _, price, alloy in found]

    def _expired(self, t_h: float, order: Order) -> None:
        """Nobody served them in time."""
        if not order.open:
            return
        f, kind = self.floor, self.crowds[order.crowd]
        order.open = False
        f.orders.remove(order)
        f.messages_h += kind.message_h
        had_stock = any(
            f.ingots_kg[alloy] >= min(order.mass_kg, kind.least_kg or 1.0) for alloy, _ in order.choices
        )
        cause = "time" if had_stock else "stock"
        f.run.lost.append(LostRow(t_h, kind.name, order.person, order.mass_kg, cause))
        why = self._unserved(order, t_h) if had_stock else "nothing in stock"
        f.note(t_h, "order lost", kind.name, f"{why} for {order.mass_kg:.1f} kg")
        self.ended(order, t_h, 0.0)

    def _unserved(self, order: Order, t_h: float) -> str:
        """Why a buyer whose metal was there went away: nobody could have met them, or the time went elsewhere."""
        waited = f"gave up after {t_h - order.t_h:.1f} h"
        if self.floor.open["owner"].opens(order.t_h) >= t_h:
            return f"{waited}, in which the owner had no free hour,"
        return f"{waited}, the owner's free hours were too short or went elsewhere,"
