"""Prices that follow the yard's: factor, margin, floor, ceiling, by way of selling and alloy."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from planner.world.parts import ALLOYS, CHANNELS, PriceView

Make = Callable[..., Any]
See = Callable[..., PriceView]
money = st.floats(0.0, 8.0).map(lambda per_kg: round(per_kg, 3))


def hard(link: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"private": {"hard": link}, **more}


@pytest.mark.parametrize(
    ("link", "per_kg"),
    [
        ({"times": 3}, 3.9),
        ({"plus": "2.5 EUR/kg"}, 3.8),
        ({"times": 2, "plus": "1 EUR/kg"}, 3.6),
        ({"times": 2, "never_below": "3 EUR/kg"}, 3.0),
        ({"times": 5, "never_above": "5 EUR/kg"}, 5.0),
    ],
)
def test_a_price_is_the_yards_times_a_factor_plus_a_margin_within_its_bounds(
    link: dict[str, Any], per_kg: float, model: Make, view: See
) -> None:
    assert model("linked", hard(link)).quote(view(), "hard", 5.0, "private") == pytest.approx(per_kg)


def test_alloys_and_ways_that_are_left_out_follow_those_that_are_written(model: Make, view: See) -> None:
    written = hard({"times": 3}, post={"hard": {"times": 4}, "soft": {"times": 5}, "mixed": {"times": 2}})
    asked = {
        (alloy, channel): model("linked", written).quote(view(), alloy, 5.0, channel)
        for alloy in ALLOYS
        for channel in CHANNELS
    }
    expected = {
        ("hard", "private"): 3.9, ("soft", "private"): 3.9, ("mixed", "private"): 3.9, ("zinced", "private"): 1.95,
        ("hard", "bulk"): 1.95, ("soft", "bulk"): 1.95, ("mixed", "bulk"): 1.95, ("zinced", "bulk"): 0.975,
        ("hard", "post"): 5.2, ("soft", "post"): 6.5, ("mixed", "post"): 2.6, ("zinced", "post"): 1.3,
    }  # fmt: skip
    assert asked == {key: pytest.approx(per_kg) for key, per_kg in expected.items()}


def test_zinced_lead_may_have_a_link_of_its_own(model: Make, view: See) -> None:
    linked = model("linked", {"private": {"hard": {"times": 3}, "zinced": {"times": 1.5}}})
    assert linked.quote(view(), "zinced", 5.0, "private") == pytest.approx(1.95)


def test_the_yards_own_price_comes_before_a_ceiling_unless_it_is_waived(model: Make, view: See) -> None:
    link = {"times": 2, "never_above": "4 EUR/kg"}
    dear = view(yard_per_kg=5.0, yard_zinced_per_kg=2.5)
    assert model("linked", hard(link)).quote(dear, "hard", 5.0, "private") == 5.0
    assert model("linked", hard(link)).quote(dear, "zinced", 5.0, "private") == 2.5
    assert model("linked", hard(link, never_below_yard=False)).quote(dear, "hard", 5.0, "private") == 4.0


@settings(deadline=None, derandomize=True)
@given(
    times=st.floats(0.5, 6.0), plus=money, floor=money, above=money, yards=st.tuples(money, money),
    alloy=st.sampled_from(ALLOYS), channel=st.sampled_from(CHANNELS),
)  # fmt: skip
def test_a_dearer_yard_never_makes_a_price_cheaper_and_no_floor_is_undercut(
    times: float,
    plus: float,
    floor: float,
    above: float,
    yards: Any,
    alloy: Any,
    channel: Any,
    model: Make,
    view: See,
) -> None:
    link = {
        "times": round(times, 3),
        "plus": f"{plus} EUR/kg",
        "never_below": f"{floor} EUR/kg",
        "never_above": f"{floor + above + 0.001:.3f} EUR/kg",
    }
    every = dict.fromkeys(ALLOYS, link)
    linked = model("linked", dict.fromkeys(CHANNELS, every))
    low, high = (
        linked.quote(view(yard_per_kg=yard, yard_zinced_per_kg=yard / 3.0), alloy, 5.0, channel)
        for yard in sorted(yards)
    )
    assert floor <= low <= high
    assert high >= (max(yards) / 3.0 if alloy == "zinced" else max(yards))


@pytest.mark.parametrize(
    ("link", "told"),
    [
        ({}, "write a factor such as `times: 3`, a margin such as `plus: 3 EUR/kg`, or both"),
        (
            {"times": 3, "never_below": "4 EUR/kg", "never_above": "3 EUR/kg"},
            "the ceiling is below the floor",
        ),
        ({"times": -1}, "greater than 0"),
        ({"times": 3, "below": "4 EUR/kg"}, "Extra inputs are not permitted"),
    ],
)
def test_a_link_that_makes_no_sense_is_refused(link: dict[str, Any], told: str, model: Make) -> None:
    with pytest.raises(ValidationError) as caught:
        model("linked", hard(link))
    assert told in str(caught.value)


def test_tin_has_a_price_of_its_own(model: Make, view: See) -> None:
    assert model("linked", hard({"times": 3}, tin="31 EUR/kg")).tin(view()) == 31.0
