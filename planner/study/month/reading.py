"""What the runs of a month say to each question.

In: every measure of every question in every world, and weeks or months of them. Out: the answers.
Must not know: how runs are executed, words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import nan

import numpy as np

from planner.scenario.header import AS_TODAY
from planner.study.intervals import FloatArray, interval
from planner.study.month.answers import (
    Buckets,
    Drop,
    DropRow,
    FurtherBucket,
    Gain,
    Left,
    Lighting,
    Price,
    PriceRow,
    Range,
    ShopWorth,
    StockRow,
)
from planner.study.month.questions import DROP, DropAsked, Questions, ShopAsked
from planner.study.month.today import Today
from planner.study.sample import DECIDING
from planner.workshop.bucket import Bucket
from planner.workshop.measures import LIMITS, MEASURES, limit_measure
from planner.workshop.months import MONTH_FIGURES

MEASURED = {one.name: m for m, one in enumerate(MEASURES)}
FIGURED = {one.name: f for f, one in enumerate(MONTH_FIGURES)}
LITTLE_KG = 1e-6
SAID_OF_A_SHOP = 3
"""Its worth (which says what courting brings, too), its hours, its km."""


@dataclass(frozen=True, eq=False)
class Results:
    """Every run of a month, by question.

    Parameters
    ----------
    values : mapping of str to array, shape (measures, worlds)
        nan in a run that failed.
    periods : mapping of str to array, shape (periods, figures, worlds)
        Weeks, months or days of the same runs.
    confidence : float
        Of intervals.
    """

    values: Mapping[str, FloatArray]
    periods: Mapping[str, FloatArray]
    confidence: float

    def of(self, question: str, measure: str) -> FloatArray:
        """One measure of one question in every world."""
        found: FloatArray = self.values[question][MEASURED[measure]]
        return found

    def figure(self, question: str, figure: str) -> FloatArray:
        """One figure of the weeks or months of one question; shape (periods, worlds)."""
        found: FloatArray = self.periods[question][:, FIGURED[figure]]
        return found

    def money(self, question: str) -> FloatArray:
        """Money after hours and what is left at the yard's price; opening stock is not taken off, whatever it is.

        So a bucket that stands there at no cost counts with all that it brings.
        """
        opening = self.of(question, "stock_end_yard") - self.of(question, "stock_change")
        return self.of(question, DECIDING) + opening

    def sale(self, question: str) -> FloatArray:
        """The same with what is left at what it is expected to sell for."""
        left = self.of(question, "stock_end_sale") - self.of(question, "stock_end_yard")
        return self.money(question) + left

    @cached_property
    def today(self) -> FloatArray:
        """That of the business as it is."""
        return self.money(AS_TODAY)

    def gain(self, difference: FloatArray, comparisons: int = 1) -> Gain:
        """How much more, and in which share of the worlds."""
        there = difference[~np.isnan(difference)]
        share = float((there > 0.0).mean()) if there.size else nan
        return Gain(interval(difference, self.confidence, comparisons), share)


def spread_of(values: FloatArray) -> Range:
    """The middle one and one in ten to either side."""
    there = values[~np.isnan(values)]
    if not there.size:
        return Range(nan, nan, nan)
    low, middle, high = np.quantile(there, (0.1, 0.5, 0.9)).tolist()
    return Range(low, middle, high)


def buckets(
    results: Results, asked: Questions, bucket: Bucket, hour_price: float, today: Today
) -> Buckets | None:
    """What each further bucket is worth, and how many are worth more than they cost."""
    if not asked.buckets:
        return None
    fetched = float(np.nansum(results.of(AS_TODAY, "buckets")))

    def each(measure: str) -> float:
        return float(np.nansum(results.of(AS_TODAY, measure))) / fetched if fetched > 0.0 else nan

    price = each("weights_cost") if fetched > 0.0 else bucket.price
    fetching = each("driving_cost") + hour_price * each("fetch_hours_h")
    trip = fetching if fetching == fetching else 0.0
    cost = price + trip
    count = (
        len(asked.buckets) + 1 + bool(asked.unpromised)
    )  # with the first at what it sells for, and those promised
    before, rows = results.today, list[FurtherBucket]()
    for number, question in enumerate(asked.buckets, 1):
        now = results.money(question)
        net = results.gain(now - results.today - number * cost, count)
        share = results.gain((now - results.today) / number, count)
        rows.append(FurtherBucket(number, results.gain(now - before, count), share, net))
        before = now
    best = max(rows, key=lambda row: row.net.more.mean if row.net.more.n else -np.inf)
    take = best.number if best.net.more.mean > 0.0 else 0
    sale = results.gain(results.sale(asked.buckets[0]) - results.sale(AS_TODAY), count)
    promised = None
    if asked.unpromised:
        paid = today.promised_cost + today.promised * trip
        promised = results.gain(results.today - results.money(asked.unpromised) - paid, count)
    return Buckets(bucket.mass_kg, price, fetching, tuple(rows), take, sale, promised)


def untouched(results: Results, asked: Questions) -> tuple[Gain | None, Gain | None]:
    """What melting brings more than selling all weights as they come; the same by what is left sells for."""
    if not asked.untouched:
        return None, None
    return (
        results.gain(results.today - results.money(asked.untouched), 2),
        results.gain(results.sale(AS_TODAY) - results.sale(asked.untouched), 2),
    )


def price(results: Results, asked: Questions, now: tuple[tuple[str, float], ...]) -> Price | None:
    """Each price against today's."""
    if not asked.prices:
        return None
    rows = tuple(
        PriceRow(factor, results.gain(results.money(question) - results.today, len(asked.prices)))
        for factor, question in asked.prices.items()
    )
    best = max(rows, key=lambda row: row.gain.more.mean if row.gain.more.n else -np.inf)
    return Price(now, rows, best.factor if best.gain.more.mean > 0.0 else 1.0)


def drops(results: Results, asked: Questions) -> tuple[Drop, ...]:
    """From how much on the lower price brings more on each day, and how much is expected to be left."""
    count = sum(len(one.levels) for one in asked.drops)
    return tuple(_drop(results, one, count) for one in asked.drops)


def _drop(results: Results, asked: DropAsked, comparisons: int) -> Drop:
    rows = [
        DropRow(kg, results.gain(results.money(cheaper) - results.money(same), comparisons))
        for kg, (same, cheaper) in asked.levels.items()
    ]
    enough = nan
    for row in reversed(rows):
        if row.gain.verdict != "more":
            break
        enough = row.stock_kg
    there = spread_of(results.figure(AS_TODAY, "ingots_stock_kg")[asked.at])
    return Drop(str(asked.day), DROP, tuple(rows), enough, there.low, there.middle, there.high)


def lighting(results: Results, asked: Questions) -> Lighting | None:
    """What the next day to melt brings, and how often metal is cast on it."""
    if asked.light_day is None:
        return None
    day = -2  # the days alone end on the day after it
    cast = results.figure(asked.looked_at, "cast_kg")[day]
    there = ~np.isnan(cast)
    poured = there & (cast > LITTLE_KG)
    difference = results.today - results.money(asked.stays_off)
    lost = np.array([results.figure(asked.looked_at, limit_measure(name))[day] for name, _ in LIMITS])
    idle = there & ~poured
    held = dict.fromkeys([label for _, label in LIMITS] + [""], 0)
    for world in np.flatnonzero(idle):
        most = int(np.argmax(lost[:, world]))
        held[LIMITS[most][1] if lost[most, world] > 0.0 else ""] += 1
    count = int(there.sum())
    shares = [(label, number / count) for label, number in held.items() if number]
    return Lighting(
        str(asked.light_day),
        results.gain(difference, 2),
        float(poured.sum()) / count if count else nan,
        float(cast[poured].mean()) if poured.any() else nan,
        results.gain(np.where(poured, difference, nan), 2),
        tuple(sorted(shares, key=lambda one: -one[1])),
    )


def shops(results: Results, asked: Questions, hour_price: float) -> tuple[ShopWorth, ...]:
    """What each shop is worth: those that give first, the best of each kind first."""
    found = [_shop(results, one, SAID_OF_A_SHOP * len(asked.shops), hour_price) for one in asked.shops]
    return tuple(sorted(found, key=lambda one: (not one.known, -one.courted.mean)))


def _shop(results: Results, one: ShopAsked, comparisons: int, hour_price: float) -> ShopWorth:
    sign = 1.0 if one.known else -1.0

    def more(measure: str) -> FloatArray:
        return sign * (results.of(AS_TODAY, measure) - results.of(one.question, measure))

    hours, km = (interval(more(name), results.confidence, comparisons) for name in ("hours_h", "driven_km"))
    brings = sign * (results.today - results.money(one.question))
    worth = results.gain(brings, comparisons)
    courted = interval(one.yes_share * brings - hour_price * one.asking_h, results.confidence, comparisons)
    before = float(np.nanmean(more("profit"))) if worth.more.n else nan
    return ShopWorth(
        one.name,
        one.known,
        worth,
        hours,
        km,
        before / hours.mean if hours.low > 0.0 else nan,
        worth.more.mean / km.mean if km.low > 0.0 else nan,
        one.yes_share,
        one.asking_h,
        hour_price * one.asking_h,
        courted,
    )


def left(results: Results, names: tuple[str, ...]) -> Left:
    """What is there at the end, and on the way to it."""
    ingots, weights = (results.figure(AS_TODAY, f"{what}_stock_kg") for what in ("ingots", "weights"))
    return Left(
        spread_of(results.of(AS_TODAY, "stock_end_kg")),
        spread_of(results.of(AS_TODAY, "stock_end_weights_kg")),
        spread_of(results.of(AS_TODAY, "lowest_cash")),
        tuple(StockRow(name, spread_of(ingots[i]), spread_of(weights[i])) for i, name in enumerate(names)),
    )
