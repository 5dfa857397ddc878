from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from planner.trade.exposure import (
    EXPOSES,
    LIMITS,
    exposure_hours,
    lead_vapour_pressure_pa,
    limit,
    permissible_ug_m3,
    saturated_lead_ug_m3,
)


def test_every_limit_has_a_key_of_its_own_and_says_what_where_and_in_which_unit() -> None:
    assert len({row.key for row in LIMITS}) == len(LIMITS)
    for row in LIMITS:
        assert row.value > 0
        assert min(map(len, (row.unit, row.what, row.source))) > 2
        assert limit(row.key) is row


def test_an_unknown_limit_names_those_there_are() -> None:
    with pytest.raises(KeyError, match="'arsenic' is no published limit; there are permissible, action"):
        limit("arsenic")


def test_a_longer_day_lowers_what_may_be_in_the_air_and_a_short_one_does_not_raise_it() -> None:
    assert [permissible_ug_m3(h) for h in (0.0, 2.0, 8.0)] == [50.0, 50.0, 50.0]
    longer = [permissible_ug_m3(h) for h in (8.0, 9.0, 10.0, 16.0)]
    assert all(a > b for a, b in pairwise(longer))
    with pytest.raises(ValueError, match="a day has from 0 to 24"):
        permissible_ug_m3(25.0)


def test_sorting_the_pot_and_cleaning_up_count_as_exposure_and_fetching_does_not() -> None:
    day = {
        "sorting": 1.0,
        "melting": 2.0,
        "skimming": 0.5,
        "pouring": 0.75,
        "cleaning up": 0.25,
        "fetching": 3.0,
    }
    assert exposure_hours(day) == pytest.approx(4.5)
    assert exposure_hours({}) == 0.0
    assert exposure_hours({"selling": 5.0}) == 0.0


def test_an_activity_that_nobody_judged_is_not_taken_as_harmless() -> None:
    with pytest.raises(
        ValueError, match="whether 'grinding' exposes to lead is not known; activities are sorting"
    ):
        exposure_hours({"melting": 1.0, "grinding": 1.0})
    assert sum(EXPOSES.values()) == 5


def test_hotter_lead_gives_off_more_vapour_also_across_the_melting_point() -> None:
    pressures = lead_vapour_pressure_pa(np.array([20.0, 200.0, 327.0, 328.0, 400.0, 500.0, 600.0]))
    assert (np.diff(pressures) > 0).all()
    below, above = lead_vapour_pressure_pa(np.array([327.4, 327.5]))
    assert above == pytest.approx(below, rel=0.03)


def test_vapour_alone_stays_far_below_the_limit_at_casting_heat_and_passes_it_beyond_500_degc() -> None:
    at_400, at_500 = saturated_lead_ug_m3([400.0, 500.0])
    assert at_400 < limit("permissible").value / 40
    assert at_500 > limit("permissible").value
