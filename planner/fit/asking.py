"""What records say of one class of buyers: who asked in each month, who found it too dear, what was asked of them.

In: ``sales``, ``asked``, the class and its prices in the scenario. Out: ``Asked``. Must not know: how it is estimated.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import hypot
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from scipy import special

from planner.fit.estimate import FloatArray
from planner.fit.prior import PAYS_SHARE
from planner.fit.standing import entries
from planner.plugin.builtin.pricing import Prices, asked_per_kg
from planner.records.records import Records
from planner.scenario import Scenario
from planner.world.parts import Channel

if TYPE_CHECKING:
    from pandas import DataFrame

SOON_DAYS: Final = 31
ALIKE_SHARE: Final = 0.01
"""Prices that differ by no more are the same (assumed: rounding)."""
CHANNELS: Final[dict[str, Channel]] = {"core.returning": "private", "core.bulk": "bulk", "core.post": "post"}


@dataclass(frozen=True, eq=False)
class Pays:
    """The most that people would pay, for the alloy that suits them best at what is asked.

    Parameters
    ----------
    mean, sd : float
        Of that alloy, over people and needs [currency/kg].
    price : float
        What is asked for it [currency/kg], the mean over the months.
    by_month : FloatArray
        What was asked in each month over ``price``.
    note : str
        Where the price was taken from.
    """

    mean: float
    sd: float
    price: float
    by_month: FloatArray
    note: str


@dataclass(frozen=True, eq=False)
class Asked:
    """One class of buyers in the records. Arrays have a value a month of the records."""

    first: date
    last: date
    sales: DataFrame
    took: FloatArray
    """Needs of those who took the price, served or not."""
    dear: FloatArray
    """Needs of those who found it too dear; where that was not told apart, all that came to nothing."""
    no_stock: FloatArray
    lost: FloatArray
    has_row: FloatArray
    """1 where the month has a row of those who did not buy."""
    seen_share: FloatArray
    """Share of those who took the price that records know of: where a month has no such row, those who were served."""
    split: bool
    """Is it told apart who found it too dear?"""
    wait_days: float
    """From asking to the end of the need, the mean of those who took the price."""
    sold_on: Any
    """Day of the records of each sale."""
    pays: Pays | None
    why_not: str

    @property
    def months(self) -> int:
        """How many months the records have."""
        return self.took.size

    @property
    def pays_sd(self) -> float:
        """Prior deviation of what they would pay [currency/kg]; next to none where it is not estimated."""
        return PAYS_SHARE.sd * self.pays.mean if self.pays is not None and self.split else 1e-4

    def too_dear_share(self, added: float) -> FloatArray:
        """Chance that somebody finds each month's price too dear."""
        if self.pays is None:
            return np.zeros(self.months)
        price = self.pays.price * self.pays.by_month
        return np.asarray(special.ndtr((price - self.pays.mean - added) / self.pays.sd))

    @property
    def month_ends(self) -> Any:
        """Number of the last day of each month, the last one as far as records go."""
        dates = [self.first + timedelta(days=number) for number in range((self.last - self.first).days + 1)]
        months = np.array([_month_number(self.first, day) for day in dates])
        return np.searchsorted(months, np.arange(self.months), side="right") - 1

    def in_month(self, month: int) -> float:
        """How many asked in a month of the year (0 January), whichever year."""
        number = (np.arange(self.months) + self.first.month - 1) % 12
        return float((self.took + self.dear)[number == month].sum())


def _month_number(first: date, day: date) -> int:
    return 12 * (day.year - first.year) + day.month - first.month


def asked_of(scenario: Scenario, records: Records, name: str, names: list[str]) -> Asked:
    """What records say of one class; rows without a class are shared out as the others are."""
    assert records.days is not None
    start = scenario.business().calendar.start
    first, last = records.days
    if 0 <= (first - start).days <= SOON_DAYS:
        first = start
    months = _month_number(first, last) + 1
    all_sales = records["sales"]
    alone = len(names) == 1
    sales = all_sales[(all_sales["buyers"] == name) | (alone & (all_sales["buyers"] == ""))]
    rows = records["asked"]
    share = len(sales) / max(int(all_sales["buyers"].isin(names).sum()), 1) if not alone else 1.0
    weight = np.where(rows["buyers"] == name, 1.0, np.where(rows["buyers"] == "", share, 0.0))
    rows, weight = rows[weight > 0.0], weight[weight > 0.0]
    at = np.array([_month_number(first, day.date()) for day in rows["month"]], dtype=int)
    inside = (at >= 0) & (at < months)
    rows, weight, at = rows[inside], weight[inside], at[inside]

    def monthly(key: str) -> FloatArray:
        counted = weight * rows[key].fillna(0.0).to_numpy(float)
        return np.bincount(at, counted, months).astype(float)

    lost, dear, no_stock = monthly("did_not_buy"), monthly("too_dear"), monthly("no_stock")
    split = bool(len(rows)) and bool(rows["too_dear"].notna().all())
    has_row = (np.bincount(at, minlength=months) > 0).astype(float)
    asked_on = sales["asked_on"].fillna(sales["date"])
    when = np.array([_month_number(first, day.date()) for day in asked_on], dtype=int).clip(0, months - 1)
    served = np.bincount(when, minlength=months).astype(float)
    took = served + np.maximum(lost - dear, 0.0) if split else served
    known = has_row > 0.0
    whole = float(took[known].sum())
    seen = np.where(known, 1.0, float(served[known].sum()) / whole if whole else 1.0)
    waited = (sales["date"] - asked_on).dt.days.to_numpy(float) + 0.5
    settings = next(one for path, _, one in entries(scenario, "demand") if path == f"demand.{name}")
    unserved = float(np.maximum(lost - dear, 0.0).sum()) if split else 0.0
    total = waited.sum() + unserved * settings.patience_days.mean
    pays, why_not = _pays(scenario, name, sales, rows, at, months)
    if pays is not None and not split:
        why_not = "no month says how many found it too dear; write it in asked"
    return Asked(
        first,
        last,
        sales,
        took,
        dear if split else lost,
        no_stock,
        lost,
        has_row,
        seen,
        split,
        float(total / max(waited.size + unserved, 1.0)),
        np.array([(day.date() - first).days for day in sales["date"]], dtype=int).clip(0),
        pays,
        why_not,
    )


def _pays(
    scenario: Scenario, name: str, sales: DataFrame, rows: DataFrame, at: Any, months: int
) -> tuple[Pays | None, str]:
    """What is asked of a class and what it would pay by the scenario; or why that cannot be said."""
    model, settings = next(
        (model, one) for path, model, one in entries(scenario, "demand") if path == f"demand.{name}"
    )
    spreads = {
        alloy: spread
        for alloy in ("hard", "soft", "mixed")
        if (spread := getattr(settings.most, f"{alloy}_per_kg")) is not None
    }
    if not spreads or any(one.kind != "normal" for one in spreads.values()):
        return None, "what they would pay is estimated where the scenario says {normal: {mean: ..., sd: ...}}"
    price = sales["price_per_kg"].fillna(sales["money"] / sales["sold_kg"])
    listed = _listed(scenario, CHANNELS[model])
    sold = price[price > 0.0]
    level = np.full(months, np.nan)
    for number, one in zip(at, rows["price_per_kg"], strict=True):
        level[number] = one
    if not len(sold) and np.isnan(level).all() and not listed:
        return None, "no price is written down; write what you asked a kg"
    by_alloy = {alloy: float(sold[sales.loc[sold.index, "alloy"] == alloy].mean()) for alloy in spreads}
    as_listed = bool(listed) and all(
        abs(one - listed[alloy]) <= ALIKE_SHARE * listed[alloy]
        for one, alloy in zip(sold, sales.loc[sold.index, "alloy"], strict=True)
        if alloy in listed
    )
    usual = (
        float(sold.mean()) if len(sold) else float(np.nanmean(level)) if not np.isnan(level).all() else 0.0
    )
    best: tuple[float, float, float, float] | None = None
    for alloy, spread in spreads.items():
        asked = listed[alloy] if as_listed else by_alloy[alloy]
        if not asked > 0.0:
            asked = usual * (listed[alloy] / float(np.mean(list(listed.values()))) if listed else 1.0)
        mean, sd = spread.numbers
        wide = max(hypot(sd, settings.need_varies_share * mean), 1e-3)
        if best is None or (mean - asked) / wide > best[0]:
            best = (mean - asked) / wide, mean, wide, asked
    assert best is not None
    changes = np.ones(months) if as_listed or np.isnan(level).all() else level / np.nanmean(level)
    note = (
        "at the prices of the scenario, which are those of the sales"
        if as_listed
        else "at the prices of the sales"
    )
    return Pays(best[1], best[2], best[3], np.where(np.isnan(changes), 1.0, changes), note), ""


def _listed(scenario: Scenario, channel: Channel) -> dict[str, float]:
    """Listed price of each alloy [currency/kg]; nothing where another model sets prices."""
    settings = scenario.business().pricing.settings
    if not isinstance(settings, Prices):
        return {}
    return {
        "hard": asked_per_kg(settings, "hard", channel),
        "soft": asked_per_kg(settings, "soft", channel),
        "mixed": asked_per_kg(settings, "mixed", channel),
    }
