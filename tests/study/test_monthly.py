from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from planner.engine.player import Player, Setting
from planner.scenario import Scenario
from planner.study import Study, tables
from planner.study.intervals import interval
from planner.study.monthly import HELD, SPENT, month_names, monthly
from planner.workshop.measures import HOURS, limit_measure
from planner.workshop.months import MONTH_FIGURES, months_of
from planner.workshop.result import Run

AT = {figure.name: i for i, figure in enumerate(MONTH_FIGURES)}


@pytest.fixture(scope="module")
def played(garden: Scenario) -> Run:
    return Player(Setting(garden, 1)).run("as today", "expected", 0)


def test_months_of_a_horizon_are_those_it_touches() -> None:
    assert month_names(date(2026, 12, 31), 183)[:2] == ("2026-12", "2027-01")
    assert len(month_names(date(2026, 12, 31), 183)) == 8
    assert len(month_names(date(2026, 1, 1), 3 * 365)) == 36


def test_half_a_year_and_less_is_told_by_weeks_and_a_month_and_less_by_days() -> None:
    assert month_names(date(2026, 3, 2), 60)[:2] == ("2026-03-02", "2026-03-09")
    assert month_names(date(2026, 3, 2), 60)[-1] == "2026-04-27"  # four days of a week
    assert len(month_names(date(2026, 1, 1), 182)) == 26
    assert month_names(date(2026, 12, 31), 2) == ("2026-12-31", "2027-01-01")
    assert [played_by(days) for days in (1, 2, 31, 32, 182, 183)] == [
        "day",
        "day",
        "day",
        "week",
        "week",
        "month",
    ]


def played_by(days: int) -> str:
    names = month_names(date(2026, 1, 1), days)
    return monthly(np.zeros((1, len(names), len(MONTH_FIGURES), 2)), names, 0.95).period


def test_hours_of_the_months_add_up_to_those_of_the_year(played: Run) -> None:
    found = months_of(played)
    for name in HOURS:
        assert found[:, AT[name]].sum() == pytest.approx(played.measures[name])
    held = sum(found[:, AT[name]].sum() for name, _ in HELD)
    spent = sum(found[:, AT[name]].sum() for name in SPENT)
    assert held == pytest.approx(sum(row.hours for row in played.limits))
    assert held + spent == pytest.approx(played.measures["free_hours_h"])
    assert limit_measure("buyers") in AT


def test_kilograms_and_cash_of_the_months_are_those_of_the_books(played: Run) -> None:
    found = months_of(played)
    assert found[:, AT["cast_kg"]].sum() == pytest.approx(sum(melt.poured_kg for melt in played.melts))
    assert found[:, AT["sold_kg"]].sum() == pytest.approx(sum(sale.mass_kg for sale in played.sales))
    for row, month in zip(played.months, found, strict=True):
        booked = sum(entry.amount for entry in played.ledger if entry.t_h <= row.t_h)
        assert month[AT["cash"]] == pytest.approx(played.opening_cash + booked)
    assert played.balance is not None
    assert found[-1, AT["ingots_stock_kg"]] == pytest.approx(played.balance.ingots_kg)
    assert found[-1, AT["weights_stock_kg"]] == pytest.approx(played.balance.lots_kg)
    assert found[-1, AT["weights_stock_kg"]] == pytest.approx(played.measures["stock_end_weights_kg"])


def test_spread_and_mean_of_a_month_are_those_of_its_worlds() -> None:
    values = np.zeros((2, 1, len(MONTH_FIGURES), 11))
    values[0, 0, 0] = np.arange(11.0)
    values[1] = np.nan
    found = monthly(values, ["2026-03"], 0.95)
    assert (found.low[0, 0, 0], found.middle[0, 0, 0], found.high[0, 0, 0]) == (1.0, 5.0, 9.0)
    alone = interval(np.arange(11.0), 0.95)
    assert (found.mean[0, 0, 0], found.mean_low[0, 0, 0]) == pytest.approx((alone.mean, alone.low))
    assert np.isnan(found.mean[1]).all()
    assert np.isnan(found.middle[1]).all()


def test_a_study_has_the_months_of_its_first_outlook(study: Study) -> None:
    assert study.months is not None
    weeks = month_names(date(2026, 3, 2), 60)
    assert study.months.months == weeks
    spent = sum(study.months.mean[:, :, study.months.column(name)].sum(axis=1) for name in SPENT)
    means = [study.level(name, "hours_h").mean for name in study.names]
    assert np.asarray(spent).tolist() == pytest.approx(means, nan_ok=True)
    assert len(tables.months(study).rows) == len(study.names) * len(weeks) * len(MONTH_FIGURES)
