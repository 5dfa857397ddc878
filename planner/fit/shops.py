"""How fast each shop fills its buckets, and how strong each month is.

In: ``pickups``, the shops of ``core.shops``. Out: a block a supply. Must not know: other tables.

Buckets found at a look are counted against the time in which they may have come: the season's time since the look
before, thinned by those that would have gone elsewhere by then. Where not one visit in vain is written down, the owner
is taken to ask before setting off, so that every trip is a look at every shop; otherwise only a visit is one.
"""

from __future__ import annotations

from calendar import month_abbr, month_name
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from planner.fit.estimate import Block, Estimate, FloatArray, Picture, Untold
from planner.fit.means import cv_of
from planner.fit.pace import Days, days_of
from planner.fit.prior import FILLING, SEASON
from planner.fit.renewal import covariance_of, regressed, variance_of
from planner.fit.standing import CORE_SHOPS, entries
from planner.plugin.builtin.shop_settings import ShopsSettings
from planner.plugin.builtin.shops import GAP_DAYS
from planner.records.records import Records
from planner.scenario import Scenario
from planner.scenario.clock import MONTHS
from planner.scenario.spread import Spread

if TYPE_CHECKING:
    from pandas import DataFrame

SILENT: Final = 6.0
"""A shop that gave nothing where the scenario expects so many buckets has stopped giving (assumed)."""
SOON_DAYS: Final = 31
"""Records that begin within so many days of the scenario's first day are of a business that began then (assumed)."""
LEAST_TOLD_SHARE: Final = 0.25
"""Below this share of the prior's variance that records took away, a month is not told; it is still reckoned with
(assumed)."""
METHOD: Final = "regression of buckets found"


@dataclass(frozen=True, eq=False)
class _Looks:
    """Looks at one shop, in order: what was found, and the time in which it may have come."""

    name: str
    gap: Spread
    day: FloatArray
    """Day of the scenario of each look."""
    found: FloatArray
    exposure: FloatArray
    """Days of an ordinary month [d]."""
    by_month: FloatArray
    """Share of the exposure in each month, shape (looks, 12)."""
    kept_share: FloatArray
    """Share of what came that still stood there."""
    lines: tuple[int, ...]
    note: str = ""

    @property
    def expected(self) -> FloatArray:
        """Buckets that the scenario expects at each look."""
        return self.exposure / self.gap.mean


def shops(scenario: Scenario, records: Records) -> Iterator[Block | Untold]:
    """Gaps between buckets of each shop, and the season."""
    pickups = records["pickups"]
    for path, model, settings in entries(scenario, "supply"):
        if model != CORE_SHOPS:
            yield Untold(
                f"how fast {path} fills buckets",
                f"that is drawn by {model}, and only {CORE_SHOPS} is estimated",
            )
            continue
        told = []
        for name in settings.shops:
            looks = _looks(scenario, settings, name, pickups, records)
            if isinstance(looks, Untold):
                if settings.shops[name].known:
                    yield looks
            else:
                told.append(looks)
        if told:
            yield _block(path, settings, told)


def _looks(
    scenario: Scenario, settings: ShopsSettings, name: str, pickups: DataFrame, records: Records
) -> _Looks | Untold:
    """Looks at one shop."""
    place, start = settings.shops[name], scenario.business().calendar.start
    what = f"how fast {name} fills buckets"
    own = pickups[pickups["shop"] == name]
    fetched = own[own["bucket_kg"] > 0.0]
    if records.days is None or not len(fetched):
        return Untold(what, "no bucket of it is in pickups; if it gives none any more, write known: false")
    asks_first = not pickups["bucket_kg"].isna().any()
    looked = sorted({day.date() for day in (pickups if asks_first else own)["date"]})
    since = _since(place.known, start, records, fetched, looked)
    first = min(since, looked[0])
    days = days_of(settings, first, looked[-1], start)
    gap, waits = place.gap_days or GAP_DAYS[place.kind], place.waits_days or settings.typical.waits_days
    return _counted(name, gap, waits, days, since, [day for day in looked if day > since], fetched, start)


def _since(known: bool, start: date, records: Records, fetched: DataFrame, looked: list[date]) -> date:
    """From when on what comes is seen: the start, or the first look, before which nobody knows what stood there."""
    first = records.days[0] if records.days else start
    if known and 0 <= (first - start).days <= SOON_DAYS:
        return start - timedelta(days=1)
    return fetched["date"].min().date() if not known else looked[0]


def _counted(
    name: str,
    gap: Spread,
    waits: Spread,
    days: Days,
    since: date,
    looked: list[date],
    fetched: DataFrame,
    start: date,
) -> _Looks | Untold:
    stays = np.array([1.0 - waits.share_below(age + 0.5) for age in range(days.factor.size + 1)])
    found, exposure, by_month, kept_share = [], [], [], []
    lines: list[int] = []
    left, before = 0.0, max(days.number(since) + 1, 0)
    at = fetched["date"].dt.date
    for day in looked:
        now = days.number(day) + 1
        came = np.arange(before, now)
        weight = days.factor[came] * stays[now - 1 - came]
        rows = fetched[at == day]
        taken = float(len(rows))
        stood = max(taken, float(rows["stood_ready"].max())) if rows["stood_ready"].notna().any() else taken
        found.append(max(stood - left, 0.0))
        left = stood - taken
        exposure.append(float(weight.sum()))
        kept_share.append(float(np.clip(exposure[-1] / max(days.factor[came].sum(), 1e-12), 1e-3, 1.0)))
        by_month.append(np.bincount(days.month[came], weight, 12) / max(exposure[-1], 1e-12))
        lines += [int(line) for line in rows["line"]]
        before = now
    counts, times = np.array(found), np.array(exposure)
    note, last = "", int(np.max(np.flatnonzero(counts), initial=-1)) + 1
    if float(times[last:].sum()) / gap.mean >= SILENT:
        if last == 0:
            return Untold(f"how fast {name} fills buckets", "nothing came of it after the first look")
        note = f"gave nothing after {looked[last - 1]}, and is taken to have stopped then"
        counts, times, by_month, looked = counts[:last], times[:last], by_month[:last], looked[:last]
    kept = times > 1e-9
    if not kept.any():
        return Untold(f"how fast {name} fills buckets", "it takes two visits to tell; there is one")
    return _Looks(
        name,
        gap,
        np.array([(day - start).days for day in looked], float)[kept],
        counts[kept],
        times[kept],
        np.array(by_month)[kept],
        np.array(kept_share)[: kept.size][kept],
        tuple(lines),
        note,
    )


def _block(path: str, settings: ShopsSettings, told: list[_Looks]) -> Block:
    """All shops and months of one supply together."""
    seasonal = _months(settings)
    rows = sum(one.found.size for one in told)
    shop = np.repeat(np.arange(len(told)), [one.found.size for one in told])
    by_month = np.concatenate([one.by_month for one in told])
    found = np.concatenate([one.found for one in told])
    expected = np.concatenate([one.expected for one in told])
    prior = np.concatenate([np.full(len(told), FILLING.sd), np.full(len(seasonal), SEASON.sd)])
    variances = [variance_of(cv_of(one.gap)) for one in told]

    def expected_at(x: FloatArray) -> FloatArray:
        strength = np.ones(12)
        strength[seasonal] = np.exp(x[len(told) :])
        at: FloatArray = expected * np.exp(-x[shop]) * (by_month @ strength)
        return at

    def covariance_of_all(_: FloatArray, at: FloatArray) -> FloatArray:
        whole = np.zeros((rows, rows))
        for number, (one, variance) in enumerate(zip(told, variances, strict=True)):
            here = _rows(told, number)
            whole[here, here] = covariance_of(at[here], one.kept_share, variance)
        return whole

    mean, covariance = regressed(found, expected_at, prior, covariance_of_all)
    sds = np.sqrt(np.diag(covariance))
    fitted = expected_at(mean)
    estimates: list[Estimate] = [
        _of_shop(path, one, float(mean[i]), float(sds[i]), fitted[_rows(told, i)])
        for i, one in enumerate(told)
    ]
    picture = _by_month(by_month, found, fitted, expected)
    kept = list(range(len(told)))
    for i, month in enumerate(seasonal, len(told)):
        one = _of_month(
            path, settings, month, float(mean[i]), float(sds[i]), by_month[:, month] @ found, picture
        )
        if one.told_share >= LEAST_TOLD_SHARE:
            estimates.append(one)
            kept.append(i)
    correlation = covariance / np.outer(sds, sds)
    return Block(tuple(estimates), correlation[np.ix_(kept, kept)])


def _rows(told: list[_Looks], number: int) -> slice:
    first = sum(one.found.size for one in told[:number])
    return slice(first, first + told[number].found.size)


def _months(settings: Any) -> list[int]:
    """Months whose strength may be other than the scenario says: none where it has no season."""
    return [] if len(set(settings.season)) == 1 else [m for m in range(12) if settings.season[m] > 0.0]


def _of_shop(path: str, one: _Looks, shift: float, sd: float, fitted: FloatArray) -> Estimate:
    buckets = float(one.found.sum())
    return Estimate(
        name=f"days between buckets of {one.name}",
        path=f"{path}.settings.shops.{one.name}.gap",
        way="times",
        before=one.gap.mean,
        unit="days",
        shift=shift,
        sd=sd,
        prior_sd=FILLING.sd,
        records=int(buckets),
        method=METHOD,
        table="pickups",
        picture=Picture(
            "day of the scenario",
            "buckets found so far",
            one.day,
            np.cumsum(one.found),
            one.day,
            np.cumsum(fitted),
            np.cumsum(one.expected),
            line=one.lines,
        ),
        note=one.note,
    )


def _by_month(shares: FloatArray, found: FloatArray, fitted: FloatArray, expected: FloatArray) -> Picture:
    looked = np.flatnonzero(shares.T @ expected > 0.0)
    months, of = np.arange(1.0, 13.0)[looked], shares.T[looked]
    return Picture(
        "month",
        "buckets found",
        months,
        of @ found,
        months,
        of @ fitted,
        of @ expected,
        kind="counts",
        names=tuple(month_abbr[int(month) + 1] for month in looked),
    )


def _of_month(
    path: str, settings: ShopsSettings, month: int, shift: float, sd: float, seen: float, picture: Picture
) -> Estimate:
    return Estimate(
        name=f"filling of buckets in {month_name[month + 1]}",
        path=f"{path}.settings.season.{MONTHS[month]}",
        way="times",
        before=settings.season[month],
        unit="",
        shift=shift,
        sd=sd,
        prior_sd=SEASON.sd,
        records=round(seen),
        method=METHOD,
        table="pickups",
        picture=picture,
    )
