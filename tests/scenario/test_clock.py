from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.scenario.clock import (
    Day,
    DayRanges,
    DayWindows,
    MonthNumbers,
    MonthTemperaturesC,
    WeekdayWindows,
    Windows,
    covered,
    days_of,
    months_of,
    read_dated_windows,
    read_day_ranges,
    read_windows,
    weekdays_of,
    written_windows,
)
from planner.scenario.part import PartsError
from planner.scenario.section import Section


class Times(Section):
    evening: Windows = ()
    hours: WeekdayWindows = ((),) * 7
    start: Day = date(2026, 1, 1)
    off: DayRanges = ()
    own: DayWindows = ()
    season: MonthNumbers = (1.0,) * 12
    air_c: MonthTemperaturesC = (5.0,) * 12


@pytest.mark.parametrize(
    ("text", "windows"),
    [
        ("18:00-21:30", ((18.0, 21.5),)),
        ("9:00 - 12:00", ((9.0, 12.0),)),
        ("18:00-06:00", ((18.0, 30.0),)),
        ("00:00-24:00", ((0.0, 24.0),)),
        ("20:00-00:00", ((20.0, 24.0),)),
        (["18:00-21:00", "06:00-08:00"], ((6.0, 8.0), (18.0, 21.0))),
        (["22:00-06:00", "06:00-08:00"], ((6.0, 8.0), (22.0, 30.0))),
        ("none", ()),
    ],
)
def test_hours_are_read_as_windows_in_order(text: Any, windows: tuple[tuple[float, float], ...]) -> None:
    assert read_windows(text) == windows


@pytest.mark.parametrize("text", [["18:00-21:00", "20:00-22:00"], ["22:00-06:00", "05:00-07:00"]])
def test_windows_that_overlap_are_refused(text: list[str]) -> None:
    with pytest.raises(ValueError, match="two times overlap at"):
        read_windows(text)


def test_each_wrong_window_of_a_list_is_pointed_at() -> None:
    with pytest.raises(PartsError) as caught:
        read_windows(["18-21", "18:00-21:00", 5])
    assert [part.at for part in caught.value.found] == [(0,), (2,)]


MINUTES = st.integers(0, 24 * 60 - 1)


@given(start=MINUTES, length=st.integers(1, 24 * 60))
def test_every_window_is_written_as_it_was_read(start: int, length: int) -> None:
    end = (start + length) % (24 * 60)
    text = f"{start // 60:02d}:{start % 60:02d}-{end // 60:02d}:{end % 60:02d}"
    if length == 24 * 60 and start:
        with pytest.raises(ValueError, match="begins and ends at once"):
            read_windows(text)
    elif length < 24 * 60:
        windows = read_windows(text)
        assert windows[0][1] - windows[0][0] == pytest.approx(length / 60)
        assert read_windows(written_windows(windows)) == windows


def test_a_range_stands_for_its_weekdays_and_a_day_left_out_has_no_hours() -> None:
    times = Times.model_validate(
        {"hours": {"mon-wed": "18:00-21:00", "sat-sun": ["09:00-12:00", "13:00-17:00"]}}
    )
    assert [len(windows) for windows in times.hours] == [1, 1, 1, 0, 0, 2, 2]
    assert Times.model_validate({"hours": "18:00-21:00"}).hours == (((18.0, 21.0),),) * 7


def test_a_range_may_run_over_the_end() -> None:
    assert covered("sat-mon", ("mon", "tue", "sat", "sun")) == ("sat", "sun", "mon")


def test_a_day_given_twice_is_refused() -> None:
    with pytest.raises(ValueError, match="tue is given twice"):
        Times.model_validate({"hours": {"mon-fri": "none", "tue": "18:00-21:00"}})


def test_months_are_twelve_values_or_one_for_all() -> None:
    season = {"jan-mar": 0.5, "apr-dec": 1.2}
    assert Times.model_validate({"season": season}).season == (0.5,) * 3 + (1.2,) * 9
    assert Times.model_validate({"air": "41 degF"}).air_c == pytest.approx((5.0,) * 12)


def test_a_table_keeps_its_bounds() -> None:
    with pytest.raises(ValueError, match="3 h is not possible; it must be from 0 h to 2 h"):
        weekdays_of("h", 0, 2).read("3 h")
    assert months_of("degC").read({"jan-dec": "-5 degC"}) == (-5.0,) * 12


def test_days_off_include_their_first_and_last_day() -> None:
    ranges = read_day_ranges(["2026-07-01 to 2026-07-03", "2026-05-01"])
    assert ranges == ((date(2026, 5, 1), date(2026, 5, 1)), (date(2026, 7, 1), date(2026, 7, 3)))
    assert days_of(ranges) == {date(2026, 5, 1), *(date(2026, 7, day) for day in (1, 2, 3))}
    assert read_day_ranges("none") == ()


def test_single_days_have_times_of_their_own() -> None:
    days = read_dated_windows(["2026-03-14 none", "2026-03-07 13:00-15:00", "2026-03-07 09:00-11:00"])
    assert days == ((date(2026, 3, 7), ((9.0, 11.0), (13.0, 15.0))), (date(2026, 3, 14), ()))
    assert read_dated_windows("2026-03-07 22:00-02:00") == ((date(2026, 3, 7), ((22.0, 26.0),)),)
    assert read_dated_windows("none") == ()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("2026-03-07", "'2026-03-07' is not a day with its times; write it like 2026-03-07 10:00-14:00"),
        (7, "7 is not a day with its times"),
        ("2026-02-30 10:00-14:00", "'2026-02-30' is no day of the calendar"),
        ("2026-03-07 10-14", "'10-14' is not a time from-to"),
        (["2026-03-07 10:00-14:00", "2026-03-07 13:00-15:00"], "two times overlap at 13:00"),
        (["2026-03-07 none", "2026-03-07 13:00-15:00"], "2026-03-07 is told twice, once with none"),
    ],
    ids=str,
)
def test_a_day_whose_times_cannot_be_is_told(text: Any, words: str) -> None:
    with pytest.raises(ValueError, match=re.escape(words)):
        read_dated_windows(text)


def test_each_wrong_day_of_a_list_is_pointed_at() -> None:
    with pytest.raises(PartsError) as caught:
        read_dated_windows(["2026-03-07", "2026-03-08 10:00-14:00", "2026-03-09 10-14"])
    assert [part.at for part in caught.value.found] == [(0,), (2,)]


def test_what_is_written_back_reads_as_the_same_times() -> None:
    times = Times.model_validate(
        {
            "evening": ["22:00-02:00", "09:00-11:30"],
            "hours": {"mon-fri": "18:00-21:00", "sat": ["08:00-12:00", "13:00-18:00"]},
            "start": "2026-02-28",
            "off": ["2026-07-01 to 2026-07-14", "2026-12-24"],
            "own": ["2026-03-07 09:00-11:00", "2026-03-07 22:00-02:00", "2026-03-08 none"],
            "season": {"jan-jun": 1, "jul-dec": 2},
            "air": {"jan-dec": "5 degC"},
        }
    )
    assert Times.model_validate(times.model_dump(mode="json", by_alias=True)) == times
