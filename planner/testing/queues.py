"""Queues whose mean wait is known, played through the real run: its calendar, its owner, its clock.

In: nothing. Out: rows. Must not know: the settings of the pot and the buyers that stand for the server.

Runs start empty; the first buckets of each are not counted. What the drawn gaps and melts of a run account for is
taken off by control variates, whose means are known.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import exp
from statistics import fmean
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from planner.testing.pot import Pot, waits_h
from planner.testing.quiet import Workshop, business_of, buyers_of, world_of
from planner.testing.rows import Mean, Row, by_chance, for_sure, mean_of
from planner.world.draw import Draw
from planner.world.parts import FloatArray

FAMILY: Final = "queues"
SEED: Final = 20260101
RUNS, FEWER_RUNS = 60, 40
"""Runs of a case; fewer where one run tells more."""
BUCKETS, UNCOUNTED = 650, 50
"""Buckets of a run, and how many of these come before the queue has settled."""
MEAN_MELT_H: Final = 1.0
LOAD: Final = 0.5
"""Share of the time that the server is busy."""
GAP_H: Final = MEAN_MELT_H / LOAD
DAYS: Final = 80
"""Long enough for all buckets of a run."""
SETTLED: Final = 1e-13
SALE_H: Final = 0.5
LOOKS_H: Final = 2.0 / 60.0
"""An idle owner looks up once a minute; two such minutes may meet in one wait."""
POLLACZEK: Final = "Pollaczek-Khinchine: Wq = lambda E[S2] / 2 (1 - rho)"
SHORT_H, LONG_H, SHORT_SHARE = 0.6, 2.2, 0.75
"""Melts [h] of two kinds of bucket, and the share of the shorter."""


@dataclass(frozen=True, slots=True)
class Melts:
    """How often each kind of bucket comes, and how long its melt takes [h]."""

    shares: FloatArray
    melt_h: FloatArray

    @property
    def mean_h(self) -> float:
        """Mean melt [h]."""
        return float(self.shares @ self.melt_h)

    @property
    def mean_square(self) -> float:
        """Mean square [h2]."""
        return float(self.shares @ self.melt_h**2)

    @property
    def moments(self) -> int:
        """How many moments tell one run's melts from another's, at most two."""
        return min(2, int(np.count_nonzero(self.shares)) - 1)

    def drawn(self, u: FloatArray) -> NDArray[np.intp]:
        """Kinds of bucket for uniforms."""
        return np.searchsorted(np.cumsum(self.shares)[:-1], u, side="right")


def constant(pot: Pot, melt_h: float = MEAN_MELT_H) -> Melts:
    """All alike."""
    return _of(pot, {melt_h: 1.0})


def two_kinds(pot: Pot) -> Melts:
    """Of two kinds, the shorter three times as often."""
    return _of(pot, {SHORT_H: SHORT_SHARE, LONG_H: 1.0 - SHORT_SHARE})


def exponential(pot: Pot, mean_h: float = MEAN_MELT_H) -> Melts:
    """Exponential, to the nearest melt that the pot knows."""
    ends = np.concatenate(([0.0], 0.5 * (pot.melt_h[1:] + pot.melt_h[:-1]), [np.inf]))
    return Melts(-np.diff(np.exp(-ends / mean_h)), pot.melt_h)


def _of(pot: Pot, each: dict[float, float]) -> Melts:
    shares = np.zeros(pot.melt_h.size)
    for melt_h, share in each.items():
        shares[pot.nearest(melt_h)] = share
    return Melts(shares, pot.melt_h)


def pollaczek_khinchine_h(gap_h: float, mean_h: float, mean_square: float) -> float:
    """Mean wait for a server that is met at random [h]."""
    return mean_square / gap_h / 2.0 / (1.0 - mean_h / gap_h)


def scheduled_wait_h(shares: FloatArray, gap: int, step_h: float) -> float:
    """Mean wait at equal gaps [h], all times counted in steps; ``shares`` are those of services of 0, 1, ... steps.

    Lindley's recursion for the distribution of the wait, until it changes no more.
    """
    waits = np.zeros(4 * shares.size)
    waits[0] = 1.0
    while True:
        work = np.convolve(waits, shares)
        after = np.concatenate(([work[: gap + 1].sum()], work[gap + 1 :]))[: waits.size]
        if np.abs(after - waits).sum() < SETTLED:
            return float(after @ np.arange(after.size)) * step_h
        waits = after


def sigma_wait_h(gap_h: float, mean_h: float) -> float:
    """The same for services that are exponential without end [h]: sigma = exp(-mu (1 - sigma) gap)."""
    sigma, before = 0.0, -1.0
    while sigma - before > SETTLED:
        sigma, before = exp(-(1.0 - sigma) * gap_h / mean_h), sigma
    return sigma * mean_h / (1.0 - sigma)


def rows(part: int = 1) -> Iterator[Row]:
    """Every queue, in one of so many runs."""
    pot = Pot()
    for case, melts, runs in (
        ("M/D/1: the pot, buckets at random, melts all alike", constant(pot), FEWER_RUNS),
        ("M/M/1: the same, melts exponential", exponential(pot), RUNS),
        ("M/G/1: the same, two kinds of bucket", two_kinds(pot), RUNS),
    ):
        expected = pollaczek_khinchine_h(GAP_H, melts.mean_h, melts.mean_square)
        yield _row(case, expected, wait_h(pot, melts, case, runs=runs // part), POLLACZEK)
    yield scheduled(pot, FEWER_RUNS // part)
    yield scheduled_alike(pot)
    yield every_wait(pot)
    yield sales(FEWER_RUNS // part)
    yield from buyers_first(RUNS // part)


def _row(case: str, expected: float, got: Mean, source: str) -> Row:
    return by_chance(FAMILY, case, "h", expected, got, source)


def wait_h(pot: Pot, melts: Melts, name: str, every_h: float | None = None, runs: int = RUNS) -> Mean:
    """Mean wait of a bucket at the pot [h]; at equal gaps if told. How often each kind comes is taken for known."""
    workshop = pot.workshop(DAYS)
    waited, gaps, means, squares = [], [], [], []
    for run in range(runs):
        u = Draw(SEED, run).within(name).uniform("buckets", (BUCKETS, 2))
        gap_h = -GAP_H * np.log1p(-u[:, 0]) if every_h is None else np.full(BUCKETS, every_h)
        kinds, ready_h = melts.drawn(u[:, 1]), np.cumsum(gap_h)
        melt_h = melts.melt_h[kinds][UNCOUNTED:]
        played = workshop.play(pot.world(workshop, ready_h, kinds))
        waited.append(waits_h(played, ready_h, BUCKETS)[UNCOUNTED:].mean())
        gaps.append(gap_h[UNCOUNTED:].mean() - GAP_H)
        means.append(melt_h.mean() - melts.mean_h)
        squares.append((melt_h**2).mean() - melts.mean_square)
    controls = ([gaps] if every_h is None else []) + [means, squares][: melts.moments]
    return mean_of(waited, [np.array(one) for one in controls])


def scheduled(pot: Pot, runs: int = FEWER_RUNS) -> Row:
    """Equal gaps, melts exponential as far as the pot goes; all times are whole rounds of the mould."""
    melts, gap = exponential(pot), round(GAP_H / pot.round_h)
    case = "D/M/1: buckets at equal gaps, melts exponential"
    expected = scheduled_wait_h(melts.shares, gap, pot.round_h)
    got = wait_h(pot, melts, case, every_h=float(pot.melt_h[gap]), runs=runs)
    endless_h = sigma_wait_h(GAP_H, MEAN_MELT_H)
    source = (
        f"Lindley's recursion, melts in whole rounds up to {pot.melt_h[-1]:.1f} h; without steps and end sigma = "
        f"exp(-mu (1 - sigma) gap), Wq = sigma / mu (1 - sigma): {endless_h:.4f} h"
    )
    return _row(case, expected, got, source)


def scheduled_alike(pot: Pot) -> Row:
    """Equal gaps, equal melts: nobody waits."""
    workshop = pot.workshop(DAYS)
    ready_h = np.arange(1, BUCKETS + 1, dtype=np.float64) * GAP_H
    kinds = np.full(BUCKETS, pot.nearest(MEAN_MELT_H))
    longest = waits_h(workshop.play(pot.world(workshop, ready_h, kinds)), ready_h, BUCKETS).max()
    case = "D/D/1: equal gaps, equal melts, the longest wait"
    return for_sure(FAMILY, case, "h", 0.0, float(longest), 1e-6, "nobody waits while gap > melt")


def every_wait(pot: Pot) -> Row:
    """Every bucket's wait against the recursion, in one run of two kinds of bucket."""
    workshop, melts = pot.workshop(DAYS), two_kinds(pot)
    u = Draw(SEED, 0).within("every wait").uniform("buckets", (BUCKETS, 2))
    kinds, ready_h = melts.drawn(u[:, 1]), np.cumsum(-GAP_H * np.log1p(-u[:, 0]))
    found = waits_h(workshop.play(pot.world(workshop, ready_h, kinds)), ready_h, BUCKETS)
    farthest = np.abs(found - lindley_h(ready_h, melts.melt_h[kinds])).max()
    case = "M/G/1: every bucket's wait, farthest from the recursion"
    source = "Lindley: W' = max(0, W + S - A); an idle owner looks up once a minute"
    return for_sure(FAMILY, case, "h", 0.0, float(farthest), LOOKS_H, source)


def lindley_h(ready_h: FloatArray, melt_h: FloatArray) -> FloatArray:
    """Waits of a single server, first come first served [h]."""
    waits, wait = [0.0], 0.0
    for gap, melt in zip(np.diff(ready_h).tolist(), melt_h.tolist(), strict=False):
        wait = max(0.0, wait + melt - gap)
        waits.append(wait)
    return np.array(waits)


def sales(runs: int = FEWER_RUNS) -> Row:
    """Buyers who ask at random, each sale taking as long."""
    gap_h = SALE_H / LOAD
    days = DAYS // 2
    workshop = Workshop(
        business_of(calendar={"days": days}, owner={"priority": ["serve"]}, stock={"hard": "100000 kg"})
    )
    waited, gaps = [], []
    for run in range(runs):
        gap = -gap_h * np.log1p(-Draw(SEED, run).uniform("sales", BUCKETS))
        crowd = buyers_of(workshop.business, np.cumsum(gap), SALE_H)
        played = workshop.play(world_of(workshop.business, crowds=[crowd]))
        counted = played.sales[UNCOUNTED:BUCKETS]
        waited.append(fmean(sale.waited_h - SALE_H for sale in counted))
        gaps.append(gap[UNCOUNTED:].mean() - gap_h)
    expected = pollaczek_khinchine_h(gap_h, SALE_H, SALE_H**2)
    case = "M/D/1: buyers at random, each sale half an hour"
    return _row(case, expected, mean_of(waited, [np.array(gaps)]), POLLACZEK)


def buyers_first(runs: int = RUNS) -> Iterator[Row]:
    """One owner, a pot and buyers who come first: two classes, none interrupted."""
    found = shared_owner(runs)
    expected = cobham_h((found.ask_gap_h, SALE_H), (found.gap_h, found.melt_h))
    source = "Cobham (1954), from memory: W1 = W0 / (1 - rho1), W2 = W1 / (1 - rho)"
    for case, answer, got in zip(("buyers", "buckets"), expected, found.waits, strict=True):
        yield _row(f"M/G/1 by priority: one owner, buyers first, wait of {case}", answer, got, source)


@dataclass(frozen=True, slots=True)
class SharedOwner:
    """Waits of buyers and of buckets for the one owner, and the gaps at which they come [h]."""

    waits: tuple[Mean, Mean]
    ask_gap_h: float
    gap_h: float
    melt_h: float


def shared_owner(runs: int = RUNS) -> SharedOwner:
    """The single pot with its buyers: half of the load each."""
    gap_h, ask_gap_h = 2.0 * GAP_H, 2.0 * SALE_H / LOAD
    few, many = BUCKETS // 2, round(BUCKETS / 2 * gap_h / ask_gap_h)
    pot = Pot(owner={"priority": ["serve", "melt", "fetch"]}, stock={"hard": "100000 kg"})
    workshop = pot.workshop(2 * DAYS)
    kinds = np.full(few, pot.nearest(MEAN_MELT_H))
    waited: tuple[list[Any], list[Any]] = ([], [])
    gaps: tuple[list[Any], list[Any]] = ([], [])
    for run in range(runs):
        draw = Draw(SEED, run).within("buyers first")
        gap = -gap_h * np.log1p(-draw.uniform("buckets", few))
        ask = -ask_gap_h * np.log1p(-draw.uniform("buyers", many))
        ready_h = np.cumsum(gap)
        played = workshop.play(pot.world(workshop, ready_h, kinds, np.cumsum(ask), SALE_H))
        settled_h, last_h = UNCOUNTED / 2 * gap_h, min(ready_h[-1], ask.sum())
        bucket_h = waits_h(played, ready_h, few)[(ready_h > settled_h) & (ready_h < last_h)]
        asked = [(sale.t_h - sale.waited_h, sale.waited_h - SALE_H) for sale in played.sales]
        buyer_h = [wait for at_h, wait in asked if settled_h < at_h < last_h]
        for i, (wait, drawn, mean_h) in enumerate(((buyer_h, ask, ask_gap_h), (bucket_h, gap, gap_h))):
            waited[i].append(fmean(wait))
            gaps[i].append(drawn.mean() - mean_h)
    controls = [np.array(one) for one in gaps]
    both = mean_of(waited[0], controls), mean_of(waited[1], controls)
    return SharedOwner(both, ask_gap_h, gap_h, float(pot.melt_h[pot.nearest(MEAN_MELT_H)]))


def cobham_h(first: tuple[float, float], second: tuple[float, float]) -> tuple[float, float]:
    """Mean waits of two classes, (gap, service) each [h], the first served first, nobody interrupted."""
    under_way = sum(service**2 / gap / 2.0 for gap, service in (first, second))
    left = 1.0 - first[1] / first[0]
    all_left = left - second[1] / second[0]
    return under_way / left, under_way / left / all_left
