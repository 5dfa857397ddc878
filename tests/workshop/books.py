"""Plays a run and audits it: what must hold in every run whatever the business and the world."""

from __future__ import annotations

from collections import Counter, defaultdict
from datetime import date
from itertools import pairwise
from math import ceil, isfinite, nan

import numpy as np
import pytest

from planner.scenario.business import Business
from planner.scenario.clock import days_of
from planner.trade.lifting import recommended_weight_kg
from planner.trade.ways import WAYS
from planner.workshop.calendar import Others, Week, WorkingDays, windows
from planner.workshop.crew import lifts_of
from planner.workshop.fetch import UNFETCHED
from planner.workshop.measures import MEASURES
from planner.workshop.play import play
from planner.workshop.premises import StartUp
from planner.workshop.result import Entry, Run, TripRow
from planner.world.parts import World
from tests.small import Asking, tables, world
from tests.workshop.goods import goods_are_sold_once, lowest_cash_is_that_of_the_ledger, tin_is_sold_once

NEAR = 1e-6
MAY_BE_NAN = {"profit_per_hour", "useful_share"}


def played(
    business: Business,
    in_world: World | None = None,
    pricing: Asking | None = None,
    start_up: StartUp | None = None,
) -> Run:
    """One run, audited."""
    of = world(business) if in_world is None else in_world
    run = play(business, of, pricing or Asking(), start_up, tables())
    audit(run, business, of)
    return run


def audit(run: Run, business: Business, of: World) -> None:
    """Everything that must hold in any run."""
    mass(run)
    nothing_negative(run)
    metal_is_sold_once(run, of)
    lots_are_used_once(run, of)
    goods_are_sold_once(run, of)
    tin_is_sold_once(run, of)
    lowest_cash_is_that_of_the_ledger(run)
    money(run, business)
    nothing_is_bought_without_cash(run, business)
    what_is_owed_is_paid_once(run, of)
    hours(run, business, of)
    lifting_and_payload(run, business, of)
    the_stand(run, business)
    for measure in MEASURES:
        value = run.measures[measure.name]
        assert isfinite(value) or measure.name in MAY_BE_NAN, measure.name


def mass(run: Run) -> None:
    """Mass in is found again, in all and by part."""
    balance = run.balance
    assert balance is not None
    assert balance.error_kg == pytest.approx(0.0, abs=NEAR)
    assert balance.bought_kg == pytest.approx(sum(lot.mass_kg for lot in run.lots))
    zinc_in_lead = sum(lot.zinc_kg for lot in run.lots)
    lead_in = sum(lot.hard_kg + lot.soft_kg for lot in run.lots)
    sorted_out = [
        sum(getattr(row, f"{part}_out_kg") for row in run.sorts) for part in ("zinc", "steel", "rubbish")
    ]
    for part, out in (("clip", 0.0), *zip(("zinc", "steel", "rubbish"), sorted_out, strict=True)):
        skimmed = sum(getattr(melt, f"{part}_kg") for melt in run.melts)
        assert out + skimmed <= sum(getattr(lot, f"{part}_kg") for lot in run.lots) + NEAR, part
    made = sum(melt.poured_kg + melt.dross_kg for melt in run.melts) - balance.pewter_kg
    assert made <= lead_in + zinc_in_lead + NEAR


def nothing_negative(run: Run) -> None:
    """No mass, stock, duration or distance below zero."""
    assert run.balance is not None
    assert min(run.balance) >= -NEAR
    for rows in (run.lots, run.sorts, run.melts, run.sales, run.trips, run.lost):
        for row in rows:
            for name, value in row._asdict().items():
                if isinstance(value, float) and name.rpartition("_")[2] in (
                    "kg",
                    "h",
                    "km",
                    "money",
                    "share",
                ):
                    assert value >= -NEAR, (name, row)
                    assert isfinite(value), (name, row)


def metal_is_sold_once(run: Run, of: World) -> None:
    """Of each melt no more is sold than was poured; all that was poured is sold, at the yard, or in stock."""
    balance = run.balance
    assert balance is not None
    gone: dict[int, float] = defaultdict(float)
    for sale in run.sales:
        assert sum(kg for _, kg in sale.melts) == pytest.approx(sale.mass_kg)
        for melt, kg in sale.melts:
            gone[melt] += kg
    for entry in run.ledger:
        if entry.kind == "yard: lead":
            good = entry.note.rpartition(" ")[2]
            gone[entry.melt] += entry.amount / of.rates.per_kg[good][_day(entry.t_h, of)]
    poured = {melt.melt: melt.poured_kg for melt in run.melts} | {0: balance.opening_kg}
    for melt, kg in gone.items():
        assert kg <= poured[melt] + NEAR, melt
    assert sum(poured.values()) - sum(gone.values()) == pytest.approx(balance.ingots_kg, abs=1e-5)


def lots_are_used_once(run: Run, of: World) -> None:
    """Of each lot no more is sorted out, melted and sold untouched than it held."""
    balance = run.balance
    assert balance is not None
    used: dict[int, float] = defaultdict(float)
    for row in run.sorts:
        used[row.lot] += row.zinc_out_kg + row.steel_out_kg + row.rubbish_out_kg
    for melt in run.melts:
        assert sum(kg for _, kg in melt.lots) == pytest.approx(melt.charged_kg)
        for lot, kg in melt.lots:
            used[lot] += kg
    for entry in run.ledger:
        if entry.kind == "yard: weights":
            used[entry.lot] += entry.amount / of.rates.per_kg["weights"][_day(entry.t_h, of)]
    held = {lot.lot: lot.mass_kg for lot in run.lots}
    for lot, kg in used.items():
        assert kg <= held[lot] + NEAR, lot
    assert sum(held.values()) - sum(used.values()) == pytest.approx(balance.lots_kg, abs=1e-5)


def money(run: Run, business: Business) -> None:
    """The ledger agrees with the rows, and the measures with the ledger."""
    times = [entry.t_h for entry in run.ledger]
    assert times == sorted(times)
    private = sum(sale.money for sale in run.sales if sale.channel == "private")
    assert _booked(run, "sales: private") == pytest.approx(private)
    assert _booked(run, "sales: tin") == pytest.approx(sum(sale.tin_money for sale in run.sales))
    paid = {entry.lot: entry.amount for entry in run.ledger if entry.kind == "weights"}
    for lot in run.lots:
        if lot.source != "opening stock":
            assert paid.get(lot.lot, 0.0) == pytest.approx(-lot.cost)
    burnt = {entry.melt: entry.amount for entry in run.ledger if entry.kind == "propane"}
    for melt in run.melts:
        assert burnt.get(melt.melt, 0.0) == pytest.approx(-melt.fuel_kg * business.melting.fuel_price_per_kg)
    driven = sum(trip.km for trip in run.trips)
    assert _booked(run, "driving") == pytest.approx(-driven * business.vehicle.cost_per_km)
    years = max(1.0, run.days / 365.0)
    change = sum(entry.amount for entry in run.ledger)
    assert run.measures["profit"] * years == pytest.approx(change + run.measures["stock_change"] * years)


def nothing_is_bought_without_cash(run: Run, business: Business) -> None:
    """A trip, a session at the pot, a find of pewter leave the reserve alone (months may fall due meanwhile)."""
    monthly = {cost.name for cost in business.costs if cost.per in ("month", "session", "melt", "ingot kg")}
    monthly.add(UNFETCHED)
    spans = [(trip.t_h, trip.end_h) for trip in run.trips if trip.kind == "shops"]
    begun = nan
    for row in run.hours:
        if row.who == "owner" and row.what == "setting up":
            begun = row.t_h
        if row.who == "owner" and row.what == "cleaning up":
            spans.append((begun, row.end_h))
    spans += [(entry.t_h, entry.t_h) for entry in run.ledger if entry.kind == "pewter"]
    for start_h, end_h in spans:
        buying = [entry for entry in run.ledger if start_h - NEAR <= entry.t_h <= end_h + NEAR]
        spent = [entry for entry in buying if entry.kind in ("weights", "propane", "pewter")]
        if spent:
            until = max(run.ledger.index(entry) for entry in spent)
            left = run.opening_cash + sum(entry.amount for entry in run.ledger[: until + 1])
            excused = sum(
                e.amount for e in buying if e.kind in monthly or (e.kind == "wages" and e.t_h >= start_h)
            )
            assert left - excused >= business.cash.reserve - NEAR, spent


def what_is_owed_is_paid_once(run: Run, of: World) -> None:
    """Of each bucket owed by contract that has waited its time: it is home, or it was paid for then, never both."""
    expected = []
    for shop in (shop for supply in of.supplies for shop in supply.shops):
        home = Counter(lot.mass_kg for lot in run.lots if lot.source == shop.name)
        owed = np.zeros(shop.ready_h.size) if shop.owed is None else shop.owed
        due_h = shop.ready_h + shop.gone_after_h
        for mass_kg, amount, when_h in zip(shop.mass_kg.tolist(), owed.tolist(), due_h.tolist(), strict=True):
            if home[mass_kg]:
                home[mass_kg] -= 1
            elif amount > 0.0 and when_h < of.horizon.hours:
                expected.append((when_h, -amount))
    assert sorted((entry.t_h, entry.amount) for entry in entries(run, UNFETCHED)) == sorted(expected)


def own_hours(business: Business) -> tuple[Week, frozenset[date], Others]:
    """When the owner is free: by weekday, days off, days with hours of their own."""
    owner = business.owner
    return owner.hours, days_of(owner.holidays), owner.other_hours


def hours(run: Run, business: Business, of: World) -> None:
    """The owner does one thing at a time, in free hours only; the helper only with the owner."""
    free = windows(of.horizon, *own_hours(business))
    mine = sorted((row.t_h, row.end_h) for row in run.hours if row.who == "owner")
    for (_, end), (start, _) in pairwise(mine):
        assert start >= end - NEAR
    for start, end in mine:
        assert start < end
        assert any(a - NEAR <= start and end <= b + NEAR for a, b in free), (start, end)
    assert {(row.t_h, row.end_h) for row in run.hours if row.who != "owner"} <= set(mine)
    spent = sum(end - start for start, end in mine) + sum(limit.hours for limit in run.limits)
    assert spent <= sum(b - a for a, b in free) + NEAR
    wages = {"second person": business.lifting.second_wage_per_h, "owner": 0.0}
    wages["helper"] = business.helper.wage_per_h if business.helper is not None else nan
    due = sum((row.end_h - row.t_h) * wages[row.who] for row in run.hours)
    assert _booked(run, "wages") == pytest.approx(-due)
    years = max(1.0, run.days / 365.0)
    paid_h = sum(row.end_h - row.t_h for row in run.hours if row.who != "owner")
    assert run.measures["helper_hours_h"] * years == pytest.approx(paid_h)


def lifting_and_payload(run: Run, business: Business, of: World) -> None:
    """No lift above the limit, no more lifts in a working day than allowed, no load above the rating, whoever helps."""
    helped, second = (
        {(row.t_h, row.end_h) for row in run.hours if row.who == who} for who in ("helper", "second person")
    )
    recommended_kg = min(recommended_weight_kg(lift) for lift in lifts_of(business.lifting))
    a_day: dict[int, int] = defaultdict(int)
    working = WorkingDays(of.horizon, *own_hours(business))
    for trip in run.trips:
        when = (trip.t_h, trip.end_h)
        way, carried_share, hired = _hands(business, when in helped)
        assert trip.way == way
        assert (when in second) == hired
        portions = _portions_kg(run, business, trip, when in helped)
        assert trip.lifts == 2 * len(portions)
        assert trip.lifting_index == pytest.approx(max(portions) * carried_share / recommended_kg)
        assert trip.lifting_index <= business.lifting.limit_index + NEAR
        _payload(business, trip, (when in helped) + (when in second))
        a_day[working.day(trip.t_h)] += trip.lifts
    assert max(a_day.values(), default=0) <= business.lifting.most_a_day


def _hands(business: Business, helped: bool) -> tuple[str, float, bool]:
    """How it is lifted, the share on the owner's hands, and whether somebody is paid to come along."""
    lifting, helper = business.lifting, business.helper
    own = lifting.carried_share
    share = WAYS[lifting.method].carried_share if own is None else own
    by_two = helped and helper is not None and helper.lifts
    hired = lifting.method == "two people" and not by_two
    if by_two and helper is not None and helper.lift_share < share:
        return "two people", helper.lift_share, hired
    return lifting.method, share, hired


def _portions_kg(run: Run, business: Business, trip: TripRow, helped: bool) -> list[float]:
    """What was lifted at once: buckets in equal portions; ingots and goods likewise."""
    most = business.lifting.portion_kg
    if trip.kind != "shops":
        count = trip.lifts // 2
        assert most is None or trip.mass_kg / count <= most + NEAR
        return [trip.mass_kg / count] * count
    helper = business.helper
    if helped and helper is not None and helper.lifts and helper.portion_kg is not None:
        most = helper.portion_kg
    loaded = [lot.mass_kg for lot in run.lots if lot.t_h == trip.end_h and lot.source != "opening stock"]
    assert sum(loaded) == pytest.approx(trip.mass_kg)
    found = []
    for mass_kg in loaded:
        count = 1 if most is None else max(1, ceil(mass_kg / most - 1e-9))
        found += [mass_kg / count] * count
    return found


def _payload(business: Business, trip: TripRow, along: int) -> None:
    """The load against payload and rear axle, with so many people beside the driver."""
    v = business.vehicle
    rated_kg = v.payload_kg - v.driver_kg - 68.0 * along
    if v.rear_axle_spare_kg is not None and v.rear_share > 0:
        rated_kg = min(rated_kg, v.rear_axle_spare_kg / v.rear_share)
    beyond_share = v.overload_at_most_share if v.overload_accepted else 0.0
    assert trip.mass_kg <= rated_kg * (1.0 + beyond_share) + NEAR
    assert trip.overloaded_share == pytest.approx(max(0.0, 1.0 - rated_kg / trip.mass_kg))


def the_stand(run: Run, business: Business) -> None:
    """No stand bears more than it is rated for, and what it bore is at least what came out of the pot."""
    m = business.melting
    for melt in run.melts:
        assert melt.on_stand_kg <= m.stand_kg + NEAR
        metal_kg = melt.poured_kg * (1.0 if melt.tin_share == 0.0 else 0.0) + melt.in_pot_kg
        assert melt.on_stand_kg >= m.pot.mass_kg + metal_kg / m.pots - NEAR


def _booked(run: Run, kind: str) -> float:
    return sum(entry.amount for entry in run.ledger if entry.kind == kind)


def _day(t_h: float, of: World) -> int:
    return min(int(t_h / 24.0 + 1e-9), of.horizon.days - 1)


def entries(run: Run, kind: str) -> list[Entry]:
    """Movements of money of one kind."""
    return [entry for entry in run.ledger if entry.kind == kind]
