"""What the yard pays for each good in the long run, from its receipts.

In: ``yard``, the prices of ``core.mean_reverting`` or ``core.fixed``. Out: blocks. Must not know: other tables.

A price that wanders is seen at moments that are alike when they are close, and goods move together: the receipts are
no independent records. Their covariance is that of the scenario's own model (`planner.plugin.builtin.rates`), and the
means are found by generalised least squares.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import log
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from planner.fit.estimate import Block, Estimate, FloatArray, Picture, Untold, together
from planner.fit.prior import ROUNDED_SHARE, YARD
from planner.plugin.builtin.rates import YEAR_DAYS, MeanReverting, Reverting
from planner.records.records import LINE, Records
from planner.scenario import Scenario
from planner.world.parts import GOODS, Good

if TYPE_CHECKING:
    from pandas import DataFrame

WANDERING: Final = "core.mean_reverting"
FIXED: Final = "core.fixed"
_CURVE: Final = 60


def yard(scenario: Scenario, records: Records) -> Iterator[Block | Untold]:
    """Mean price of each good that was sold to the yard."""
    rates = scenario.business().rates
    if rates.model not in (WANDERING, FIXED):
        yield Untold("what the yard pays", f"prices come from {rates.model}, and it has no mean to estimate")
        return
    receipts, downgraded = _receipts(records["yard"], rates.settings)
    missing = [good for good in GOODS if good not in set(receipts["good"])]
    for good in missing:
        yield Untold(f"what the yard pays for {good}", "no receipt of the yard names it")
    if not len(receipts):
        return
    start = scenario.business().calendar.start
    days = (receipts["date"] - np.datetime64(start)).dt.days.to_numpy(float)
    y = np.log(receipts["price_per_kg"].to_numpy(float))
    goods = [good for good in GOODS if good not in missing]
    place = np.array([goods.index(one) for one in receipts["good"]])
    expected, weight, covariance = _model(rates.settings, goods, place, days)
    import statsmodels.api as sm

    design = np.zeros((y.size, len(goods)))
    design[np.arange(y.size), place] = weight
    told = design.any(axis=0)
    result = sm.GLS(y - expected, design[:, told], sigma=covariance).fit()
    found, unscaled = np.asarray(result.params), np.asarray(result.normalized_cov_params)
    prior = np.full(int(told.sum()), YARD.sd)
    mean, both = together(prior, found, unscaled)
    sds = np.sqrt(np.diag(both))
    estimates = []
    for number, good in enumerate(np.array(goods)[told].tolist()):
        rows = receipts[receipts["good"] == good]
        note = (
            f"left out where it was taken at the price of mixed weights: {downgraded}"
            if downgraded and good == "lead"
            else ""
        )
        estimates.append(_estimate(scenario, good, float(mean[number]), float(sds[number]), rows, note))
    yield Block(tuple(estimates), both / np.outer(sds, sds))


def _receipts(frame: DataFrame, settings: Any) -> tuple[DataFrame, int]:
    """Each good's price once a day; how many of lead were left out, since the yard took it for mixed weights."""
    rows = frame[frame["good"].isin(GOODS)].copy()
    rows["price_per_kg"] = rows["price_per_kg"].fillna(rows["money"] / rows["mass_kg"])
    rows = rows[rows["price_per_kg"] > 0.0]
    taken = np.array([_mean(settings, good) > 0.0 for good in rows["good"]], bool)
    rows = rows[taken]
    lead, weights = _mean(settings, "lead"), _mean(settings, "weights")
    downgraded = np.zeros(len(rows), bool)
    if 0.0 < weights < lead:
        middle = (lead * weights) ** 0.5
        downgraded = ((rows["good"] == "lead") & (rows["price_per_kg"] < middle)).to_numpy()
    kept = (
        rows[~downgraded]
        .groupby(["date", "good"], as_index=False)
        .agg({"price_per_kg": "mean", LINE: "first"})
    )
    return kept.sort_values(["date", "good"], ignore_index=True), int(downgraded.sum())


def _mean(settings: Any, good: str) -> float:
    if isinstance(settings, MeanReverting):
        return float(getattr(settings, good).mean_per_kg)
    return float(getattr(settings, f"{good}_per_kg"))


def _model(
    settings: Any, goods: Sequence[Good], place: Any, days: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Expected logarithm of each receipt's price, how much of a shift of the mean it shows, and their covariance.

    From the scenario's first day on a price starts where the scenario says; before, it had wandered for ever.
    """
    n = days.size
    expected, weight = np.empty(n), np.ones(n)
    covariance = np.diag(np.full(n, ROUNDED_SHARE**2 / 4.0))
    if not isinstance(settings, MeanReverting):
        for i in range(n):
            expected[i] = log(_mean(settings, goods[place[i]]))
        return expected, weight, np.diag(np.full(n, ROUNDED_SHARE**2))
    rows = [getattr(settings, good) for good in goods]
    after = days >= 0.0
    keeps = np.array([_keeps(rows[k]) for k in place])
    left = np.where(after, keeps ** np.maximum(days, 0.0), 0.0)
    for i in range(n):
        row = rows[place[i]]
        middle = log(row.mean_per_kg) + days[i] / YEAR_DAYS * log(1.0 + row.trend_a_year_share)
        expected[i] = middle - 0.5 * _variance(row) * (1.0 - left[i])
        if row.start_per_kg is not None and after[i]:
            expected[i] += left[i] * log(row.start_per_kg / row.mean_per_kg)
            weight[i] = 1.0 - left[i]
    steps = np.array([np.sqrt(_variance(rows[k]) * (1.0 - _keeps(rows[k]) ** 2)) for k in place])
    alike = np.where(place[:, None] == place[None, :], 1.0, settings.together_share)
    product = keeps[:, None] * keeps[None, :]
    apart = days[:, None] - days[None, :]
    later = np.where(apart >= 0.0, keeps[:, None], keeps[None, :]) ** np.abs(apart)
    both_after = after[:, None] & after[None, :]
    first = np.minimum(days[:, None], days[None, :])
    so_far = np.where(both_after, 1.0 - product ** np.maximum(first, 0.0), 1.0)
    mixed = after[:, None] ^ after[None, :]
    covariance += np.where(mixed, 0.0, alike * np.outer(steps, steps) * later * so_far / (1.0 - product))
    return expected, weight, covariance


def _keeps(row: Reverting) -> float:
    return float(np.exp(-log(2.0) / row.half_life_days))


def _variance(row: Reverting) -> float:
    """Of the logarithm of a price in the long run (`planner.plugin.builtin.rates`)."""
    return float(row.volatility_share**2 / YEAR_DAYS / (2.0 * log(2.0) / row.half_life_days))


def _estimate(scenario: Scenario, good: str, shift: float, sd: float, rows: DataFrame, note: str) -> Estimate:
    settings = scenario.business().rates.settings
    wandering = isinstance(settings, MeanReverting)
    before = _mean(settings, good)
    unit = f"{scenario.currency}/kg"
    days = (rows["date"] - np.datetime64(scenario.business().calendar.start)).dt.days.to_numpy(float)
    along = np.linspace(days.min(), max(days.max(), days.min() + 1.0), _CURVE)
    spread, trend = 0.0, np.ones(_CURVE)
    if wandering:
        row = getattr(settings, good)
        spread = float(np.sqrt(_variance(row)))
        trend = (1.0 + row.trend_a_year_share) ** (along / YEAR_DAYS)
    fitted = before * np.exp(shift) * trend
    reach = np.exp(1.6448536269514722 * np.hypot(spread, ROUNDED_SHARE))
    return Estimate(
        name=f"what the yard pays for {good}",
        path=f"rates.settings.{good}.mean" if wandering else f"rates.settings.{good}",
        way="times",
        before=before,
        unit=unit,
        shift=shift,
        sd=sd,
        prior_sd=YARD.sd,
        records=len(rows),
        method="generalised least squares, prices that wander" if wandering else "mean of the logarithms",
        table="yard",
        picture=Picture(
            "day of the scenario",
            f"price of {good} [{unit}]",
            days,
            rows["price_per_kg"].to_numpy(float),
            along,
            fitted,
            before * trend,
            fitted / reach,
            fitted * reach,
            tuple(int(line) for line in rows[LINE]),
        ),
        note=note,
    )
