"""A scenario as the business stood on a day that its records reach beyond.

In: a scenario, records of the days before. Out: ``Stood``: the same business from that day on, with the stock that the
records leave. Must not know: what is foretold with it.

Stock is what was there at first (as the scenario says), and what came, less what went. How many buyers still come, and
how soon they ask next, is what comes of the scenario in the days before. Cash, and what shops and the yard have become
since, are as the scenario says: most owners' records do not tell.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from math import fsum
from typing import Any, Final

from planner.engine.player import Player, Setting
from planner.fit.clientele import clientele
from planner.records.records import Records
from planner.scenario import Scenario
from planner.scenario.business import Business
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.scenario.inputs import Input
from planner.study.month.today import ALLOYS, lot_of
from planner.workshop.bucket import typical_bucket

LEAST_LOT_KG: Final = 1.0
"""Less than this is what scales are off, not a lot (assumed)."""
MOST_DAYS: Final = 1095
"""Days that are played before; who came long ago is the same after."""
INGOTS: Final = ("melts", "sales")
WEIGHTS: Final = ("pickups", "melts")
"""Tables without which a stock cannot be reckoned."""


@dataclass(frozen=True)
class Stood:
    """A business on a day.

    Parameters
    ----------
    scenario : Scenario
        From that day on.
    ingots_kg, weights_kg : float
        At home, by the records, or by the scenario where they do not tell.
    reckoned : tuple of str
        Which of ``ingots`` and ``weights`` the records tell.
    below_nothing_kg : float
        How much more went than was there: records, or the first stock, cannot be right by so much.
    shops : tuple of str
        Shops that had been found by then.
    buyers : tuple of (str, int)
        How many of a class come by then.
    """

    scenario: Scenario
    ingots_kg: float
    weights_kg: float
    reckoned: tuple[str, ...]
    below_nothing_kg: float
    shops: tuple[str, ...]
    buyers: tuple[tuple[str, int], ...]


def stood(scenario: Scenario, before: Records, first: date, day: date, days: int, seed: int) -> Stood:
    """The business on a day.

    Parameters
    ----------
    scenario : Scenario
        What it was at first: its opening stock was there when the records begin.
    before : Records
        Of the days before.
    first : date
        On which they begin.
    day : date
        The first day from then on.
    days : int
        How many days are played from then on.
    seed : int
        Of the worlds in which the days before are played.
    """
    business: Business = scenario.business()
    changes: list[Input] = [Input("calendar.start", day.isoformat()), Input("calendar.days", days)]
    reckoned: list[str] = []
    ingots_kg = fsum(getattr(business.stock, f"{alloy}_kg") for alloy in ALLOYS)
    weights_kg = fsum(lot.mass_kg for lot in business.stock.lots)
    short_kg = 0.0
    if _kept(before, INGOTS):
        by_alloy, short_kg = _ingots(business, before)
        ingots_kg = fsum(by_alloy.values())
        changes += [Input(f"stock.{alloy}", f"{kg!r} kg") for alloy, kg in by_alloy.items()]
        reckoned.append("ingots")
    if _kept(before, WEIGHTS):
        weights_kg, short = _weights(scenario, business, before)
        short_kg += short
        changes.append(Input("stock.lots", _lots(scenario, weights_kg)))
        reckoned.append("weights")
    found = dict(_shops_found(business, before))
    changes += [Input(path, True) for path in found]
    played = [
        Input("calendar.start", first.isoformat()),
        Input("calendar.days", min((day - first).days, MOST_DAYS)),
    ]
    buyers = []
    for name, come, inputs in clientele(scenario.at(played), seed):
        buyers.append((name, come))
        changes += inputs
    return Stood(
        scenario.at(changes),
        ingots_kg,
        weights_kg,
        tuple(reckoned),
        short_kg,
        tuple(found.values()),
        tuple(buyers),
    )


def _kept(before: Records, tables: tuple[str, ...]) -> bool:
    return all(len(before[name]) for name in tables)


def _ingots(business: Business, before: Records) -> tuple[dict[str, float], float]:
    """Ingots by alloy, and how much below nothing they came out in all."""
    usual = "hard" if business.sorting.on else "mixed"
    found = {alloy: float(getattr(business.stock, f"{alloy}_kg")) for alloy in ALLOYS}
    yard = before["yard"]
    lead = yard[yard["good"] == "lead"]
    for rows, column, sign in (
        (before["melts"], "ingots_kg", 1.0),
        (before["sales"], "sold_kg", -1.0),
        (lead.assign(alloy=usual), "mass_kg", -1.0),
    ):
        for alloy, kg in rows[column].groupby(rows["alloy"]).sum().items():
            if alloy != "zinced":
                found[alloy or usual] += sign * float(kg)
    total = fsum(found.values())
    above = {alloy: max(0.0, kg) for alloy, kg in found.items()}
    all_above = fsum(above.values())
    share = max(0.0, total) / all_above if all_above > 0.0 else 0.0
    return {alloy: kg * share for alloy, kg in above.items()}, max(0.0, -total)


def _weights(scenario: Scenario, business: Business, before: Records) -> tuple[float, float]:
    """Weights not melted, and how much below nothing they came out."""
    yard = before["yard"]
    came = fsum(lot.mass_kg for lot in business.stock.lots) + float(before["pickups"]["bucket_kg"].sum())
    if business.sorting.on and (bucket := _typical(scenario)) is not None:
        hard, clip, soft, *_ = bucket.shares
        came *= (hard + clip + soft) / fsum(bucket.shares)
    went = float(before["melts"]["weights_kg"].sum())
    went += float(yard.loc[yard["good"] == "weights", "mass_kg"].sum())
    return max(0.0, came - went), max(0.0, went - came)


def _lots(scenario: Scenario, weights_kg: float) -> list[Any]:
    """Weights of the usual mix, as a scenario holds them."""
    bucket = _typical(scenario)
    if bucket is None or weights_kg < LEAST_LOT_KG:
        return []
    return [lot_of(bucket, f"{weights_kg!r} kg", 0.0, scenario.currency)]


def _typical(scenario: Scenario) -> Any:
    """The mean of all buckets that shops fill in the first world."""
    world, _ = Player(Setting(scenario, scenario.study.seed)).see(AS_TODAY, EXPECTED, 0, diary=False)
    return typical_bucket(scenario.business(), world)


def _shops_found(business: Business, before: Records) -> Iterator[tuple[str, str]]:
    """Path and name of each shop that had to be found, and where something was fetched."""
    rows = before["pickups"]
    visited = set(rows.loc[rows["bucket_kg"] > 0.0, "shop"])
    for number, entry in enumerate(business.supply, 1):
        shops = getattr(entry.settings, "shops", {})
        for name, shop in shops.items():
            if name in visited and "." not in name and not getattr(shop, "known", True):
                path = f"supply.{entry.name or number}.settings.shops.{name}"
                if getattr(shop, "kind", "") != "chain":
                    yield f"{path}.known", name
