"""Sorting by hand: zinc, steel and rubbish out, stick-on weights apart; some of it is missed.

In: the floor and the time left. Out: a step, or why nothing is sorted. Must not know: other tasks.
"""

from __future__ import annotations

from math import fsum
from typing import Final

import numpy as np

from planner.trade.pot import Portion
from planner.workshop.floor import Floor, Held, Lot, Step
from planner.workshop.result import SortRow
from planner.world.parts import Alloy

LEAST_H: Final = 0.25
"""Nobody sits down to sort for less (assumed)."""
HARD, CLIP, SOFT, ZINC, STEEL, RUBBISH = range(6)


def next_step(f: Floor, t_h: float, until_h: float) -> Step | Held | None:
    """Sort the oldest lot as far as time allows, if weights are wanted for the pot."""
    sorting = f.business.sorting
    if not sorting.on or not f.business.melting.on or t_h >= f.stopped_h:
        return None
    if not f.raw:
        return Held("supply")
    ready = fsum(p.mass_kg for pile in f.piles.values() for p, _ in pile)
    if ready >= sorting.ahead_kg or f.ingot_total_kg() >= f.business.melting.stop_above_kg:
        return Held("buyers")
    lot = f.raw[0]
    helped = f.helped(t_h)
    rate = sorting.rate_kg_per_h * f.hands(helped)
    need_h = lot.mass_kg / rate
    hours = min(need_h, until_h - t_h)
    if hours < min(LEAST_H, need_h) - 1e-9:
        return Held("hours")
    kg = lot.mass_kg if hours >= need_h - 1e-12 else hours * rate

    def done() -> None:
        f.spend_time(t_h, t_h + hours, "sorting", helped)
        _sorted(f, lot, kg, t_h, t_h + hours)

    return Step(t_h + hours, "sorting", done)


def _sorted(f: Floor, lot: Lot, kg: float, start_h: float, end_h: float) -> None:
    """Part a lot into piles; what is missed stays with it."""
    missed = float(f.business.sorting.missed_share.from_uniform(np.array([lot.missed_u]))[0])
    s = lot.shares
    zinc, steel, rubbish = (kg * s[i] * (1.0 - missed) for i in (ZINC, STEEL, RUBBISH))
    f.goods["zinc"] += zinc
    f.goods["steel"] += steel
    f.rubbish_kg += rubbish
    lead = s[HARD] + s[SOFT]
    for alloy, lead_share, clip in _heaps(f, lot):
        part = lead_share / lead if lead > 0 else 1.0
        masses = (
            kg * lead_share,
            kg * clip,
            kg * s[ZINC] * missed * part,
            kg * s[STEEL] * missed * part,
            kg * s[RUBBISH] * missed * part,
        )
        add(f, alloy, lot, masses)
    lot.mass_kg -= kg
    if lot.mass_kg <= 1e-9:
        f.raw.remove(lot)
    f.run.sorts.append(SortRow(start_h, end_h, lot.lot, kg, zinc, steel, rubbish))
    f.note(end_h, "sorted", "", f"{kg:.1f} kg: zinc {zinc:.1f}, steel {steel:.1f} kg out", lot.lot)


def _heaps(f: Floor, lot: Lot) -> list[tuple[Alloy, float, float]]:
    """Heaps that a lot is parted into: alloy, lead share, clip share of the lot."""
    s = lot.shares
    if not f.business.sorting.apart:
        return [("mixed", s[HARD] + s[SOFT], s[CLIP])]
    heaps: list[tuple[Alloy, float, float]] = [("hard", s[HARD], s[CLIP]), ("soft", s[SOFT], 0.0)]
    return [heap for heap in heaps if heap[1] + heap[2] > 0] or [("hard", s[HARD], s[CLIP])]


def add(f: Floor, alloy: Alloy, lot: Lot, masses: tuple[float, float, float, float, float]) -> None:
    """Put lead, clip, zinc, steel and rubbish [kg] of a lot on a pile."""
    total = fsum(masses)
    if total <= 1e-9:
        return
    lead, clip, zinc, steel, rubbish = (m / total for m in masses)
    f.piles[alloy].append((Portion(lot.lot, total, lead, clip, zinc, steel, rubbish), lot.dry_h))


def unsorted(f: Floor, lot: Lot) -> None:
    """A lot that goes into the pot as it came."""
    s, kg = lot.shares, lot.mass_kg
    add(
        f,
        "mixed",
        lot,
        (kg * (s[HARD] + s[SOFT]), kg * s[CLIP], kg * s[ZINC], kg * s[STEEL], kg * s[RUBBISH]),
    )
