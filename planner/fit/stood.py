"""A scenario as the business stood on a day that its records reach beyond.

In: a scenario, records of the days before. Out: ``Stood``: the same business from that day on, with the stock that the
records leave. Must not know: what is foretold with it.

Stock is what was there at first (as the scenario says), and what came, less what went. What records do not tell is what
comes of the scenario where the days before are played: how many buyers still come and how soon they ask next, and a
stock whose tables are not kept (no row is, though the scenario would have had some to write). Weights that are sorted
are such a stock, for nobody writes down what was thrown away. Cash, and what shops and the yard have become since, are
as the scenario says.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from math import fsum
from typing import Any, Final

from planner.engine.player import Player, Setting
from planner.fit.clientele import clientele, played
from planner.records.records import Records
from planner.scenario import Scenario
from planner.scenario.business import Business
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.scenario.inputs import Input
from planner.study.month.today import ALLOYS, lot_of
from planner.workshop.bucket import typical_bucket
from planner.workshop.result import OPENING, Run

LEAST_LOT_KG: Final = 1.0
"""Less than this is what scales are off, not a lot (assumed)."""
MOST_DAYS: Final = 1095
"""Days that are played before; who came long ago is the same after."""
INGOTS: Final = ("melts", "sales")
WEIGHTS: Final = ("pickups", "melts")
"""Tables without which a stock cannot be reckoned."""
ROWS: Final[dict[str, Callable[[Run], Sequence[Any]]]] = {
    "pickups": lambda run: [lot for lot in run.lots if lot.source != OPENING],
    "melts": lambda run: run.melts,
    "sales": lambda run: run.sales,
}
"""What of a run is written into each of them."""


@dataclass(frozen=True)
class Stood:
    """A business on a day.

    Parameters
    ----------
    scenario : Scenario
        From that day on.
    ingots_kg, weights_kg : float
        At home.
    reckoned : tuple of str
        Which of ``ingots`` and ``weights`` the records tell; the other is what comes of the scenario by then.
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
    days_before = min((day - first).days, MOST_DAYS)
    earlier = scenario.at(_calendar(first, days_before))
    runs = played(earlier, seed)
    by_alloy, weights_kg, reckoned, short_kg = _stock(business, before, runs)
    changes = _calendar(day, days)
    changes += [Input(f"stock.{alloy}", f"{kg:.3f} kg") for alloy, kg in by_alloy.items()]
    changes.append(Input("stock.lots", _lots(scenario, weights_kg, seed)))
    found = dict(_shops_found(business, before))
    changes += [Input(path, True) for path in found]
    buyers = []
    for name, come, inputs in clientele(earlier, runs):
        buyers.append((name, come))
        changes += inputs
    return Stood(
        scenario.at(changes),
        fsum(by_alloy.values()),
        weights_kg,
        reckoned,
        short_kg,
        tuple(found.values()),
        tuple(buyers),
    )


def _calendar(start: date, days: int) -> list[Input]:
    return [Input("calendar.start", start.isoformat()), Input("calendar.days", days)]


def _stock(
    business: Business, before: Records, runs: Sequence[Run]
) -> tuple[dict[str, float], float, tuple[str, ...], float]:
    """Ingots by alloy, weights, which of them the records tell, how much they came out below nothing."""
    by_alloy, weights_kg = _first_stock(business)
    reckoned: list[str] = []
    short_kg = 0.0
    if _kept(before, INGOTS, runs):
        by_alloy, short_kg = _ingots(business, before)
        reckoned.append("ingots")
    elif runs:
        by_alloy = _scaled(by_alloy, _mean([run.months[-1].ingots_kg for run in runs]), _usual(business))
    if _kept(before, WEIGHTS, runs) and not business.sorting.on:
        weights_kg, short = _weights(weights_kg, before)
        short_kg += short
        reckoned.append("weights")
    elif runs:
        weights_kg = _mean([run.months[-1].weights_kg for run in runs])
    return by_alloy, weights_kg, tuple(reckoned), short_kg


def _kept(before: Records, tables: tuple[str, ...], runs: Sequence[Run]) -> bool:
    """Are all these tables kept? One without a row is where the scenario would have nothing to write there either."""
    return all(len(before[name]) or (runs and not any(map(ROWS[name], runs))) for name in tables)


def _mean(values: Sequence[float]) -> float:
    return fsum(values) / len(values)


def _usual(business: Business) -> str:
    """What is cast where nothing else is said."""
    return "hard" if business.sorting.on else "mixed"


def _first_stock(business: Business) -> tuple[dict[str, float], float]:
    """Ingots by alloy and weights, as the scenario says."""
    ingots = {alloy: float(getattr(business.stock, f"{alloy}_kg")) for alloy in ALLOYS}
    return ingots, fsum(lot.mass_kg for lot in business.stock.lots)


def _scaled(by_alloy: dict[str, float], total_kg: float, usual: str) -> dict[str, float]:
    """So much in all, of the same alloys as before; of the usual one where nothing was there."""
    above = {alloy: max(0.0, kg) for alloy, kg in by_alloy.items()}
    if fsum(above.values()) <= 0.0:
        above[usual] = 1.0
    share = total_kg / fsum(above.values())
    return {alloy: kg * share for alloy, kg in above.items()}


def _ingots(business: Business, before: Records) -> tuple[dict[str, float], float]:
    """Ingots by alloy, and how much below nothing they came out in all."""
    usual = _usual(business)
    found, _ = _first_stock(business)
    yard = before["yard"]
    for rows, column, sign in ((before["melts"], "ingots_kg", 1.0), (before["sales"], "sold_kg", -1.0)):
        for alloy, kg in rows[column].groupby(rows["alloy"]).sum().items():
            if alloy != "zinced":
                found[alloy or usual] += sign * float(kg)
    to_yard = float(
        yard.loc[yard["good"] == "lead", "mass_kg"].sum()
    )  # a receipt does not say of which alloy
    total = fsum(found.values()) - to_yard
    return _scaled(found, max(0.0, total), usual), max(0.0, -total)


def _weights(first_kg: float, before: Records) -> tuple[float, float]:
    """Weights not melted, and how much below nothing they came out."""
    yard = before["yard"]
    came = first_kg + float(before["pickups"]["bucket_kg"].sum())
    went = float(before["melts"]["weights_kg"].sum())
    went += float(yard.loc[yard["good"] == "weights", "mass_kg"].sum())
    return max(0.0, came - went), max(0.0, went - came)


def _lots(scenario: Scenario, weights_kg: float, seed: int) -> list[Any]:
    """Weights of the usual mix, as a scenario holds them: that of all buckets that shops fill in the first world."""
    if weights_kg < LEAST_LOT_KG:
        return []
    world, _ = Player(Setting(scenario, seed)).see(AS_TODAY, EXPECTED, 0, diary=False)
    bucket = typical_bucket(scenario.business(), world)
    return [] if bucket is None else [lot_of(bucket, f"{weights_kg:.3f} kg", 0.0, scenario.currency)]


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
