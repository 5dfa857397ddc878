"""The figures of a run: one table that names them, one function that sums them up.

In: a finished floor. Out: numbers by name. Must not know: other runs.

Figures "a year" are sums over the horizon divided by its years; a horizon shorter than a year counts as one.
"""

from __future__ import annotations

from functools import cache
from itertools import accumulate
from math import nan
from typing import Final, Literal, NamedTuple

from planner.scenario.business import Business
from planner.trade.cylinder import NET_HEATING_J_PER_KG
from planner.trade.exposure import exposure_hours
from planner.workshop.enquiries import Enquiries
from planner.workshop.floor import Floor
from planner.workshop.result import OPENING, Run
from planner.world.parts import ALLOYS

Better = Literal["more", "less", "neither"]


class Measure(NamedTuple):
    """One figure of the results."""

    name: str
    label: str
    unit: str
    better: Better


LIMITS: Final[tuple[tuple[str, str], ...]] = (
    ("hours", "too little time left"),
    ("weather", "bad weather"),
    ("daylight", "too dark"),
    ("burner", "burner too weak"),
    ("propane", "too little propane in the cylinder"),
    ("buyers", "too few buyers"),
    ("supply", "too few weights"),
    ("pickups", "no pickup due yet"),
    ("weights enough", "no room for more weights"),
    ("lifting", "lifting limit"),
    ("payload", "payload limit"),
    ("cash", "too little cash"),
    ("price", "buckets too dear"),
    ("shops shut", "shops shut"),
    ("wet", "weights still wet"),
    ("place", "no safe place to melt"),
    ("stand", "stand rated too low"),
    ("pot", "pot would be moved full"),
    ("stock", "no ingots in stock"),
    ("yard shut", "yard shut"),
    ("nothing to do", "nothing to do"),
)
"""What free hours can be lost to, and what a reader calls it."""


@cache
def limit_measure(limit: str) -> str:
    """Name of the measure that counts the free hours lost to a limit."""
    return f"lost_{limit.replace(' ', '_')}_h"


MONEY, MASS, TIME = "currency a year", "kg a year", "h a year"
MEASURES: Final[tuple[Measure, ...]] = (
    Measure("profit", "Money before your hours", MONEY, "more"),
    Measure("profit_after_hours", "Money after your hours", MONEY, "more"),
    Measure("profit_per_hour", "Money an hour", "currency/h", "more"),
    Measure("takings", "Takings, private buyers", MONEY, "more"),
    Measure("bulk_takings", "Takings, bulk buyer", MONEY, "more"),
    Measure("post_takings", "Takings by post", MONEY, "more"),
    Measure("tin_takings", "Takings for tin", MONEY, "more"),
    Measure("yard_receipts", "Receipts from the yard", MONEY, "more"),
    Measure("weights_cost", "Paid for weights", MONEY, "less"),
    Measure("driving_cost", "Driving", MONEY, "less"),
    Measure("fuel_cost", "Propane", MONEY, "less"),
    Measure("wages_cost", "Wages", MONEY, "less"),
    Measure("other_cost", "Other costs", MONEY, "less"),
    Measure("stock_change", "Change of stock, at the yard's price", MONEY, "neither"),
    Measure("stock_end_yard", "Stock at the end, at the yard's price", "currency", "neither"),
    Measure("stock_end_sale", "Stock at the end, at expected net sale", "currency", "neither"),
    Measure("lowest_cash", "Lowest cash", "currency", "more"),
    Measure("buckets", "Buckets fetched", "a year", "neither"),
    Measure("weights_kg", "Weights fetched", MASS, "neither"),
    Measure("pewter_kg", "Pewter blended in", MASS, "neither"),
    Measure("untouched_kg", "Weights to the yard as they came", MASS, "neither"),
    Measure("skimmed_kg", "Clips, zinc and steel taken out", MASS, "neither"),
    Measure("dross_kg", "Dross", MASS, "less"),
    Measure("rubbish_kg", "Rubbish", MASS, "less"),
    Measure("ingots_kg", "Ingots cast", MASS, "more"),
    Measure("sold_kg", "Ingots sold to private buyers", MASS, "more"),
    Measure("bulk_kg", "Ingots sold in bulk", MASS, "neither"),
    Measure("post_kg", "Ingots sold by post", MASS, "neither"),
    Measure("yard_lead_kg", "Ingots to the yard", MASS, "neither"),
    Measure("put_by_kg", "Put by: weights and ingots more than at the start", MASS, "neither"),
    Measure("stock_end_kg", "Ingots in stock at the end", "kg", "neither"),
    Measure("stock_end_weights_kg", "Weights not melted at the end", "kg", "neither"),
    Measure("fuel_kg", "Propane", MASS, "less"),
    Measure("useful_share", "Useful heat over fuel", "share", "more"),
    Measure("hours_h", "Your hours", TIME, "less"),
    Measure("melt_hours_h", "Your hours at the pot", TIME, "less"),
    Measure("fetch_hours_h", "Your hours fetching", TIME, "less"),
    Measure("sort_hours_h", "Your hours sorting", TIME, "less"),
    Measure("sell_hours_h", "Your hours selling and answering", TIME, "less"),
    Measure("other_hours_h", "Your other hours", TIME, "less"),
    Measure("helper_hours_h", "Paid helpers' hours", TIME, "less"),
    Measure("exposure_h", "Hours exposed to lead", TIME, "less"),
    Measure("melts", "Melts", "a year", "neither"),
    Measure("frozen_melts", "Melts broken off", "a year", "less"),
    Measure("zinced_melts", "Zinced pots", "a year", "less"),
    Measure("trips", "Trips", "a year", "neither"),
    Measure("driven_km", "Driven", "km a year", "less"),
    Measure("lifts", "Lifts", "a year", "less"),
    Measure("highest_lifting_index", "Highest lifting index", "index", "less"),
    Measure("highest_load_share", "Highest overload", "share", "less"),
    Measure("enquiries", "Enquiries", "a year", "more"),
    Measure("sales", "Sales", "a year", "more"),
    Measure("lost_price_kg", "Lost to price", MASS, "less"),
    Measure("lost_stock_kg", "Lost for lack of stock", MASS, "less"),
    Measure("lost_time_kg", "Lost for lack of time", MASS, "less"),
    Measure("lost_no_show_kg", "Lost to appointments not kept", MASS, "less"),
    Measure("free_hours_h", "Your free hours", TIME, "neither"),
    *(
        Measure(limit_measure(limit), f"Free hours unused: {label}", TIME, "neither")
        for limit, label in LIMITS
    ),
)

HOURS: Final = {
    "melt_hours_h": ("setting up", "melting", "cleaning up"),
    "fetch_hours_h": ("fetching",),
    "sort_hours_h": ("sorting",),
    "sell_hours_h": ("selling", "messages"),
    "other_hours_h": ("yard", "asking around"),
}
"""What the owner's time is spent on, by the measure that counts it."""
_COSTS: Final = {
    "weights": "weights_cost",
    "driving": "driving_cost",
    "wear by overload": "driving_cost",
    "propane": "fuel_cost",
    "wages": "wages_cost",
    "sales: private": "takings",
    "sales: bulk": "bulk_takings",
    "sales: post": "post_takings",
    "sales: tin": "tin_takings",
}


def measures_of(f: Floor, enquiries: Enquiries) -> dict[str, float]:
    """All measures of a finished run, in the order of the table."""
    run, business = f.run, f.business
    years = max(1.0, run.days / 365.0)
    sums = _money(run) | _hours(run) | _masses(run)
    opening, at_yard, at_sale = _stock_values(f, business)
    sums["stock_change"] = at_yard - opening
    cash = sum(entry.amount for entry in run.ledger)
    sums["profit"] = cash + at_yard - opening
    sums["profit_after_hours"] = sums["profit"] - sums["hours_h"] * business.owner.hour_price_per_h
    sums["enquiries"], sums["sales"] = float(enquiries.asked), float(len(run.sales))
    for row in run.lost:
        key = f"lost_{row.cause.replace('-', '_')}_kg"
        sums[key] = sums.get(key, 0.0) + row.mass_kg
    unused: dict[str, float] = {}
    for limit in run.limits:
        unused[limit.limit] = unused.get(limit.limit, 0.0) + limit.hours
    sums |= {limit_measure(name): hours for name, hours in unused.items()}
    sums["free_hours_h"] = sums["hours_h"] + sum(limit.hours for limit in run.limits)
    found = {m.name: sums.get(m.name, 0.0) / years for m in MEASURES}
    hours, fuel_j = sums["hours_h"], sum(m.fuel_kg for m in run.melts) * NET_HEATING_J_PER_KG
    found["profit_per_hour"] = sums["profit"] / hours if hours > 0 else nan
    found["useful_share"] = sum(m.useful_j for m in run.melts) / fuel_j if fuel_j > 0 else nan
    found["lowest_cash"] = min(accumulate((entry.amount for entry in run.ledger), initial=run.opening_cash))
    found["stock_end_yard"], found["stock_end_sale"] = at_yard, at_sale
    found["stock_end_kg"] = f.ingot_total_kg()
    found["stock_end_weights_kg"] = f.weights_kg()
    found["highest_lifting_index"] = max((t.lifting_index for t in run.trips), default=0.0)
    found["highest_load_share"] = max((t.overloaded_share for t in run.trips), default=0.0)
    return found


def _money(run: Run) -> dict[str, float]:
    sums: dict[str, float] = {}
    for entry in run.ledger:
        name = _COSTS.get(entry.kind)
        if name is None:
            name = "yard_receipts" if entry.kind.startswith("yard: ") else "other_cost"
        sign = -1.0 if name.endswith("_cost") else 1.0
        sums[name] = sums.get(name, 0.0) + sign * entry.amount
    return sums


def _hours(run: Run) -> dict[str, float]:
    what: dict[str, float] = {}
    helper = 0.0
    for row in run.hours:
        if row.who == "owner":
            what[row.what] = what.get(row.what, 0.0) + row.end_h - row.t_h
        else:
            helper += row.end_h - row.t_h
    sums = {name: sum(what.get(w, 0.0) for w in names) for name, names in HOURS.items()}
    sums["hours_h"] = sum(what.values())
    sums["helper_hours_h"] = helper
    sums["exposure_h"] = exposure_hours(what)
    return sums


def _masses(run: Run) -> dict[str, float]:
    sold = {"private": 0.0, "bulk": 0.0, "post": 0.0}
    for sale in run.sales:
        sold[sale.channel] += sale.mass_kg
    return {
        "sold_kg": sold["private"],
        "bulk_kg": sold["bulk"],
        "post_kg": sold["post"],
        "yard_lead_kg": run.yard_lead_kg,
        "untouched_kg": run.untouched_kg,
        "skimmed_kg": sum(m.clip_kg + m.zinc_kg + m.steel_kg for m in run.melts)
        + sum(s.zinc_out_kg + s.steel_out_kg for s in run.sorts),
        "dross_kg": sum(m.dross_kg for m in run.melts),
        "buckets": float(sum(lot.source != OPENING for lot in run.lots)),
        "weights_kg": sum(lot.mass_kg for lot in run.lots if lot.source != OPENING),
        "pewter_kg": run.balance.pewter_kg if run.balance else 0.0,
        "rubbish_kg": run.balance.rubbish_kg if run.balance else 0.0,
        "put_by_kg": _put_by_kg(run),
        "ingots_kg": sum(m.poured_kg for m in run.melts),
        "fuel_kg": sum(m.fuel_kg for m in run.melts),
        "melts": float(sum(m.lit for m in run.melts)),
        "frozen_melts": float(sum(m.lit and bool(m.cause) for m in run.melts)),
        "zinced_melts": float(sum(m.zinced for m in run.melts)),
        "trips": float(len(run.trips)),
        "driven_km": sum(t.km for t in run.trips),
        "lifts": float(sum(t.lifts for t in run.trips)),
    }


def _put_by_kg(run: Run) -> float:
    """Weights, ingots and what is in the pot at the end, less what was there at the start [kg]."""
    if run.balance is None:
        return 0.0
    there = run.balance.ingots_kg + run.balance.lots_kg + run.balance.in_pot_kg
    return there - run.balance.opening_kg - sum(lot.mass_kg for lot in run.lots if lot.source == OPENING)


def _stock_values(f: Floor, business: Business) -> tuple[float, float, float]:
    """Opening stock and closing stock at the yard's price, and closing stock at expected net sale [currency]."""
    stock = business.stock
    start_kg = stock.hard_kg + stock.soft_kg + stock.mixed_kg
    lots_kg = sum(lot.mass_kg for lot in stock.lots)
    opening = start_kg * f.yard_price(0.0, "lead") + lots_kg * f.yard_price(0.0, "weights")
    end_h = f.horizon_h - 1.0
    taken = [good for good in f.goods if good != "clips" or business.yard.takes_leaded_clips]
    goods = sum(f.goods[good] * f.yard_price(end_h, good) for good in taken)
    other = (
        goods
        + f.weights_kg() * f.yard_price(end_h, "weights")
        + f.contents.lead_kg * f.yard_price(end_h, "weights")
    )
    lead, zinced = f.yard_price(end_h, "lead"), f.yard_price(end_h, "weights")
    at_yard = other
    at_sale = other
    if business.pewter.use == "beside" and f.tin_kg > 0:
        at_sale += f.tin_kg * f.pricing.tin(f.view(end_h, "hard")) * stock.sale_share
    for alloy in ALLOYS:
        kg = f.ingots_kg[alloy]
        yard = kg * (zinced if alloy == "zinced" else lead)
        at_yard += yard
        quote = f.pricing.quote(f.view(end_h, alloy), alloy, 10.0, "private") if kg > 0 else 0.0
        at_sale += max(yard, kg * quote * stock.sale_share)
    return opening, at_yard, at_sale
