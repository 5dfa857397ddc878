"""Time zones and the clock of a scenario."""

from __future__ import annotations

from datetime import date

import pytest
from pydantic import ValidationError

from planner.scenario.business import Calendar
from planner.scenario.zone import checked_zone, clock_ahead_h, standard_h


def test_the_clock_is_an_hour_further_ahead_in_summer_time() -> None:
    days = [date(2026, 3, 28), date(2026, 3, 29), date(2026, 10, 24), date(2026, 10, 25)]
    assert clock_ahead_h("CET", days) == [1.0, 2.0, 2.0, 1.0]
    assert clock_ahead_h("Etc/GMT+5", days) == [-5.0] * 4


@pytest.mark.parametrize(("zone", "standard"), [("EST5EDT", -5.0), ("CET", 1.0), ("Australia/Sydney", 10.0)])
def test_standard_time_is_that_of_the_season_without_summer_time(zone: str, standard: float) -> None:
    assert standard_h(zone, [2026, 2027]) == {2026: standard, 2027: standard}


@pytest.mark.parametrize("name", ["", "Europe", "../CET", "/etc/passwd", "localtime", "CET ", "a\0b"])
def test_what_is_no_time_zone_is_refused(name: str) -> None:
    with pytest.raises(
        ValueError, match=r"is not a time zone; .*write a name of the IANA time zone database"
    ):
        checked_zone(name)


def test_a_misspelt_time_zone_is_guessed() -> None:
    with pytest.raises(ValueError, match="'EST5EDTT' is not a time zone; did you mean EST5EDT"):
        checked_zone("EST5EDTT")


def test_without_a_longitude_the_sun_stands_where_the_zone_expects_it() -> None:
    calendar = Calendar.model_validate({"time_zone": "EST5EDT"})
    assert calendar.zone_longitude_deg == -75.0
    west = Calendar.model_validate({"time_zone": "EST5EDT", "longitude": "-79.95 deg"})
    assert west.zone_longitude_deg == -79.95


def test_a_longitude_on_the_other_side_of_the_world_is_refused() -> None:
    with pytest.raises(
        ValidationError, match="highest at about 2:00 by EST5EDT time; east is positive, west negative"
    ):
        Calendar.model_validate({"time_zone": "EST5EDT", "longitude": "79.95 deg"})
