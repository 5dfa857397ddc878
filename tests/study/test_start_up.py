from __future__ import annotations

import pytest

from planner.study.start_up import start_up_charge
from tests.report.made import study, swings, three


def test_the_charge_is_shared_by_the_years_and_taken_out_again_to_find_the_payback() -> None:
    played = study(three(), days=730)
    gain = played.difference("bigger burner", "profit_after_hours").mean
    found = start_up_charge(played, "bigger burner")
    assert found is not None
    assert found.charged == pytest.approx((90.0 - 10.0) / 2.0)
    assert found.payback_months == pytest.approx(12.0 * 90.0 / (gain + 40.0))
    assert found.within


def test_what_costs_more_than_it_brings_while_played_is_paid_back_later_or_never() -> None:
    values = {"as today": 100.0 + swings(60), "gear": 100.0 + swings(60) - 400.0}
    found = start_up_charge(study(values, start_up_cost=600.0), "gear")  # 190 a year beside the charge of 590
    assert found is not None
    assert found.payback_months == pytest.approx(12.0 * 600.0 / 190.0)
    assert not found.within
    never = start_up_charge(study(values, start_up_cost=300.0), "gear")
    assert never is not None
    assert (never.payback_months, never.within) == (None, False)


def test_what_costs_nothing_to_start_has_no_charge() -> None:
    assert start_up_charge(study(three()), "as today") is None
