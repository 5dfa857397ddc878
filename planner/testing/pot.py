"""The pot as a single server: buckets come, wait, and are melted one by one, through the real run.

In: when buckets become full, and what is in them. Out: how long each melt takes, how long each bucket waited for it.
Must not know: which answer is expected.

A bucket stands next door, fetching it takes no time, and the payload takes one; so a bucket waits at the shop until the
pot is free. How long its melt takes depends on how much of it is lead (the rest is clips): the heat balance, and a
round of the mould for every 400 g poured. The pot weighs next to nothing, so that one melt leaves no heat to the next.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from planner.testing.quiet import Workshop, business_of, buyers_of, shop_of, world_of
from planner.workshop.result import Run
from planner.world.parts import FloatArray, World

BUCKET_KG: Final = 50.0
ROUND_KG: Final = 0.4
CLIPS: Final = 1
ROUNDS: Final = np.arange(126)
"""A bucket is poured in so many rounds of the mould; with none there is but a trace of lead in it."""
A_TRACE: Final = 1e-10
APART_H: Final = 24.0
"""Buckets are this far apart when melts are measured: none waits for another."""


def buckets(lead_share: FloatArray) -> FloatArray:
    """What is in buckets of which so much is lead: shape (buckets, 6)."""
    shares = np.zeros((lead_share.size, 6))
    shares[:, 0], shares[:, CLIPS] = lead_share, 1.0 - lead_share
    return shares


class Pot:
    """The pot, its melts measured.

    Parameters
    ----------
    **changes
        Settings that differ from those of `planner.testing.quiet`.
    """

    def __init__(self, **changes: Any) -> None:
        self._changes = changes
        self._lead_share = np.maximum(ROUNDS - 0.5, A_TRACE) * ROUND_KG / BUCKET_KG
        self.melt_h = self._measured_h()
        """How long each kind of bucket takes [h]: shorter melts first."""

    def _measured_h(self) -> FloatArray:
        """How long melts of such buckets take [h], each on its own."""
        workshop = self.workshop(ROUNDS.size + 1)
        run = workshop.play(self.world(workshop, ROUNDS.astype(np.float64) * APART_H, ROUNDS))
        return np.array([melt.end_h - melt.t_h for melt in one_by_one(run, ROUNDS.size)])

    @property
    def round_h(self) -> float:
        """How much longer each round makes a melt [h]."""
        return float(self.melt_h[-1] - self.melt_h[0]) / (ROUNDS.size - 1)

    def nearest(self, melt_h: float) -> int:
        """The kind of bucket whose melt takes most nearly so long [h]."""
        return int(np.abs(self.melt_h - melt_h).argmin())

    def workshop(self, days: int) -> Workshop:
        """The business for so many days."""
        return Workshop(business_of(**{**self._changes, "calendar": {"days": days}}))

    def world(
        self,
        workshop: Workshop,
        ready_h: FloatArray,
        kinds: NDArray[np.intp],
        asks_h: FloatArray | None = None,
        sale_h: float = 0.0,
    ) -> World:
        """A world with buckets of these kinds, and with buyers who ask at these hours."""
        shop = shop_of(ready_h, BUCKET_KG, buckets(self._lead_share[kinds]))
        asking = () if asks_h is None else (buyers_of(workshop.business, asks_h, sale_h),)
        return world_of(workshop.business, [shop], asking)


def waits_h(run: Run, ready_h: FloatArray, counted: int) -> FloatArray:
    """How long each of the first buckets waited from being full to its melt [h]."""
    begun = np.array([melt.t_h for melt in one_by_one(run, counted)])
    waited: FloatArray = begun - ready_h[:counted]
    return waited


def one_by_one(run: Run, counted: int) -> list[Any]:
    """The melts of the first buckets: one each, in the order in which they were full."""
    melts = run.melts[:counted]
    if [tuple(lot for lot, _ in melt.lots) for melt in melts] != [(i + 1,) for i in range(counted)]:
        raise ValueError(f"the first {counted} buckets were not melted one by one in their order")
    return melts
