"""Melting sessions: set up, one pot after another while they fit, clean up.

In: the floor and the time left. Out: a step, or what keeps the burner off. Must not know: other tasks.

The heat balance and the course of a melt are in planner.trade; here is who decides, when, and what becomes of it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import floor as whole
from math import fsum, inf
from typing import Final

from planner.trade.alloys import tin_to_blend_kg
from planner.trade.cylinder import Propane
from planner.trade.heat import HourRow
from planner.trade.loading import refused
from planner.trade.melting import melt
from planner.trade.metals import ZINCED_SHARE
from planner.trade.pot import Contents, Kit, Melt, Portion
from planner.workshop.floor import Batch, Floor, Held, Step
from planner.workshop.result import MeltRow
from planner.world.parts import Alloy

FOREIGN_SHARE: Final = 0.15
"""Metal with no more of another alloy in it than this still counts as its own (assumed)."""
CHANGED_BELOW_SHARE: Final = 0.75
"""A cylinder less full than this is changed for a full one where it alone keeps a melt from being lit (assumed)."""
BUYERS, SUPPLY, HOURS = Held("buyers"), Held("supply"), Held("hours")
PILES: Final[tuple[Alloy, ...]] = ("hard", "soft", "mixed")


Piles = dict[Alloy, list[tuple[Portion, float]]]
"""Weights by the alloy they give, with the hour at which each is dry."""
Ready = list[tuple[Alloy, list[Portion]]]
"""Piles in the order in which they are melted, and what of each is dry."""


@dataclass(slots=True)
class Session:
    """Melts planned for this stretch of time, in order."""

    start_h: float
    lit_h: float
    end_h: float
    cylinder_kg: float
    """Propane left."""
    melts: list[tuple[Alloy, Melt]] = field(default_factory=list)
    piles: Piles = field(default_factory=dict)


def next_step(f: Floor, t_h: float, until_h: float) -> Step | Held | None:
    """Light up, if there is something to melt, time, light and weather."""
    m = f.business.melting
    if not m.on or t_h >= f.stopped_h:
        return None
    held = _held(f, t_h)
    if held is not None:
        return held
    state = (until_h, f.next_lot, f.next_melt, len(f.run.sorts), len(f.run.ledger))
    if f.unlit is not None and f.unlit[0] == state and t_h < f.unlit[1].retry_h - 1e-9:
        return f.unlit[1]
    session = _session(f, t_h, until_h)
    if isinstance(session, Held):
        f.unlit = (state, session)
        return session
    helped = f.helped(t_h)

    def done() -> None:
        _finished(f, session, helped)

    return Step(session.end_h, "melting", done)


def _held(f: Floor, t_h: float) -> Held | None:
    """What keeps the burner off before any plan is made."""
    m = f.business.melting
    for refusal in f.known.refusals:
        if refusal.limit in ("place", "stand", "pot"):
            return Held(refusal.limit)
    if f.ingot_total_kg() - f.promised_kg() >= m.stop_above_kg:
        return BUYERS
    if not any(f.piles.values()) and not _worth_lighting(f, f.contents):
        return SUPPLY
    if not f.melts_on(t_h):
        return HOURS
    if not f.lighting.good_at(t_h):
        return Held("weather", f.lighting.next_good_h(t_h))
    if f.spendable() < m.fuel_price_per_kg:
        return Held("cash")
    return None


def _session(f: Floor, t_h: float, until_h: float) -> Session | Held:
    """Plan pot after pot on this hour's weather, and play each on the weather that comes."""
    m = f.business.melting
    lit_h = t_h + m.set_up_min / 60.0
    clean_h = m.clean_up_min / 60.0
    last_h, short = until_h - clean_h, "hours"
    if not m.light:
        day = whole(t_h / 24.0 + 1e-9)
        rise, sets = f.sun(day)
        if lit_h < rise:
            return Held("daylight", rise - m.set_up_min / 60.0)
        if sets < last_h:
            last_h, short = sets, "daylight"
    helped = f.helped(t_h)
    full_kg = m.cylinder.content_kg * m.cylinder.number
    left_kg = full_kg if f.cylinder_kg < m.cylinder.swap_below_share * full_kg else f.cylinder_kg
    session = Session(
        t_h, lit_h, lit_h, left_kg, piles={alloy: list(pile) for alloy, pile in f.piles.items()}
    )
    contents, in_pot = f.contents, f.pot_alloy
    propane, ready = _propane(f, session), _alloys(f, session.piles, t_h, in_pot, contents)
    held = _held_anyway(f, session, helped, (last_h, short), propane, ready)
    if held is not None:
        return held
    turned = not f.lasting.good_at(lit_h)
    breaks = inf if turned else f.lasting.next_bad_h(lit_h)
    now, cast_kg, why = lit_h, 0.0, ""
    while True:
        if session.melts:
            if not f.lighting.good_at(now):
                break
            propane, ready = _propane(f, session), _alloys(f, session.piles, t_h, in_pot, contents)
        found = _next_melt(f, session, helped, contents, (now, last_h, breaks), propane, ready)
        if isinstance(found, str):
            why = found
            break
        alloy, got = found
        if turned:
            why = "weather"
            break
        session.melts.append((alloy, got))
        session.cylinder_kg = max(0.0, session.cylinder_kg - got.fuel_kg / m.pots)
        _use(session, alloy, got)
        contents, now = got.contents, got.end_h
        in_pot = alloy if contents.lead_kg > 0 else None
        cast_kg += got.poured_kg
        stock = f.ingot_total_kg() + cast_kg - f.promised_kg()
        if got.cause or stock >= m.stop_above_kg:
            break
    if not session.melts and why != "weather":
        if why in ("heat", "hours", "propane", "cash"):
            return Held("cash" if why == "cash" else "weather", whole(t_h + 1e-9) + 1.0)
        return Held(why, _next_dry_h(f.piles, t_h))
    session.end_h = now + clean_h
    return session


def _held_anyway(
    f: Floor, session: Session, helped: bool, ends: tuple[float, str], propane: Propane, ready: Ready
) -> Held | None:
    """What would keep it from being lit in a still hour and with a full cylinder too; then no weather is waited for.

    ``ends``: the latest end [h], and what is short if that is too early.
    """
    t_h, lit_h, (air, _) = session.start_h, session.lit_h, f.weather()
    last_h, short = ends
    air_c = air[min(whole(lit_h), len(air) - 1)]
    still = f.kit(helped).table.hour(air_c, 0.0, 1.0)
    full = Propane(propane.full_kg, propane.full_kg, propane.paid_kg)

    def unchanged(_hour: int, _fill_share: float) -> HourRow:
        return still

    why = "supply"
    for _, dry in ready:
        own = _kit_for(f, helped, dry)
        found = refused(own, unchanged, dry, f.contents, air_c, lit_h, last_h, full)
        if not found:
            return None
        why = found if why == "supply" else why
    dries_h = _next_dry_h(f.piles, t_h)
    if why == "supply" and _any_wet(f.piles, t_h):
        why = "wet"
    return Held({"heat": "burner", "hours": short}.get(why, why), dries_h)


def _any_wet(piles: Piles, t_h: float) -> bool:
    """Does any weight wait to be dry?"""
    return any(dry_h > t_h for pile in piles.values() for _, dry_h in pile)


def _next_dry_h(piles: Piles, t_h: float) -> float:
    """When the next wet weights will be dry [h]; infinite if there are none, or never."""
    return min([dry_h for pile in piles.values() for _, dry_h in pile if dry_h > t_h], default=inf)


def _next_melt(
    f: Floor,
    session: Session,
    helped: bool,
    contents: Contents,
    times_h: tuple[float, float, float],
    propane: Propane,
    ready: Ready,
) -> tuple[Alloy, Melt] | str:
    """The next pot: of the first pile that has enough for one. ``times_h``: now, latest end, weather breaks it off."""
    now, last_h, breaks = times_h
    air, wind = f.weather()
    last, hour = len(air) - 1, f.kit(helped).table.hour

    def hours(i: int, fill_share: float) -> HourRow:
        at = i if i < last else last
        return hour(air[at], wind[at], fill_share)

    air_c, overheats = air[min(whole(now), len(air) - 1)], _overheats(f, now)
    why = "supply"
    for alloy, dry in ready:
        own = _kit_for(f, helped, dry)
        got = melt(own, hours, dry, contents, air_c, now, last_h, breaks, overheats, propane)
        if _too_empty(got, propane):
            session.cylinder_kg = propane.full_kg
            propane = _propane(f, session)
            got = melt(own, hours, dry, contents, air_c, now, last_h, breaks, overheats, propane)
        if not isinstance(got, str):
            return alloy, got
        why = got
        if why != "supply":
            return why
    return "wet" if _any_wet(session.piles, session.start_h) else why


def _too_empty(got: Melt | str, propane: Propane) -> bool:
    """Are the cylinders changed for full ones before lighting, because what is left keeps the melt off or small?"""
    if not isinstance(got, str):
        return got.short_of_propane and propane.left_kg < propane.full_kg
    if got == "propane":
        return propane.left_kg < propane.full_kg
    return got in ("heat", "hours") and propane.left_kg < CHANGED_BELOW_SHARE * propane.full_kg


def _propane(f: Floor, session: Session) -> Propane:
    """What one pot may burn now: from its cylinders, as far as the cash pays for it."""
    m = f.business.melting
    price = m.fuel_price_per_kg * m.pots
    burnt = fsum([got.fuel_kg for _, got in session.melts]) * m.fuel_price_per_kg
    paid_kg = max(0.0, f.spendable() - burnt) / price if price > 0 else inf
    return Propane(session.cylinder_kg, m.cylinder.content_kg * m.cylinder.number, paid_kg)


def _kit_for(f: Floor, helped: bool, dry: list[Portion]) -> Kit:
    """The kit for one pile: where alloys are kept apart, a heel is left only if more of the same will follow it."""
    kit, sorting = f.kit(helped), f.business.sorting
    if not (sorting.on and sorting.apart and kit.heel_kg > 0):
        return kit
    after_kg = fsum(p.mass_kg * p.lead_share for p in dry) - kit.lead_at_most_kg * kit.pots
    return kit if after_kg >= kit.least_lead_kg else f.kit(helped, heel=False)


def _worth_lighting(f: Floor, contents: Contents) -> bool:
    """Was so much left in the pot by a melt that was broken off?"""
    m = f.business.melting
    return contents.worth_lighting(m.heel_kg * m.pots, m.least_lead_kg)


def _alloys(f: Floor, piles: Piles, t_h: float, in_pot: Alloy | None, contents: Contents) -> Ready:
    """Piles in order, and what of each is dry: what is in the pot goes on; then what buyers wait for; then the largest.

    What is in the pot comes first even without more of it, if it is worth lighting alone.
    """
    dry = {
        alloy: [portion for portion, dry_h in pile if dry_h <= t_h] for alloy, pile in piles.items() if pile
    }
    lead_kg = {alloy: fsum([p.mass_kg * p.lead_share for p in portions]) for alloy, portions in dry.items()}
    found = [alloy for alloy in PILES if lead_kg.get(alloy, 0.0) > 0]
    if len(found) > 1:
        waited: dict[Alloy, float] = {}
        for order in f.orders:
            first = order.choices[0][0]
            waited[first] = waited.get(first, 0.0) + order.mass_kg
        found.sort(key=lambda a: (a == in_pot, min(waited.get(a, 0.0), lead_kg[a]), lead_kg[a]), reverse=True)
    if in_pot in PILES and in_pot not in found and _worth_lighting(f, contents):
        found.insert(0, in_pot)
    return [(alloy, dry.get(alloy, [])) for alloy in found]


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
            pile[i] = (portion.less(part), dry_h)
            left -= part
    session.piles[alloy] = [(p, dry_h) for p, dry_h in pile if p.mass_kg > 1e-9]


def _finished(f: Floor, session: Session, helped: bool) -> None:
    """What becomes of a session: hours, fuel, ingots, clips, dross, the pot."""
    f.spend_time(session.start_h, session.lit_h, "setting up", helped)
    if not session.melts:
        f.note(session.lit_h, "not lit", "", "the weather turned while setting up")
    for alloy, got in session.melts:
        _cast(f, alloy, got, helped)
    f.piles = session.piles
    f.cylinder_kg = session.cylinder_kg
    cooled_h = session.melts[-1][1].end_h if session.melts else session.lit_h
    f.spend_time(cooled_h, session.end_h, "cleaning up", helped)
    f.costs(session.end_h, "session")


def _cast(f: Floor, alloy: Alloy, got: Melt, helped: bool) -> None:
    b = f.business
    number = f.next_melt
    f.next_melt += 1
    f.spend_time(got.t_h, got.end_h, "melting", helped)
    f.book(
        got.end_h, "propane", -got.fuel_kg * b.melting.fuel_price_per_kg, f"{got.fuel_kg:.2f} kg", melt=number
    )
    f.costs(got.end_h, "melt", melt=number)
    made = _made(f, alloy, got)
    cost = f.pot_cost + fsum(kg * f.lot_cost[key] for key, kg in got.used)
    left = got.contents.lead_kg
    on_stand = b.melting.pot.mass_kg + max(got.heaviest_kg, f.contents.mass_kg / b.melting.pots)
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
            number, got.t_h, got.end_h, sold_as, tuple(got.used), got.loads, fsum(kg for _, kg in got.used), mass,
            got.dross_kg, got.clip_kg, got.zinc_kg, got.steel_kg, got.rubbish_kg, got.contents.mass_kg, on_stand,
            got.zinc_share, zinced, tin_share, got.fuel_kg, got.lit_h, got.heating_h, got.handling_h, got.useful_j,
            poured_cost, air[at], wind[at], got.cause,
        )
    )  # fmt: skip
    if f.diary:
        weather = f"air {air[at]:.0f} degC, wind {wind[at]:.1f} m/s"
        for t_h, what in got.steps:
            f.note(t_h, what, "", weather, melt=number)
    if zinced:
        seen = "noticed, sold as such" if sold_as == "zinced" else "not noticed"
        f.note(got.end_h, "zinced", "", f"zinc {100 * got.zinc_share:.2f} %: {seen}", melt=number)


def _made(f: Floor, alloy: Alloy, got: Melt) -> Alloy:
    """The alloy that a pile gives on top of what was in the pot, and what the pot then holds."""
    before_kg = f.contents.lead_kg
    all_kg = got.poured_kg + got.dross_kg + got.contents.lead_kg
    mix = {pile: share * before_kg for pile, share in f.pot_mix.items()}
    mix[alloy] = mix.get(alloy, 0.0) + max(0.0, all_kg - before_kg)
    total = fsum(mix.values())
    f.pot_mix = {pile: kg / total for pile, kg in mix.items()} if total > 0 else {}
    most = max(f.pot_mix, key=lambda pile: f.pot_mix[pile], default=alloy)
    return most if f.pot_mix.get(most, 1.0) >= 1.0 - FOREIGN_SHARE else "mixed"


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
