from __future__ import annotations

from typing import Any

import pytest

from planner.study.prospects import Prospects, prospects
from planner.workshop.floor import Floor
from planner.workshop.premises import StartUp, premises
from tests.small import Asking, business, crowd, tables, weather, world


def seen(world_changes: dict[str, Any] | None = None, **changes: Any) -> Prospects:
    of = business(calendar={"days": 14}, **changes)
    made = world(of, **(world_changes or {}))
    return prospects(Floor(of, made, Asking(), StartUp(), premises(of), tables()))


def test_free_hours_and_hours_to_light_up_are_counted_by_the_week() -> None:
    found = seen(melting={"days": ["sat"]})
    assert found.free_hours_a_week == pytest.approx(5 * 3.0 + 8.0)
    assert found.melting_hours_a_week == pytest.approx(8.0)
    assert found.missing == ()


def test_without_a_lamp_only_daylight_counts() -> None:
    late = {"hours": {"mon-sun": "12:00-22:00"}}
    assert seen(owner=late).melting_hours_a_week == pytest.approx(70.0)
    dark = seen(owner=late, melting={"light": False}).melting_hours_a_week
    assert 7 * 5.0 < dark < 7 * 6.5  # at 45 degrees north the sun sets before six in the first half of March


def test_where_it_rains_every_hour_nothing_is_ever_melted_in_the_open() -> None:
    rain = {"weather": weather(14, rain_mm=5.0)}
    found = seen(rain, melting={"place": "open air"})
    assert found.melting_hours_a_week == 0.0
    (missing,) = found.missing
    assert missing.startswith(
        "nothing can ever be melted: in none of the free hours do melting.days, daylight, rain"
    )
    assert seen(rain).missing == ()  # under the roof


def test_without_free_hours_that_is_all_that_needs_to_be_said() -> None:
    found = seen(owner={"hours": "none"})
    assert found.missing == (
        "there are no free hours (owner.hours), so nothing is ever fetched, melted or sold",
    )


def test_without_shops_or_buyers_that_is_told() -> None:
    assert "there is nothing to melt" in seen({"shops": ()}).missing[0]
    left = seen({"shops": ()}, stock={"lots": [{"mass": "50 kg", "clip_on_share": 1.0}]})
    assert left.missing == ("no shop fills a bucket (supply): what is in stock is all there is",)
    assert "nobody buys" in seen({"crowds": ()}).missing[0]
    strangers = seen({"crowds": (crowd(14, known=0),)})
    assert strangers.missing[0].startswith("no buyer knows of the business")


def test_free_hours_on_other_days_than_those_played_are_not_called_none() -> None:
    (missing,) = seen(owner={"hours": {"sat": "12:00-22:00"}, "holidays": "2026-01-01 to 2030-01-01"}).missing
    assert missing.startswith("none of the free hours (owner.hours) lies in the days that are played")


def test_who_pays_less_than_any_shop_asks_never_fetches() -> None:
    (missing,) = seen(fetching={"most_price": "0 EUR"}).missing
    assert missing.startswith("every bucket is dearer than you pay at most (fetching.most_price)")
    assert seen(fetching={"most_price": "1000 EUR"}).missing == ()


def test_in_an_unsafe_place_no_hour_allows_to_light_up() -> None:
    found = seen(melting={"place": "enclosed"})
    assert found.melting_hours_a_week == 0.0
    assert found.missing == ()  # the limit is told as such
