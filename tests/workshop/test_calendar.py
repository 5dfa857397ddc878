"""Free hours, opening hours and spells of weather, looked up."""

from __future__ import annotations

from datetime import date
from math import floor, inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.workshop.calendar import Openings, Spells, Week, WorkingDays, windows
from planner.world.parts import Horizon

MONDAY = Horizon(date(2026, 3, 2), 7, 45.0)
NONE: Week = ((),) * 7


def week(**days: tuple[tuple[float, float], ...]) -> Week:
    return tuple(days.get(name, ()) for name in ("mon", "tue", "wed", "thu", "fri", "sat", "sun"))


def test_windows_fall_on_their_weekdays() -> None:
    assert windows(MONDAY, week(wed=((18.0, 21.0),), sat=((9.0, 12.0), (13.0, 17.0)))) == [
        (66.0, 69.0),
        (129.0, 132.0),
        (133.0, 137.0),
    ]


def test_a_window_runs_past_midnight_and_joins_what_it_touches() -> None:
    assert windows(MONDAY, week(mon=((22.0, 26.0),), tue=((2.0, 5.0),))) == [(22.0, 29.0)]


def test_a_night_belongs_to_the_day_on_which_it_began() -> None:
    friday = WorkingDays(MONDAY, week(fri=((20.0, 26.0),), sat=((9.0, 17.0),)))
    assert [friday.day(24.0 * 4 + t) for t in (12.0, 20.0, 23.9, 24.0, 25.9)] == [4, 4, 4, 4, 4]
    assert [friday.day(24.0 * 5 + t) for t in (2.0, 3.0, 9.0, 16.0)] == [5, 5, 5, 5]
    both = WorkingDays(MONDAY, week(fri=((20.0, 26.0),), sat=((1.0, 5.0),)))
    assert [both.day(24.0 * 5 + t) for t in (0.5, 1.5, 4.0)] == [4, 5, 5]
    assert [WorkingDays(MONDAY, (((0.0, 24.0),),) * 7).day(24.0 * i + 1.0) for i in range(7)] == [*range(7)]
    holiday = frozenset((date(2026, 3, 7),))
    assert WorkingDays(MONDAY, week(fri=((20.0, 26.0),), sat=((0.0, 5.0),)), holiday).day(24.0 * 5 + 1.0) == 4


def test_a_window_ends_with_the_horizon() -> None:
    assert windows(MONDAY, week(sun=((22.0, 26.0),))) == [(166.0, 168.0)]


def test_all_day_every_day_is_one_stretch() -> None:
    assert windows(MONDAY, (((0.0, 24.0),),) * 7) == [(0.0, 168.0)]


def test_nothing_begins_on_a_day_off() -> None:
    off = frozenset({date(2026, 3, 3)})
    both = week(mon=((22.0, 26.0),), tue=((18.0, 21.0),))
    assert windows(MONDAY, both, off) == [(22.0, 26.0)]


@pytest.mark.parametrize(
    ("t_h", "closes", "opens"), [(7.9, -inf, 8.0), (8.0, 12.0, 8.0), (11.9, 12.0, 11.9), (12.0, -inf, 14.0)]
)
def test_openings_say_when_they_close_and_open(t_h: float, closes: float, opens: float) -> None:
    found = Openings([(8.0, 12.0), (14.0, 18.0)])
    assert found.closes(t_h) == closes
    assert found.opens(t_h) == opens


def test_what_has_closed_for_good_never_opens() -> None:
    assert Openings([(8.0, 12.0)]).opens(13.0) == inf


def test_spells_say_when_the_weather_turns() -> None:
    spells = Spells(np.array([True, True, False, False, True]))
    assert spells.good_at(1.9)
    assert not spells.good_at(2.0)
    assert spells.next_bad_h(0.5) == 2.0
    assert spells.next_good_h(2.5) == 4.0
    assert spells.next_bad_h(4.0) == inf
    assert spells.next_good_h(4.5) == inf
    assert not spells.good_at(5.0)


@given(st.lists(st.booleans(), min_size=1, max_size=60), st.floats(0.0, 65.0))
def test_spells_are_found_as_by_looking_hour_by_hour(good: list[bool], t_h: float) -> None:
    spells, hour = Spells(np.array(good)), floor(t_h + 1e-9)
    later = range(hour + 1, len(good))
    assert spells.good_at(t_h) == (hour < len(good) and good[hour])
    assert spells.next_good_h(t_h) == next((i for i in later if good[i]), inf)
    assert spells.next_bad_h(t_h) == next((i for i in later if not good[i]), inf)
