"""What buckets hold: the five shares of the typical mix, and of shops that have a mix of their own.

In: sorted rows of ``pickups``; where nothing was sorted, what came out of all ``melts``. Out: blocks. Must not know:
other tables.

The five shares sum to 1, so they are estimated together: each is multiplied by a factor of its own, and what comes of
that is divided by its sum. Lead gives way to steel and zinc over the years as the scenario says; that is taken out
first, so that the estimate is the mix of the day from which it falls.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from planner.fit.asking import SOON_DAYS
from planner.fit.estimate import Block, Estimate, FloatArray, Picture, Untold
from planner.fit.means import cv_of
from planner.fit.prior import MIX
from planner.fit.renewal import regressed
from planner.fit.standing import CORE_SHOPS, entries
from planner.plugin.builtin.shop_settings import ShopsSettings
from planner.plugin.contents import Mix
from planner.records.records import LINE, Records
from planner.scenario import Scenario
from planner.scenario.business import SHARES_OF_WEIGHTS

if TYPE_CHECKING:
    from pandas import DataFrame

PARTS: Final = ("clip-on", "stick-on", "zinc", "steel", "rubbish")
CLIP_ON, STICK_ON, ZINC, STEEL, RUBBISH = range(5)
LEAST_TOLD_SHARE: Final = 0.25
"""A share of which melts told less, as part of the prior's variance, only sorting tells (assumed)."""
YEAR_DAYS: Final = 365.0
_LITTLE: Final = 1e-4
"""Variance of a share that even lots that are all alike have, by weighing."""


def mixes(scenario: Scenario, records: Records) -> Iterator[Block | Untold]:
    """Mixes by what was sorted, or by what was melted."""
    pickups = records["pickups"]
    weighed = pickups[
        (pickups["bucket_kg"] > 0.0) & pickups["clip-on_kg"].notna() & pickups["steel_kg"].notna()
    ]
    for path, model, settings in entries(scenario, "supply"):
        if model != CORE_SHOPS:
            continue
        told = False
        for below, names in _alike(settings).items():
            rows = weighed[weighed["shop"].isin(names)]
            if len(rows):
                told = True
                yield _sorted(scenario, path, below, settings, rows)
        if not told:
            yield _melted(scenario, records, path, settings)


def _alike(settings: ShopsSettings) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, place in settings.shops.items():
        found.setdefault("typical" if place.mix is None else f"shops.{name}", []).append(name)
    return found


def _mix(settings: ShopsSettings, below: str) -> Mix:
    own = None if below == "typical" else settings.shops[below.partition(".")[2]].mix
    return settings.typical.mix if own is None else own


def shares_at(before: FloatArray, x: FloatArray) -> FloatArray:
    """The five shares with each multiplied by a factor of its own, divided by their sum."""
    moved = before * np.exp(x)
    found: FloatArray = moved / moved.sum()
    return found


def _fallen(scenario: Scenario, settings: ShopsSettings, days: Any) -> FloatArray:
    """What lead has lost on each day [share of all that comes in]."""
    since = settings.lead_falls_from or scenario.business().calendar.start
    years = np.maximum((days - np.datetime64(since)).dt.days.to_numpy(float), 0.0) / YEAR_DAYS
    return np.asarray(settings.lead_falls_a_year_share * years)


def _sorted(scenario: Scenario, path: str, below: str, settings: ShopsSettings, rows: DataFrame) -> Block:
    """From lots that were weighed part by part."""
    masses = np.stack([rows[f"{part}_kg"].fillna(0.0).to_numpy(float) for part in PARTS], axis=1)
    shares = masses / masses.sum(axis=1, keepdims=True)
    fallen = _fallen(scenario, settings, rows["date"])
    lead = shares[:, CLIP_ON] + shares[:, STICK_ON]
    grown = (lead + fallen) / np.maximum(lead, 1e-9)
    shares[:, :ZINC] *= np.where(lead > 0.0, grown, 1.0)[:, None]
    shares[:, ZINC] -= fallen * (1.0 - settings.falls_to_steel_share)
    shares[:, STEEL] -= fallen * settings.falls_to_steel_share
    seen = shares.mean(axis=0)
    mix = _mix(settings, below)
    before = np.array(mix.shares)
    there = np.flatnonzero(before > 0.0)[:-1]

    def expected(x: FloatArray) -> FloatArray:
        return shares_at(before, x)[there]

    def covariance(x: FloatArray, _: FloatArray) -> FloatArray:
        return _of_lots(shares_at(before, x), mix, len(rows))[np.ix_(there, there)]

    mean, found = regressed(seen[there], expected, np.full(5, MIX.sd), covariance)
    lines = tuple(int(line) for line in rows[LINE])
    return _block(
        path, below, before, mean, found, seen, len(rows), "mean of what was sorted", "pickups", lines
    )


def _of_lots(shares: FloatArray, mix: Mix, lots: float) -> FloatArray:
    """Covariance of the mean shares of so many lots (Dirichlet, `planner.plugin.contents`)."""
    whole = np.diag(shares) - np.outer(shares, shares)
    spread = 0.0 if mix.concentration is None else 1.0 / (mix.concentration + 1.0)
    found: FloatArray = (whole * spread + _LITTLE * np.eye(5)) / lots
    return found


def _melted(scenario: Scenario, records: Records, path: str, settings: ShopsSettings) -> Block | Untold:
    """From the ingots that came out of everything that was melted."""
    what = f"what buckets of {path.partition('.')[2]} hold"
    business, melts = scenario.business(), records["melts"]
    weights = float(melts["weights_kg"].sum())
    if business.sorting.on or len(_alike(settings)) > 1 or len(list(entries(scenario, "supply"))) > 1:
        return Untold(what, "no bucket was weighed part by part after sorting; write it in pickups")
    if not weights > 0.0:
        return Untold(what, "no bucket was weighed part by part after sorting, and no melt is written down")
    ingots = float(melts["ingots_kg"].sum())
    share = business.melting.dross_share
    dross = melts["dross_kg"].fillna(melts["ingots_kg"] * share / (1.0 - share)).sum()
    days = records.days
    new = days is not None and 0 <= (days[0] - business.calendar.start).days <= SOON_DAYS
    lead = (ingots + float(dross) + (business.melting.heel_kg if new else 0.0)) / weights
    mix = settings.typical.mix
    before, clip = np.array(mix.shares), mix.clip_share
    fallen = float(_fallen(scenario, settings, melts["date"]).mean())
    lots = max(1.0, weights / settings.typical.mass_kg.mean)

    def of(shares: FloatArray) -> FloatArray:
        both = shares[CLIP_ON] + shares[STICK_ON]
        stays = max(1.0 - fallen / both, 0.0)
        return np.array([stays * (shares[CLIP_ON] * (1.0 - clip.mean) + shares[STICK_ON])])

    def covariance(x: FloatArray, _: FloatArray) -> FloatArray:
        shares = shares_at(before, x)
        weight = np.array([1.0 - clip.mean, 1.0, 0.0, 0.0, 0.0])
        clips = (cv_of(clip) * clip.mean) ** 2
        spread = weight @ _of_lots(shares, mix, lots) @ weight + shares[CLIP_ON] ** 2 * clips / lots
        return np.array([[float(spread)]])

    mean, found = regressed(
        np.array([lead]), lambda x: of(shares_at(before, x)), np.full(5, MIX.sd), covariance
    )
    at = shares_at(before, mean)
    block = _block(
        path, "typical", before, mean, found, at, len(melts), "what came out of all melts", "melts", ()
    )
    note = "ingots tell how much lead is in them, not which weights, so the rest is as it was thought"
    estimates = (
        replace(one, note=note)
        if one.told_share >= LEAST_TOLD_SHARE
        else replace(one, records=0, table="pickups", note=note)
        for one in block.estimates
    )
    return replace(block, estimates=tuple(estimates))


def _block(
    path: str,
    below: str,
    before: FloatArray,
    mean: FloatArray,
    covariance: FloatArray,
    seen: FloatArray,
    number: int,
    method: str,
    table: str,
    lines: tuple[int, ...],
) -> Block:
    """Each share on its own scale, that of the logarithm of its factor; there they hang together."""
    now = shares_at(before, mean)
    slopes = np.eye(5) - now[None, :]
    at_first = (np.eye(5) - before[None, :]) * MIX.sd
    both = slopes @ covariance @ slopes.T
    prior = np.sqrt((at_first**2).sum(axis=1))
    along = np.arange(1.0, 6.0)
    picture = Picture(
        "what is in a bucket", "parts of a hundred", along, 100.0 * seen, along, 100.0 * now,
        100.0 * before, line=lines, kind="counts", names=PARTS,
    )  # fmt: skip
    of = "" if below == "typical" else f" of {below.partition('.')[2]}"
    kept = [i for i in range(5) if before[i] > 0.0]
    sds = np.sqrt(np.diag(both))
    estimates = tuple(
        Estimate(
            name=f"{PARTS[i]} weights in a bucket{of}" if i != RUBBISH else f"rubbish in a bucket{of}",
            path=f"{path}.settings.{below}.mix.{SHARES_OF_WEIGHTS[i]}",
            way="tilt",
            before=float(before[i]),
            unit="",
            shift=float(np.log(now[i] / before[i])),
            sd=float(sds[i]),
            prior_sd=float(prior[i]),
            records=number,
            method=method,
            table=table,
            picture=picture,
        )
        for i in kept
    )
    correlation = both / np.outer(np.maximum(sds, 1e-12), np.maximum(sds, 1e-12))
    np.fill_diagonal(correlation, 1.0)
    return Block(estimates, correlation[np.ix_(kept, kept)])
