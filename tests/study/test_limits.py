from __future__ import annotations

import numpy as np
import pytest

from planner.scenario import Scenario
from planner.study.intervals import FloatArray
from planner.study.limits import refusals


def measured(cash: list[float] | None = None, over: list[float] | None = None) -> dict[str, FloatArray]:
    cash = [100.0] * 20 if cash is None else cash
    return {
        "lowest_cash": np.array(cash),
        "highest_load_share": np.array([0.0] * len(cash) if over is None else over),
    }


def test_a_sound_business_breaks_no_limit(garden: Scenario) -> None:
    assert refusals(garden.business(), measured()) == ()


def test_an_accepted_overload_is_still_never_recommended(garden: Scenario) -> None:
    found = refusals(garden.business(), measured(over=[0.0] * 19 + [0.12]))
    assert [one.limit for one in found] == ["payload"]
    assert "12 % above" in found[0].reason
    assert refusals(garden.business(), measured(over=[1e-12] * 20)) == ()


@pytest.mark.parametrize(("short", "refused"), [(0, False), (1, False), (2, True), (20, True)])
def test_running_out_of_cash_more_often_than_one_year_in_twenty_is_refused(
    garden: Scenario, short: int, refused: bool
) -> None:
    found = refusals(garden.business(), measured(cash=[-30.0] * short + [50.0] * (20 - short)))
    assert [one.limit for one in found] == (["cash"] if refused else [])
    if refused:
        assert ("in every world" if short == 20 else "in 2 of 20 worlds") in found[0].reason


def test_failed_runs_say_nothing_about_cash(garden: Scenario) -> None:
    assert refusals(garden.business(), measured(cash=[np.nan] * 20)) == ()


def test_limits_broken_by_settings_come_first_and_once(garden: Scenario) -> None:
    found = refusals(garden.business("full buckets"), measured())
    assert [one.limit for one in found] == ["lifting"]
