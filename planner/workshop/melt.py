"""Melting sessions: set up, one pot after another while they fit, clean up.

In: the floor and the time left. Out: a step, or what keeps the burner off. Must not know: other tasks.

The heat balance and the course of a melt are in planner.trade; here is who decides, when, and what becomes of it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import floor as whole
from typing import Final

from planner.trade.alloys import tin_to_blend_kg
from planner.trade.heat import HourRow
from planner.trade.melting import Melt, melt
from planner.trade.metals import ZINCED_SHARE
from planner.trade.pot import Contents, Portion
from planner.workshop.floor import Batch, Floor, Held, Step
from planner.workshop.premises import kit_of
from planner.workshop.result import MeltRow
from planner.world.parts import Alloy

CHANGED_BELOW_SHARE: Final = 0.75
"""A cylinder less full than this is changed for a full one where it alone keeps a melt from being lit (assumed)."""
PILES: tuple[Alloy, ...] = ("hard", "soft", "mixed")


@dataclass(slots=True)
class Session:
    """Melts planned for this stretch of time, in order."""

    start_h: float
    lit_h: float
    end_h: float
    melts: list[tuple[Alloy, Melt]] = field(default_factory=list)
    piles: dict[Alloy, list[tuple[Portion, float]]] = field(default_factory=dict)


def next_step(f: Floor, t_h: float, until_h: float) -> Step | Held | None:
    """Light up, if there is something to melt, time, light and weather."""
    m = f.business.melting
    if not m.on or t_h >= f.stopped_h:
        return None
    held = _held(f, t_h)
    if held is not None:
        return held
    session = _session(f, t_h, until_h)
    if isinstance(session, Held):
        return session
    helped = f.helped(t_h)

    def done() -> None:
        _finished(f, session, helped)

    return Step(session.end_h, "melting", done)


def _held(f: Floor, t_h: float) -> Held | None:
    """What keeps the burner off before any plan is made."""
    m = f.business.melting
    for refusal in f.known.refusals:
        if refusal.limit in ("place", "stand"):
            return Held(refusal.limit)
    if f.ingot_total_kg() - sum(order.mass_kg for order in f.orders) >= m.stop_above_kg:
        return Held("buyers")
    if not any(f.piles[alloy] for alloy in PILES) and not _frozen(f, f.contents):
        return Held("supply")
    if f.weekday(t_h) not in m.days:
        return Held("hours")
    if not f.spells.good_at(t_h):
        return Held("weather", f.spells.next_good_h(t_h))
    if f.spendable() < m.fuel_price_per_kg:
        return Held("cash")
    return None


def _session(f: Floor, t_h: float, until_h: float) -> Session | Held:
    """Plan pot after pot on this hour's weather, and play each on the weather that comes."""
    m = f.business.melting
    lit_h = t_h + m.set_up_min / 60.0
    clean_h = m.clean_up_min / 60.0
    last_h = until_h - clean_h
    if not m.light:
        day = whole(t_h / 24.0 + 1e-9)
        rise, sets = (24.0 * day + float(a[day]) for a in (f.world.sunrise_h, f.world.sunset_h))
        if lit_h < rise:
            return Held("daylight", rise - m.set_up_min / 60.0)
        last_h = min(last_h, sets)
    kit = kit_of(f.business, f.known, f.tables, f.hands(f.helped(t_h)))
    air, wind = f.weather()
    full_kg = m.cylinder.content_kg * m.cylinder.number
    if f.cylinder_kg < m.cylinder.swap_below_share * full_kg:
        f.cylinder_kg = full_kg
    table = kit.table

    def hours(i: int) -> HourRow:
        i = min(i, len(air) - 1)
        return table.hour(air[i], wind[i], f.cylinder_kg / full_kg)

    session = Session(t_h, lit_h, lit_h, piles={alloy: list(pile) for alloy, pile in f.piles.items()})
    contents, alloy_in = f.contents, f.pot_alloy
    breaks = f.spells.next_bad_h(lit_h) if f.spells.good_at(lit_h) else lit_h
    now, why, cast_kg = lit_h, "hours", 0.0
    while True:
        alloy = _next_alloy(f, session, alloy_in, contents, t_h)
        if alloy is None:
            why = "wet" if any(session.piles.values()) else "supply"
            break
        ready = [p for p, dry in session.piles[alloy] if dry <= t_h]
        overheats = _overheats(f, now)
        args = (
            kit,
            hours,
            ready,
            contents,
            air[min(whole(now), len(air) - 1)],
            now,
            last_h,
            breaks,
            overheats,
        )
        got = melt(*args)
        if isinstance(got, str) and f.cylinder_kg < CHANGED_BELOW_SHARE * full_kg:
            f.cylinder_kg = full_kg
            got = melt(*args)
        if isinstance(got, str):
            why = got
            break
        session.melts.append((alloy, got))
        _use(session, alloy, got)
        contents, now = got.contents, got.end_h
        alloy_in = alloy if contents.lead_kg > 0 else None
        cast_kg += got.poured_kg
        stock = f.ingot_total_kg() + cast_kg - sum(order.mass_kg for order in f.orders)
        if got.cause or stock >= m.stop_above_kg:
            break
    if not session.melts:
        return Held({"heat": "burner"}.get(why, why))
    session.end_h = now + clean_h
    return session


def _frozen(f: Floor, contents: Contents) -> bool:
    """Is there more in the pot than a heel: a melt that was broken off?"""
    more = contents.lead_kg - f.business.melting.heel_kg * f.business.melting.pots
    return contents.mass_kg - contents.lead_kg > 1e-9 or more > f.business.melting.least_lead_kg


def _next_alloy(
    f: Floor, session: Session, in_pot: Alloy | None, contents: Contents, t_h: float
) -> Alloy | None:
    """Which pile next: what is in the pot goes on; else what buyers wait for; else the largest pile that is dry."""
    dry = {
        alloy: sum(p.mass_kg * p.lead_share for p, dry_h in pile if dry_h <= t_h)
        for alloy, pile in session.piles.items()
    }
    if in_pot in dry and (dry[in_pot] > 0 or _frozen(f, contents)):
        return in_pot
    waited: dict[Alloy, float] = {}
    for order in f.orders:
        for alloy, _ in order.choices[:1]:
            waited[alloy] = waited.get(alloy, 0.0) + order.mass_kg
    found = [alloy for alloy in PILES if dry[alloy] > 0]
    if not found:
        return None
    return max(found, key=lambda a: (min(waited.get(a, 0.0), dry[a]), dry[a]))


def _overheats(f: Floor, t_h: float) -> bool:
    """Would a cold start without a heel overheat the bottom today?"""
    m = f.business.melting
    if m.thermometer or m.burner.power_w < m.zinc.strong_w:
        return False
    day = min(whole(t_h / 24.0), f.world.horizon.days - 1)
    return bool(f.world.marks.overheated[day] < m.zinc.overheats_share)


def _use(session: Session, alloy: Alloy, got: Melt) -> None:
    """Take what went into the pot off the session's pile."""
    pile = session.piles[alloy]
    for key, kg in got.used:
        left = kg
        for i, (portion, dry_h) in enumerate(pile):
            if portion.key != key or left <= 1e-9:
                continue
            part = min(left, portion.mass_kg)
            pile[i] = (portion._replace(mass_kg=portion.mass_kg - part), dry_h)
            left -= part
    session.piles[alloy] = [(p, dry_h) for p, dry_h in pile if p.mass_kg > 1e-9]


def _finished(f: Floor, session: Session, helped: bool) -> None:
    """What becomes of a session: hours, fuel, ingots, clips, dross, the pot."""
    f.spend_time(session.start_h, session.lit_h, "setting up", helped)
    for alloy, got in session.melts:
        _cast(f, alloy, got, helped)
    f.piles = session.piles
    lit_end = session.melts[-1][1].end_h
    f.spend_time(lit_end, session.end_h, "cleaning up", helped)
    f.costs(session.end_h, "session")


def _cast(f: Floor, alloy: Alloy, got: Melt, helped: bool) -> None:
    b = f.business
    number = f.next_melt
    f.next_melt += 1
    f.spend_time(got.t_h, got.end_h, "melting", helped)
    f.cylinder_kg = max(0.0, f.cylinder_kg - got.fuel_kg / b.melting.pots)
    f.book(
        got.end_h, "propane", -got.fuel_kg * b.melting.fuel_price_per_kg, f"{got.fuel_kg:.2f} kg", melt=number
    )
    f.costs(got.end_h, "melt", melt=number)
    mixed_with = f.pot_alloy if f.pot_alloy is not None and f.contents.lead_kg > 1.0 else alloy
    made: Alloy = alloy if mixed_with == alloy else "mixed"
    cost = f.pot_cost + sum(kg * f.lot_cost[key] for key, kg in got.used)
    left = got.contents.lead_kg
    poured_share = got.poured_kg / (got.poured_kg + left) if got.poured_kg + left > 0 else 0.0
    poured_cost = cost * poured_share
    f.pot_cost = cost - poured_cost
    f.contents, f.pot_alloy = got.contents, made if left > 0 else None
    f.goods["clips"] += got.clip_kg + got.zinc_kg + got.steel_kg
    f.rubbish_kg += got.rubbish_kg
    f.goods["dross"] += got.dross_kg
    mass, tin_share, poured_cost = _blend(f, made, got.poured_kg, poured_cost)
    zinced = got.zinc_share > ZINCED_SHARE
    sold_as: Alloy = "zinced" if zinced and b.melting.zinc.noticed else made
    if mass > 1e-9:
        f.cast(sold_as, Batch(number, mass, poured_cost / mass, got.end_h, tin_share, zinced))
        f.costs(got.end_h, "ingot kg", mass, melt=number)
    air, wind = f.weather()
    at = min(whole(got.t_h), len(air) - 1)
    f.run.melts.append(
        MeltRow(
            number, got.t_h, got.end_h, sold_as, tuple(got.used), got.loads, sum(kg for _, kg in got.used), mass,
            got.dross_kg, got.clip_kg, got.zinc_kg, got.steel_kg, got.rubbish_kg, got.contents.mass_kg,
            got.zinc_share, zinced, tin_share, got.fuel_kg, got.lit_h, got.heating_h, got.handling_h, got.useful_j,
            poured_cost, air[at], wind[at], got.cause,
        )
    )  # fmt: skip
    for t_h, what in got.steps:
        f.note(t_h, what, "", f"air {air[at]:.0f} degC, wind {wind[at]:.1f} m/s", melt=number)
    if zinced:
        seen = "noticed, sold as such" if sold_as == "zinced" else "not noticed"
        f.note(got.end_h, "zinced", "", f"zinc {100 * got.zinc_share:.2f} %: {seen}", melt=number)


def _blend(f: Floor, alloy: Alloy, mass_kg: float, cost: float) -> tuple[float, float, float]:
    """Pewter into hard or mixed ingots, as far as it reaches: mass [kg], tin share, cost."""
    pewter = f.business.pewter
    if pewter.use != "blended" or alloy == "soft" or f.pewter_kg <= 1e-9 or mass_kg <= 0:
        return mass_kg, 0.0, cost
    tin_in_pewter = f.tin_kg / f.pewter_kg
    if tin_in_pewter <= pewter.blend_share:
        return mass_kg, 0.0, cost
    kg = min(f.pewter_kg, tin_to_blend_kg(mass_kg, 0.0, pewter.blend_share, tin_in_pewter))
    share = kg / f.pewter_kg
    tin = f.tin_kg * share
    cost += f.pewter_cost * share
    f.pewter_cost *= 1.0 - share
    f.tin_kg -= tin
    f.pewter_kg -= kg
    f.pewter_in_kg += kg
    return mass_kg + kg, tin / (mass_kg + kg), cost
