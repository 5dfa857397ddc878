from __future__ import annotations

from dataclasses import replace
from math import inf, nan

import pytest

from planner.trade.lifting import (
    BUCKET_GRIP_CM,
    BUCKET_WIDTH_CM,
    REACH_OVER_SILL_CM,
    REFUSED_INDEX,
    TAILGATE_CM,
    Hands,
    Lift,
    lifting_index,
    multipliers,
    outside_scope_share,
    recommended_weight_kg,
    recommended_weights_kg,
)
from planner.trade.lifting_frequency import frequency_multiplier

FULL_BUCKET_KG = 59.0
NEAR_CM = 20.0 + BUCKET_WIDTH_CM / 2.0  # NIOSH 94-110, p. 8
EASY = Lift(Hands(25.0, 75.0, 0.0, "good"), Hands(25.0, 75.0, 0.0, "good"), 0.2, 1.0)


def bucket_lift(
    tailgate_cm: float = TAILGATE_CM, lifts_per_min: float = 0.2, duration_h: float = 1.0
) -> Lift:
    """A 20 L bucket from the floor to a tailgate."""
    floor = Hands(NEAR_CM, BUCKET_GRIP_CM)
    tailgate = Hands(NEAR_CM + REACH_OVER_SILL_CM, tailgate_cm + BUCKET_GRIP_CM)
    return Lift(floor, tailgate, lifts_per_min, duration_h)


def test_a_full_bucket_from_the_floor_is_refused_and_half_a_bucket_is_not() -> None:
    most_kg = recommended_weight_kg(bucket_lift())
    assert 5.0 < lifting_index(FULL_BUCKET_KG, most_kg) < 6.0
    assert lifting_index(FULL_BUCKET_KG / 2, most_kg) == pytest.approx(2.7, abs=0.1)
    assert lifting_index(FULL_BUCKET_KG / 2, most_kg) < REFUSED_INDEX < lifting_index(FULL_BUCKET_KG, most_kg)


def test_the_worse_end_of_the_bucket_lift_is_at_the_tailgate() -> None:
    floor_kg, tailgate_kg = recommended_weights_kg(bucket_lift())
    assert tailgate_kg < floor_kg
    assert recommended_weight_kg(bucket_lift()) == tailgate_kg


def test_a_higher_tailgate_lets_one_lift_less() -> None:
    loads = [recommended_weight_kg(bucket_lift(tailgate_cm=h)) for h in (55.0, 75.0, 95.0, 115.0)]
    assert loads == sorted(loads, reverse=True)
    assert len(set(loads)) == 4


def test_lifting_all_evening_lets_one_lift_less_than_for_half_an_hour() -> None:
    short = bucket_lift(lifts_per_min=1.0, duration_h=0.5)
    long = bucket_lift(lifts_per_min=1.0, duration_h=3.0)
    assert recommended_weight_kg(long) == pytest.approx(recommended_weight_kg(short) * 0.75 / 0.94)


def test_the_easiest_lift_is_the_load_constant() -> None:
    assert recommended_weight_kg(EASY) == 23.0


@pytest.mark.parametrize(
    "hands",
    [
        Hands(64.0, 75.0),
        Hands(25.0, 176.0),
        Hands(25.0, 75.0, 136.0),
    ],
)
def test_out_of_reach_means_no_lift_and_an_infinite_index(hands: Hands) -> None:
    lift = replace(EASY, destination=hands)
    assert recommended_weight_kg(lift) == 0.0
    assert lifting_index(1.0, recommended_weight_kg(lift)) == inf
    assert lifting_index(0.0, recommended_weight_kg(lift)) == 0.0


def test_work_of_more_than_eight_hours_and_more_than_fifteen_lifts_a_minute_are_not_covered() -> None:
    assert frequency_multiplier(0.05, 8.1, 0.0) == 0.0
    assert frequency_multiplier(15.0, 1.0, 80.0) == 0.28
    assert frequency_multiplier(15.1, 1.0, 80.0) == 0.0


def test_the_frequency_column_follows_the_height_at_the_origin_for_both_ends() -> None:
    up = Lift(Hands(30.0, 40.0), Hands(30.0, 110.0), 13.0, 1.0)
    down = Lift(Hands(30.0, 110.0), Hands(30.0, 40.0), 13.0, 1.0)
    assert multipliers(up, "destination").frequency == multipliers(up, "origin").frequency == 0.0
    assert multipliers(down, "destination").frequency == multipliers(down, "origin").frequency == 0.34


def test_the_grip_counts_where_the_hands_are() -> None:
    up = Lift(Hands(30.0, 40.0), Hands(30.0, 110.0), 0.2, 1.0)
    assert multipliers(up, "origin").coupling == 0.95
    assert multipliers(up, "destination").coupling == 1.0


def test_seldom_lifts_use_the_first_column_and_count_as_one_in_five_minutes() -> None:
    assert frequency_multiplier(0.09, 7.0, 40.0) == 1.0
    assert frequency_multiplier(0.1, 7.0, 40.0) == 0.85
    assert frequency_multiplier(0.2, 7.0, 40.0) == 0.85


def test_hours_colder_or_warmer_than_the_equation_covers_are_counted() -> None:
    assert outside_scope_share([19.0, 22.0, 26.0]) == 0.0
    assert outside_scope_share([5.0, 18.9, 22.0, 26.1]) == 0.75
    assert outside_scope_share([]) == 0.0


@pytest.mark.parametrize("bad", [-1.0, inf, nan])
def test_impossible_hands_and_loads_are_refused_by_name(bad: float) -> None:
    with pytest.raises(ValueError, match="vertical_cm is"):
        Hands(30.0, bad)
    with pytest.raises(ValueError, match="lifts_per_min is"):
        replace(EASY, lifts_per_min=bad)
    with pytest.raises(ValueError, match="load_kg is"):
        lifting_index(bad, 23.0)


def test_an_unknown_grip_is_refused_with_the_grips_there_are() -> None:
    with pytest.raises(ValueError, match="coupling is 'great'; allowed: good, fair, poor"):
        Hands(30.0, 75.0, 0.0, "great")  # type: ignore[arg-type]
