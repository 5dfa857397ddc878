"""What a bucket weighs and what is asked for it: by shop where the scenario says so, else of all that are alike.

In: ``pickups``, the shops of ``core.shops``. Out: blocks. Must not know: other tables.

What is asked rises with every bucket fetched; that is taken out first, so that the estimate is what is asked on the
first day of the scenario. Buckets that were too dear to be taken are in no table; where the scenario sets a limit, the
price told is that of the buckets within it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from planner.fit.estimate import Block, Untold
from planner.fit.means import estimate_of, picture_of, scaled
from planner.fit.prior import BUCKET_MASS, BUCKET_PRICE, Prior
from planner.fit.standing import CORE_SHOPS, entries
from planner.plugin.builtin.shop_settings import ShopSettings, ShopsSettings
from planner.records.records import LINE, Records
from planner.scenario import Scenario
from planner.scenario.spread import Spread

if TYPE_CHECKING:
    from pandas import DataFrame

_METHOD: Final = "mean of the records"


def buckets(scenario: Scenario, records: Records) -> Iterator[Block | Untold]:
    """Mass and price of buckets."""
    pickups = records["pickups"]
    fetched = pickups[pickups["bucket_kg"] > 0.0]
    if not len(fetched):
        yield Untold("what a bucket weighs and costs", "no bucket is in pickups; write one row for each")
        return
    start = scenario.business().calendar.start
    for path, model, settings in entries(scenario, "supply"):
        if model != CORE_SHOPS:
            yield Untold(
                f"buckets of {path}", f"they are drawn by {model}, and only {CORE_SHOPS} is estimated"
            )
            continue
        for below, names in _alike(settings, "mass_kg").items():
            rows = fetched[fetched["shop"].isin(names)]
            spread = _spread(settings, below, "mass_kg")
            yield from _told(
                "mass of a bucket", f"{path}.settings.{below}.mass", below, "kg", rows, rows["bucket_kg"], spread,
                BUCKET_MASS,
            )  # fmt: skip
        asked = _before_creep(fetched, settings.shops, settings, start)
        for below, names in _alike(settings, "price").items():
            rows = fetched[fetched["shop"].isin(names) & asked.notna()]
            spread = _spread(settings, below, "price")
            most = scenario.business().fetching.most_price
            note = f"of buckets at {most:g} {scenario.currency} at most" if most is not None else ""
            yield from _told(
                "price of a bucket", f"{path}.settings.{below}.price", below, scenario.currency, rows,
                asked[rows.index], spread, BUCKET_PRICE, note,
            )  # fmt: skip


def _alike(settings: ShopsSettings, field: str) -> dict[str, list[str]]:
    """Shops that share one spread, by where it stands."""
    found: dict[str, list[str]] = {}
    for name, place in settings.shops.items():
        below = "typical" if getattr(place, field) is None else f"shops.{name}"
        found.setdefault(below, []).append(name)
    return found


def _spread(settings: ShopsSettings, below: str, field: str) -> Spread:
    place: Any = settings.typical if below == "typical" else settings.shops[below.partition(".")[2]]
    spread: Spread = getattr(place, field)
    return spread


def _told(
    name: str,
    path: str,
    below: str,
    unit: str,
    rows: DataFrame,
    column: Any,
    spread: Spread,
    prior: Prior,
    note: str = "",
) -> Iterator[Block | Untold]:
    of = "" if below == "typical" else f" of {below.partition('.')[2]}"
    values = column.to_numpy(float)
    if spread.mean <= 0.0:
        if values.size and values.mean() > 0.0:
            yield Untold(
                f"{name}{of}", "the scenario says 0, which no factor changes; write a first guess there"
            )
        return
    if not values.size:
        yield Untold(f"{name}{of}", "no row of pickups tells it")
        return
    found = scaled(values, spread)
    one = estimate_of(
        f"{name}{of}",
        path,
        unit,
        spread,
        found,
        prior,
        records=int(values.size),
        method=_METHOD,
        table="pickups",
        note=note,
    )
    picture = picture_of(values, spread, one.shift, f"{name} [{unit}]", "buckets")
    yield Block.of(_with(one, picture, rows))


def _with(one: Any, picture: Any, rows: DataFrame) -> Any:
    from dataclasses import replace

    return replace(one, picture=replace(picture, line=tuple(int(line) for line in rows[LINE])))


def _before_creep(
    fetched: DataFrame, shops: Mapping[str, ShopSettings], settings: ShopsSettings, start: date
) -> Any:
    """What was asked for each bucket, as if it were the first one after the scenario's first day."""
    import pandas as pd

    asked = pd.Series(np.nan, index=fetched.index)
    for name, place in shops.items():
        creep = (
            settings.typical.price_creep_share if place.price_creep_share is None else place.price_creep_share
        )
        rows = fetched[fetched["shop"] == name].sort_values("date", kind="stable")
        before = int((rows["date"] < pd.Timestamp(start)).sum())
        asked[rows.index] = rows["paid"] / (1.0 + creep) ** (np.arange(len(rows)) - before)
    return asked
