"""The price that brings most: until when, for which alloy, in which way of selling, and what must never happen."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from datetime import date
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from planner.world.parts import ALLOYS, CHANNELS, PriceView

Make = Callable[..., Any]
See = Callable[..., PriceView]
NORMAL = {"normal": {"mean": "5 EUR/kg", "sd": "0.8 EUR/kg"}}
CASTERS = {"people": 20, "gap": "60 days", "size": "6 kg", "most": {"hard": NORMAL}}


@pytest.fixture(scope="session")
def best(model: Make) -> Make:
    def make(**changes: Any) -> Any:
        small = {"private": [CASTERS], "most_stock": "100 kg", "looks_ahead": "120 days"}
        return model("best", small | changes)

    return make


@pytest.fixture(scope="session")
def plain(best: Make) -> Any:
    return best()


@pytest.fixture(scope="session")
def singly(best: Make) -> Any:
    """All orders are of one step."""
    return best(private=[CASTERS | {"people": 60, "size": "2 kg"}])


@pytest.mark.parametrize(
    ("until", "t_h", "today", "left"),
    [
        ({}, 36.0, date(2026, 1, 2), 30.0),
        ({"until": "2026-01-02"}, 36.0, date(2026, 1, 2), 0.5),
        ({"until": "2026-02-01"}, 36.0, date(2026, 1, 2), 30.5),
        ({"until": "2026-01-01"}, 36.0, date(2026, 1, 2), 0.0),
        ({"season_ends": "jan"}, 36.0, date(2026, 1, 2), 29.5),
        ({"season_ends": "oct"}, 0.0, date(2026, 10, 31), 1.0),
        ({"season_ends": "oct"}, 0.0, date(2026, 11, 1), 365.0),
        ({"season_ends": "feb"}, 0.0, date(2028, 2, 1), 29.0),
        ({"season_ends": "dec"}, 0.0, date(2026, 12, 1), 31.0),
    ],
)
def test_time_is_left_until_the_end_of_the_plan_of_a_day_or_of_a_season(
    until: dict[str, str], t_h: float, today: date, left: float, best: Make, view: See
) -> None:
    assert best(**until).days_left(view(t_h=t_h, today=today, days_left=30.0)) == pytest.approx(left)


def test_once_the_date_is_past_the_yard_is_all_that_metal_is_worth(best: Make, view: See) -> None:
    of, over = best(until="2025-12-31"), view(90.0, days_left=100.0)
    asked = [of.quote(over._replace(yard_per_kg=yard), "hard", 6.0, "private") for yard in (0.0, 1.3, 9.5)]
    assert asked[0] < asked[1] < asked[2] == 9.5
    assert of.quote(over._replace(days_left=3.0), "hard", 6.0, "private") == asked[1]


counts = st.integers(0, 50)


@settings(deadline=None, derandomize=True)
@given(
    kg=st.tuples(counts, counts), days=st.tuples(st.floats(0.0, 150.0), st.floats(0.0, 150.0)),
    yards=st.tuples(st.floats(0.0, 9.0), st.floats(0.0, 9.0)),
)  # fmt: skip
def test_more_stock_less_time_and_a_cheaper_yard_never_make_a_kilogram_dearer(
    kg: Any, days: Any, yards: Any, view: See, singly: Any
) -> None:
    """For orders of one step each (Gallego and van Ryzin 1994, theorem 1); larger ones may jump near the end."""

    def asked(stock: int, left: float, yard: float) -> float:
        seen = view(2.0 * stock, days_left=left, yard_per_kg=yard)
        price: float = singly.quote(seen, "hard", 2.0, "private")
        return price

    cent = 1e-6
    assert asked(max(kg), days[0], yards[0]) <= asked(min(kg), days[0], yards[0]) + cent
    assert asked(kg[0], min(days), yards[0]) <= asked(kg[0], max(days), yards[0]) + cent
    assert asked(kg[0], days[0], min(yards)) <= asked(kg[0], days[0], max(yards)) + cent


@settings(deadline=None, derandomize=True)
@given(
    kg=st.floats(0.0, 500.0), mass=st.floats(0.1, 400.0), left=st.floats(0.0, 2000.0), yard=st.floats(0.0, 50.0),
    alloy=st.sampled_from(ALLOYS), channel=st.sampled_from(CHANNELS),
)  # fmt: skip
def test_nothing_is_asked_less_for_than_the_yard_pays_and_selling_costs(
    kg: float, mass: float, left: float, yard: float, alloy: Any, channel: Any, costly: Any, view: See
) -> None:
    seen = view(kg, days_left=left, yard_per_kg=yard, yard_zinced_per_kg=yard / 3.0)
    asked = costly.quote(seen, alloy, mass, channel)
    cost = {"private": 0.1, "bulk": 0.2, "post": 0.9}[channel]
    assert np.isfinite(asked)
    assert asked >= (yard / 3.0 if alloy == "zinced" else yard + cost - 1e-9)


@pytest.fixture(scope="session")
def costly(best: Make) -> Any:
    return best(costs={"private": "0.1 EUR/kg", "bulk": "0.2 EUR/kg", "post": "0.9 EUR/kg"})


def test_alloys_and_ways_that_nobody_is_named_for_are_asked_what_the_others_are(
    plain: Any, view: See
) -> None:
    asked = {(a, c): plain.quote(view(), a, 6.0, c) for a in ALLOYS for c in CHANNELS}
    hard = asked["hard", "private"]
    assert hard > 4.0
    assert {asked[a, c] for a in ("hard", "soft", "mixed") for c in CHANNELS} == {hard}
    assert asked["zinced", "post"] == pytest.approx(hard / 2.0)


def test_each_alloy_has_a_price_by_its_own_stock_and_buyers(best: Make, view: See) -> None:
    soft = {"normal": {"mean": "6 EUR/kg", "sd": "0.8 EUR/kg"}}
    zinced = {"normal": {"mean": "2.5 EUR/kg", "sd": "0.5 EUR/kg"}}
    of = best(private=[{**CASTERS, "most": {"hard": NORMAL, "soft": soft, "zinced": zinced}}])
    hard, dearer, spoiled = (of.quote(view(), a, 6.0, "private") for a in ("hard", "soft", "zinced"))
    assert dearer == pytest.approx(hard + 1.0, abs=0.15)
    assert 2.0 < spoiled < 3.5
    rare = view()._replace(stock_kg={"hard": 4.0, "soft": 90.0})
    assert of.quote(rare, "hard", 6.0, "private") > hard
    assert of.quote(rare, "soft", 6.0, "private") < dearer


def test_zinced_lead_that_has_buyers_is_kept_for_what_the_yard_pays_for_it(best: Make, view: See) -> None:
    of = best(private=[{**CASTERS, "most": {"hard": NORMAL, "zinced": NORMAL}}])
    over = view(90.0, days_left=0.0, yard_per_kg=3.0, yard_zinced_per_kg=0.5)
    hard, spoiled = (of.quote(over, alloy, 6.0, "private") for alloy in ("hard", "zinced"))
    assert spoiled < hard
    assert spoiled == of.quote(over._replace(yard_per_kg=0.5), "hard", 6.0, "private")


def test_other_ways_of_selling_make_metal_scarcer(best: Make, plain: Any, view: See) -> None:
    post = {"people": 40, "gap": "60 days", "size": "26 kg", "most": {"hard": NORMAL}}
    with_post = best(post=[post], costs={"post": "0.9 EUR/kg"})
    assert (
        with_post.quote(view(), "hard", 6.0, "private") > plain.quote(view(), "hard", 6.0, "private") + 0.05
    )
    asked = {channel: with_post.quote(view(), "hard", 26.0, channel) for channel in CHANNELS}
    assert asked["private"] < asked["post"] < asked["private"] + 0.9


def test_more_buyers_make_metal_dearer(best: Make, plain: Any, view: See) -> None:
    twice = best(private=[{**CASTERS, "people": 40}])
    again = best(private=[CASTERS, CASTERS])
    asked = [of.quote(view(days_left=90.0), "hard", 6.0, "private") for of in (plain, twice, again)]
    assert asked[0] < asked[1] == pytest.approx(asked[2], abs=1e-6)


def test_an_order_that_takes_all_there_is_is_dearer_than_one_of_plenty(plain: Any, view: See) -> None:
    small, large = (plain.quote(view(60.0), "hard", mass, "private") for mass in (2.0, 60.0))
    assert large > small
    empty, last = (plain.quote(view(kg), "hard", 2.0, "private") for kg in (0.0, 2.0))
    assert empty == last


def test_a_finer_step_of_stock_hardly_moves_a_price(best: Make, plain: Any, view: See) -> None:
    fine = best(step="0.5 kg")
    for kg in (12.0, 40.0, 90.0):
        for days in (5.0, 60.0):
            seen = view(kg, days_left=days)
            one, other = (of.quote(seen, "hard", 6.0, "private") for of in (plain, fine))
            assert one == pytest.approx(other, abs=0.03)


def test_it_looks_no_further_ahead_than_it_is_told(plain: Any, view: See) -> None:
    near, far, further = (
        plain.quote(view(days_left=days), "hard", 6.0, "private") for days in (60.0, 120.0, 900.0)
    )
    assert near < far == further


def test_the_same_view_gives_the_same_price_also_after_a_journey_to_another_process(
    plain: Any, view: See
) -> None:
    away = pickle.loads(pickle.dumps(plain))
    seen = view(33.0, days_left=44.0)
    assert away.quote(seen, "hard", 6.0, "private") == plain.quote(seen, "hard", 6.0, "private")


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"until": "2026-05-01", "season_ends": "oct"}, "write one of the two"),
        ({"step": "0.1 kg"}, "100 kg in steps of 0.1 kg are 1000 steps; write from 1 to 600"),
        ({"step": "200 kg"}, "write from 1 to 600"),
        (
            {"private": [{**CASTERS, "people": 2000, "gap": "1 day"}]},
            "look less far ahead or name fewer people",
        ),
        ({"private": [{**CASTERS, "gap": "0 days"}]}, "longer than 0 days"),
        ({"private": [{**CASTERS, "most": {"zinced": NORMAL}}]}, "take nothing but zinced lead"),
        ({"private": [{**CASTERS, "most": {}}]}, "these buyers take no alloy"),
        ({"private": []}, "at least 1 item"),
        ({"until": "31 October"}, "is not a date"),
        ({"season_ends": "october"}, "'jan'"),
    ],
)
def test_what_cannot_be_worked_out_is_refused(changes: dict[str, Any], told: str, best: Make) -> None:
    with pytest.raises(ValidationError) as caught:
        best(**changes)
    assert told in str(caught.value)


def test_buyers_who_pay_nothing_are_told_when_the_model_is_made(best: Make) -> None:
    with pytest.raises(ValueError, match="would pay nothing"):
        best(private=[{**CASTERS, "most": {"hard": "0 EUR/kg"}}])


def test_tin_has_a_price_of_its_own(best: Make, view: See) -> None:
    assert best(tin="31 EUR/kg").tin(view()) == 31.0
