"""How long things take: a sale, sorting, setting up the pot, a stop at a shop.

In: ``sales``, ``hours``, and what else is told of the same day. Out: blocks. Must not know: other tables.

What a trip takes beside its stops (driving, lifting) is reckoned with the scenario's own figures and taken off first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise, permutations
from math import hypot
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from planner.fit.estimate import Block, FloatArray, Picture, Untold
from planner.fit.means import estimate_of, scaled
from planner.fit.prior import SALE_TIME, SET_UP, SORTING, STOP, TIME_SCATTER, Prior
from planner.fit.standing import CORE_SHOPS, entries
from planner.records.records import LINE, Records
from planner.scenario import Scenario
from planner.scenario.spread import Spread
from planner.workshop.premises import premises

if TYPE_CHECKING:
    pass

MOST_STOPS: Final = 6
"""Of longer trips the shortest way is not sought, and they tell nothing (assumed)."""
LONGEST_H: Final = 4.0
"""A stop, or setting up, that would have taken longer is taken for a mistake in the records (assumed)."""
SAID: Final = {"min": "minutes", "kg/h": "kilograms"}
"""How a name begins that says its unit itself."""
MODELS: Final = ("core.returning", "core.bulk")
Place = tuple[float, float]


def activities(scenario: Scenario, records: Records) -> Iterator[Block | Untold]:
    """Minutes of each kind of work."""
    yield from _sales(scenario, records)
    yield from _sorting(scenario, records)
    yield from _set_up(scenario, records)
    yield from _stops(scenario, records)


def _told(
    name: str, path: str, unit: str, before: float, values: FloatArray, lines: Sequence[int], prior: Prior,
    table: str, note: str = "",
) -> Block | Untold:  # fmt: skip
    """One time, or one rate, as the mean of the records."""
    if before <= 0.0:
        return Untold(name, "the scenario says 0, which no factor changes; write a first guess there")
    spread = Spread.constant(before)
    found = scaled(values, spread, scatter=TIME_SCATTER)
    one = estimate_of(
        name,
        path,
        unit,
        spread,
        found,
        prior,
        records=int(values.size),
        method="mean of the records",
        table=table,
        note=note,
    )
    along = np.array([1.0, max(2.0, float(values.size))])
    picture = Picture(
        "record",
        f"{name} [{unit}]" if not name.startswith(SAID.get(unit, unit)) else name,
        np.arange(1.0, values.size + 1.0),
        values,
        along,
        np.full(2, one.value),
        np.full(2, before),
        line=tuple(int(line) for line in lines),
    )
    return Block.of(replace(one, picture=picture))


def _sales(scenario: Scenario, records: Records) -> Iterator[Block | Untold]:
    classes = list(entries(scenario, "demand"))
    sales = records["sales"]
    for path, model, settings in classes:
        name = path.partition(".")[2]
        rows = sales[((sales["buyers"] == name) | ((sales["buyers"] == "") & (len(classes) == 1)))]
        rows = rows[rows["time_h"] > 0.0]
        what = f"minutes of a sale to {name}"
        if model not in MODELS:
            continue
        if settings.trip_km > 0.0:
            yield Untold(what, "they are driven to, and the drive is in it")
        elif not len(rows):
            yield Untold(what, "no sale says how long it took; write it in sales")
        else:
            values = 60.0 * rows["time_h"].to_numpy(float)
            yield _told(
                what,
                f"{path}.settings.sale",
                "min",
                settings.sale_min,
                values,
                rows[LINE],
                SALE_TIME,
                "sales",
            )


def _sorting(scenario: Scenario, records: Records) -> Iterator[Block | Untold]:
    business, hours, what = scenario.business(), records["hours"], "kilograms sorted in an hour"
    if not business.sorting.on:
        return
    rows = hours[(hours["activity"] == "sort") & (hours["hours_h"] > 0.0) & (hours["moved_kg"] > 0.0)]
    if not len(rows):
        yield Untold(what, "no spell of sorting says how much was sorted; write it in hours")
        return
    note = "with the helper's hands in it, where there was one" if business.helper is not None else ""
    values = (rows["moved_kg"] / rows["hours_h"]).to_numpy(float)
    rate = business.sorting.rate_kg_per_h
    yield _told(what, "sorting.rate", "kg/h", rate, values, rows[LINE], SORTING, "hours", note)


def _set_up(scenario: Scenario, records: Records) -> Iterator[Block | Untold]:
    """What a day's melting took beside its melts."""
    business, what = scenario.business(), "minutes of setting up"
    if not business.melting.on:
        return
    hours, melts = records["hours"], records["melts"]
    spells = hours[(hours["activity"] == "melt") & (hours["hours_h"] > 0.0)]
    values, lines = [], []
    for day, rows in spells.groupby("date"):
        own = melts[melts["date"] == day]
        if not len(own):
            continue
        each = (float(rows["hours_h"].sum()) - float(own["hours_h"].sum())) / len(rows)
        if 0.0 < each <= LONGEST_H:
            values.append(60.0 * each)
            lines.append(int(rows[LINE].iloc[0]))
    if not values:
        yield Untold(what, "no day has both its melts and all hours spent on melting; write these in hours")
        return
    yield _told(
        what,
        "melting.set_up",
        "min",
        business.melting.set_up_min,
        np.array(values),
        lines,
        SET_UP,
        "hours",
        "all hours of melting on a day, less those from lighting on",
    )


def _stops(scenario: Scenario, records: Records) -> Iterator[Block | Untold]:
    """What a trip took beside driving and lifting, shared out over its stops."""
    business, what = scenario.business(), "minutes at a shop beside lifting"
    if not business.fetching.on:
        return
    if business.helper is not None:
        yield Untold(what, "a helper who lifts on some trips is not told apart")
        return
    places = _places(scenario)
    hours, pickups = records["hours"], records["pickups"]
    crew, speed = premises(business).alone, business.vehicle.speed_km_h
    trips = hours[(hours["activity"] == "fetch") & (hours["hours_h"] > 0.0)]
    values, lines = [], []
    for day, rows in trips.groupby("date"):
        own = pickups[pickups["date"] == day]
        shops = list(dict.fromkeys(own["shop"]))
        if len(rows) != 1 or not shops or len(shops) > MOST_STOPS or not set(shops) <= set(places):
            continue
        portions = [crew.portions(float(kg)) for kg in own["bucket_kg"].dropna()]
        work_h = sum(crew.at_shop_h(n) + crew.at_home_h(n) for n in portions) + crew.ready_h * (
            len(shops) + 1
        )
        rest_h = float(rows["hours_h"].sum()) - work_h - shortest_km([places[one] for one in shops]) / speed
        each = rest_h / len(shops)
        if 0.0 < each <= LONGEST_H:
            values.append(60.0 * each)
            lines.append(int(rows[LINE].iloc[0]))
    if not values:
        yield Untold(what, "no trip has both its hours and its shops; write them in hours and pickups")
        return
    yield _told(
        what,
        "fetching.stop",
        "min",
        business.fetching.stop_min,
        np.array(values),
        lines,
        STOP,
        "hours",
        "driving and lifting as the scenario says taken off",
    )


def _places(scenario: Scenario) -> dict[str, Place]:
    return {
        name: (place.x_km, place.y_km)
        for _, model, settings in entries(scenario, "supply")
        if model == CORE_SHOPS
        for name, place in settings.shops.items()
    }


def shortest_km(places: Sequence[Place]) -> float:
    """The shortest drive from home past all of them and back."""

    def length(way: Sequence[Place]) -> float:
        stops: list[Any] = [(0.0, 0.0), *way, (0.0, 0.0)]
        return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(stops))

    return min(length(way) for way in permutations(places))
