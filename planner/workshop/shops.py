"""Shops as the owner finds them: what is waiting there now, and whether they still give.

In: a world's shop. Out: its state at a moment, looked up without waking anybody.
Must not know: trips, money.
"""

from __future__ import annotations

from collections.abc import Callable

from planner.world.parts import Shop


class ShopState:
    """One shop during a run.

    A full bucket waits only so long, then goes elsewhere; a shop that is left waiting too often stops giving; one
    that is served forgets, and asks a little more. One that is bound by a contract goes on giving, and is paid for
    what is owed and was not fetched.
    """

    __slots__ = (
        *("_gone", "_i", "_n", "_price", "_ready"),
        *("alive", "known", "mass_kg", "misses", "owed", "served", "shop", "taken", "waiting"),
    )

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.known = shop.known
        self.alive = True
        self.misses = 0
        self.served = 0
        self.waiting: list[int] = []
        """Numbers of the full buckets that stand there, oldest first."""
        self.owed: list[float] = shop.owed.tolist() if shop.owed is not None and shop.bound else []
        """Charged for each bucket that is not fetched [currency]; empty without a contract."""
        self.taken: set[int] = set()
        """Numbers of the buckets that the owner has set off for."""
        self._i = 0
        self.mass_kg: list[float] = shop.mass_kg.tolist()
        self._price: list[float] = shop.price.tolist()
        self._ready: list[float] = shop.ready_h.tolist()
        self._gone: list[float] = (shop.ready_h + shop.gone_after_h).tolist()
        self._n = len(self._ready)

    def update(self, t_h: float, missed: Callable[[float, str, bool], None]) -> None:
        """Bring the shop up to ``t_h``; tell ``missed(t_h, shop, still_gives)`` of each bucket that went elsewhere."""
        if not (self.alive and self.known):
            return
        ready, gone = self._ready, self._gone
        i = self._i
        while i < self._n and ready[i] <= t_h:
            self.waiting.append(i)
            i += 1
        self._i = i
        if not self.waiting:
            return
        lost = sorted([(gone[k], k) for k in self.waiting if gone[k] <= t_h])
        if not lost:
            return
        self.waiting = [k for k in self.waiting if gone[k] > t_h]
        for when, k in lost:
            if self.owes(k) > 0.0:
                continue  # told, and paid for, when it fell due
            self.misses += 1
            if self.misses > self.shop.misses_borne and not self.owed:
                self.alive = False
                self.waiting = []
                missed(when, self.shop.name, False)
                return
            missed(when, self.shop.name, True)

    def next_full_h(self) -> float:
        """When the next bucket will be full; inf if never."""
        return self._ready[self._i] if self.alive and self._i < self._n else float("inf")

    def found(self, t_h: float) -> None:
        """The owner learns of it and it says yes; what was full before has gone elsewhere."""
        self.known = True
        while self._i < self._n and self._ready[self._i] < t_h:
            self._i += 1

    def owes(self, bucket: int) -> float:
        """Charged for a bucket if it is not fetched [currency]; 0 where it is not owed."""
        return self.owed[bucket] if self.owed else 0.0

    def dues(self) -> list[tuple[int, float]]:
        """Owed buckets, and when each has waited its time [h]."""
        return [(k, self._gone[k]) for k in range(len(self.owed)) if self.owed[k] > 0.0]

    def price(self, bucket: int) -> float:
        """Asked for this bucket now [currency]: creeps up with every bucket fetched."""
        creep = (1.0 + self.shop.price_creep_share) ** self.served
        return self._price[bucket] * creep

    def fetched(self, bucket: int) -> None:
        """A bucket was fetched: the shop is served and forgets what it waited."""
        self.waiting.remove(bucket)
        self.served += 1
        self.misses = 0
