"""What records tell, against answers that are known: by hand, by statsmodels used directly, by what was put in."""

from __future__ import annotations

from datetime import date
from functools import cache
from math import log, sqrt
from typing import Any

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm

from planner.fit.applied import applied
from planner.fit.buyers import buyers
from planner.fit.estimate import Block, Untold
from planner.fit.fitting import Fit, fit
from planner.fit.means import cv_of, scaled
from planner.fit.prior import BUCKET_MASS, FILLING, RECORDS_WORTH, YARD
from planner.fit.renewal import covariance_of, regressed, variance_of
from planner.records.records import Records, filled
from planner.records.tables import TABLES
from planner.scenario import Scenario
from planner.scenario.clock import MONTHS
from planner.scenario.inputs import Input
from planner.scenario.spread import Spread
from tests.fit.truths import small, year


def records(**rows: list[dict[str, Any]]) -> Records:
    """Tables with these rows, the others empty."""
    kept = {name: [{**row, **_day(name, row)} for row in rows.get(name, [])] for name in TABLES}
    return Records({name: filled(TABLES[name], some) for name, some in kept.items()})


def _day(name: str, row: dict[str, Any]) -> dict[str, Any]:
    key = "month" if name == "asked" else "date"
    return {key: pd.Timestamp(row[key])}


@cache
def of_year() -> Fit:
    return fit(small(), year())


def by_path(found: Fit) -> dict[str, Any]:
    return {one.path: one for one in found.estimates}


def fixed_rates() -> Scenario:
    return small().at([Input("rates.model", "core.fixed")])


def test_no_record_tells_nothing_and_says_what_to_write_down():
    found = fit(small(), records())
    assert found.estimates == ()
    told = " ".join(f"{one.name}: {one.why}" for one in found.untold)
    for word in ("bucket", "casters", "yard"):
        assert word in told


def test_one_bucket_hardly_moves_the_mass_of_buckets():
    row = {"date": "2026-01-10", "shop": "Mill", "bucket_kg": 70.0, "paid": 10.0}
    one = by_path(fit(small(), records(pickups=[row])))["supply.town.settings.typical.mass"]
    spread = small().business().supply[0].settings.typical.mass_kg
    u = (np.arange(2000) + 0.5) / 2000
    drawn = spread.from_uniform(u)
    found = log(70.0 / drawn.mean())
    # one record: its variance is that of the scenario's spread alone
    variance = float(drawn.var() / 70.0**2 * (70.0 / drawn.mean()) ** 2)
    weight = BUCKET_MASS.sd**2 / (BUCKET_MASS.sd**2 + variance)
    assert one.shift == pytest.approx(weight * found, rel=1e-3)
    assert one.sd == pytest.approx(sqrt(weight * variance), rel=1e-3)
    assert one.before < one.value < 70.0
    assert one.records == 1


def test_a_mean_is_told_as_surely_as_its_records_scatter():
    values = np.array([40.0, 60.0, 50.0, 50.0, 45.0, 55.0])
    found = scaled(values, Spread.constant(100.0))
    assert found.shift == pytest.approx(log(0.5), abs=1e-6)
    seen = ((values - 50.0) ** 2).sum() / 50.0**2
    assert found.sd == pytest.approx(sqrt(seen / (RECORDS_WORTH + 5.0) / 6.0), rel=1e-3)


def test_what_is_below_the_smallest_order_counts_as_that_in_both():
    spread = Spread("uniform", (1.0, 5.0), low=0.0)
    u = (np.arange(2000) + 0.5) / 2000
    values = np.maximum(spread.from_uniform(u) * 0.7, 3.0)
    assert scaled(values, spread, 3.0).shift == pytest.approx(log(0.7), abs=0.01)


def test_fixed_yard_prices_are_told_by_the_mean_of_logarithms_as_statsmodels_finds_it():
    paid = [1.5, 1.45, 1.6, 1.55]
    rows = [
        {"date": f"2026-0{i}-03", "good": "clips", "mass_kg": 20.0, "price_per_kg": x}
        for i, x in enumerate(paid, 1)
    ]
    one = by_path(fit(fixed_rates(), records(yard=rows)))["rates.settings.clips"]
    before = fixed_rates().business().rates.settings.clips_per_kg
    y = np.log(np.array(paid) / before)
    plain = sm.OLS(y, np.ones(4)).fit()
    variance = 0.02**2 / 4.0
    weight = YARD.sd**2 / (YARD.sd**2 + variance)
    assert one.shift == pytest.approx(weight * float(plain.params[0]), rel=1e-6)
    assert one.sd == pytest.approx(sqrt(weight * variance), rel=1e-6)


def test_a_price_that_wanders_is_less_sure_than_its_receipts_scatter():
    rows = [
        {"date": f"2026-06-{i:02d}", "good": "clips", "mass_kg": 20.0, "price_per_kg": 0.22}
        for i in range(1, 21)
    ]
    found = by_path(fit(small(), records(yard=rows)))
    few = by_path(fit(small(), records(yard=rows[:1])))
    assert found["rates.settings.clips.mean"].sd == pytest.approx(
        few["rates.settings.clips.mean"].sd, rel=0.1
    )


def test_ingots_taken_as_mixed_weights_say_nothing_of_the_price_of_lead():
    rows = [
        {"date": f"2026-0{i}-03", "good": "lead", "mass_kg": 20.0, "price_per_kg": price}
        for i, price in enumerate([1.3, 1.35, 0.45, 1.32], 1)
    ]
    one = by_path(fit(small(), records(yard=rows)))["rates.settings.lead.mean"]
    assert one.records == 3
    assert one.value == pytest.approx(1.33, abs=0.03)
    assert one.note.endswith("mixed weights: 1")


@pytest.mark.parametrize("cv", [0.3, 0.6])
def test_counts_of_regular_things_vary_as_simulated_ones_do(cv):
    chance = np.random.default_rng(3)
    gaps = chance.gamma(cv**-2.0, cv**2, (40_000, 60))
    at = np.cumsum(gaps, axis=1)
    start = 20.0  # long after the beginning, so that the first gap does not show
    edges = start + np.array([0.0, 0.5, 1.5, 5.0])
    counts = np.stack([(at < edge).sum(axis=1) for edge in edges], axis=1)
    seen = np.cov(np.diff(counts, axis=1), rowvar=False)
    expected = covariance_of(np.diff(edges), np.ones(3), variance_of(cv))
    assert np.abs(seen - expected).max() < 0.02


def test_what_is_lost_by_chance_makes_counts_less_regular():
    whole = covariance_of(np.array([10.0]), np.array([1.0]), variance_of(0.3))[0, 0]
    half = covariance_of(np.array([5.0]), np.array([0.5]), variance_of(0.3))[0, 0]
    assert half / 5.0 > whole / 10.0


def test_a_regression_without_a_prior_of_poisson_counts_is_that_of_statsmodels():
    chance = np.random.default_rng(4)
    x = np.stack([np.ones(40), chance.normal(size=40)], axis=1)
    y = chance.poisson(np.exp(x @ [1.0, 0.4])).astype(float)
    mean, covariance = regressed(y, lambda b: np.exp(x @ b), np.full(2, 1e3), lambda _, at: np.diag(at))
    direct = sm.GLM(y, x, family=sm.families.Poisson()).fit()
    assert mean == pytest.approx(np.asarray(direct.params), abs=2e-3)
    assert covariance == pytest.approx(np.asarray(direct.cov_params()), rel=0.02)


def buckets_every(days: int, shop: str = "Quay", visits: int = 40) -> Records:
    """A weekly visit, with a bucket every so many days."""
    rows, last = [], 0
    for week in range(visits):
        day = pd.Timestamp("2026-01-03") + pd.Timedelta(days=7 * week)
        number = (day - pd.Timestamp("2026-01-01")).days // days
        for _ in range(number - last):
            rows.append(
                {"date": day, "shop": shop, "bucket_kg": 50.0, "paid": 10.0, "stood_ready": number - last}
            )
        if number == last:
            rows.append({"date": day, "shop": shop})
        last = number
    return records(pickups=rows)


def test_a_shop_that_fills_a_bucket_every_ten_days_comes_out_so():
    flat = small().at([Input(f"supply.town.settings.season.{month}", 1.0) for month in MONTHS])
    one = by_path(fit(flat, buckets_every(10)))["supply.town.settings.shops.Quay.gap"]
    assert one.interval[0] < 10.0 < one.interval[1]
    assert one.sd < 0.25 * FILLING.sd
    assert one.value < one.before == pytest.approx(16.0)


def test_a_shop_with_few_visits_stays_near_what_its_kind_was_thought_to_be():
    few, many = (
        by_path(fit(small(), buckets_every(6, visits=n)))["supply.town.settings.shops.Quay.gap"]
        for n in (3, 40)
    )
    assert few.before > few.value > many.value
    assert few.sd > 1.5 * many.sd
    assert few.more is not None
    assert few.more > 0


def test_a_shop_that_falls_silent_is_taken_to_have_stopped():
    whole = buckets_every(8, visits=52)
    rows = whole["pickups"]
    late = rows["date"] > pd.Timestamp("2026-05-01")
    rows.loc[late, ["bucket_kg", "paid", "stood_ready"]] = np.nan
    one = by_path(fit(small(), Records({**whole.tables, "pickups": rows})))[
        "supply.town.settings.shops.Quay.gap"
    ]
    assert "stopped" in one.note
    assert one.interval[0] < 8.0 < one.interval[1] * 1.2


def test_records_without_the_too_dear_tell_how_often_people_come_but_not_what_they_pay():
    kept = year()
    asked = kept["asked"].copy()
    asked["too_dear"] = np.nan
    found = fit(small(), Records({**kept.tables, "asked": asked}))
    paths = by_path(found)
    assert "demand.casters.settings.gap" in paths
    assert "demand.casters.settings.most.*.normal.mean" not in paths
    assert any("too dear" in one.why for one in found.untold)


def test_dearer_than_they_would_pay_moves_what_they_would_pay_down():
    kept = year()
    asked = kept["asked"].copy()
    asked["too_dear"] += 3.0
    asked["did_not_buy"] += 3.0
    path = "demand.casters.settings.most.*.normal.mean"
    before = by_path(of_year())[path]
    after = by_path(fit(small(), Records({**kept.tables, "asked": asked}), estimators=(buyers,)))[path]
    assert after.value < before.value - 2.0 * after.sd


def test_a_fit_in_memory_puts_every_estimate_in_its_place():
    found = of_year()
    fitted = applied(found).business()
    paths = by_path(found)
    gap = fitted.supply[0].settings.shops["Quay"].gap_days
    assert gap.mean == pytest.approx(paths["supply.town.settings.shops.Quay.gap"].value, rel=1e-3)
    assert cv_of(gap) == pytest.approx(6.0 / 16.0, rel=0.01)
    pays = fitted.demand[0].settings.most.mixed_per_kg
    assert pays.numbers[0] == pytest.approx(
        paths["demand.casters.settings.most.*.normal.mean"].value, rel=1e-3
    )
    assert pays.numbers[1] == pytest.approx(0.7)
    assert fitted.calendar.start == date(2026, 1, 1)


def test_no_two_estimates_move_the_same_value_and_none_share_a_name():
    found = of_year()
    assert len({one.path for one in found.estimates}) == len(found.estimates)
    assert len({one.name for one in found.estimates}) == len(found.estimates)
    for block in found.blocks:
        assert np.linalg.eigvalsh(block.correlation)[0] > -1e-9


def test_models_of_packages_are_said_to_be_untold():
    rows: Any = {"rows": [{"date": "2026-01-01", "lead": "1 EUR/kg"}]}
    replayed = small().at([Input("rates.model", "core.replay"), Input("rates.settings", rows)])
    found = fit(replayed, records())
    assert any("core.replay" in one.why for one in found.untold if isinstance(one, Untold))
    assert not any(isinstance(one, Block) for one in found.blocks)
