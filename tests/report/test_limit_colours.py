from __future__ import annotations

from itertools import combinations

import pytest

from planner.report.charts import limits
from planner.report.charts.figure import BLACK
from planner.report.charts.limit_colours import LIMIT_COLOURS, OTHER, USED, USUAL, colour_of
from planner.report.page import first_screen
from planner.study import Study
from planner.workshop.measures import LIMITS
from tests.report.colour_blind import apart
from tests.report.made import study, three

JUST_SEEN = 2.3
"""Of CIE 1976 L*a*b*: less is not seen (Sharma 2003, Digital color imaging handbook)."""


def test_every_limit_has_a_colour_of_its_own() -> None:
    assert set(LIMIT_COLOURS) == {limit for limit, _ in LIMITS}
    every = [*LIMIT_COLOURS.values(), USED, OTHER]
    assert len({colour.lower() for colour in every}) == len(every)


def test_black_and_white_are_a_hundred_apart_and_red_and_green_close_without_one_cone() -> None:
    assert apart("#000000", "#FFFFFF") == pytest.approx(100.0, abs=0.1)
    assert apart("#CC3300", "#33AA00") < 60.0  # 137 to full sight
    assert apart(BLACK, BLACK) == 0.0


def test_what_usually_limits_is_told_apart_by_the_colour_blind() -> None:
    usual = [*USUAL.values(), USED, OTHER]
    closest = min(combinations(usual, 2), key=lambda two: apart(*two))
    assert apart(*closest) > 6.0 * JUST_SEEN, closest


def test_a_limit_has_the_same_colour_and_order_whatever_else_held_the_business_back(
    garden_outlooks: Study,
) -> None:
    told = first_screen.told(garden_outlooks)
    marks = [mark for one in limits.draw(garden_outlooks, told) for mark in one.marks]
    named = [mark for mark in marks if mark.label not in (limits.USED, limits.OTHER)]
    assert named
    assert all(mark.colour == colour_of(mark.label) for mark in named)
    order = list(LIMIT_COLOURS.values())
    for one in limits.draw(garden_outlooks, told):
        places = [order.index(mark.colour) for mark in one.marks[1:-1]]
        assert places == sorted(places)


def test_the_first_screen_shows_what_holds_back_in_the_same_colour() -> None:
    (hold,) = first_screen.holds(study(three()))
    assert hold.colour == LIMIT_COLOURS["buyers"]
