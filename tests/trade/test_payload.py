from __future__ import annotations

from dataclasses import replace
from math import inf, nan

import pytest

from planner.trade.payload import (
    OCCUPANT_KG,
    Vehicle,
    may_still_load_kg,
    overload_kg,
    rated_cargo_kg,
    wear_cost,
)

# 850 lb (386 kg) for people and cargo: a hatchback; the spare on the rear axle is invented
HATCHBACK = Vehicle(
    payload_kg=386.0, driver_kg=OCCUPANT_KG, rear_axle_spare_kg=400.0, rear_share=1.1,
    overload_wear_per_kg_km=0.001,
)  # fmt: skip
NARROW = replace(HATCHBACK, rear_axle_spare_kg=220.0)
BOLD = replace(HATCHBACK, overload_accepted=True, overload_most_share=0.2)


def test_the_driver_counts_against_the_payload() -> None:
    assert rated_cargo_kg(HATCHBACK) == (386.0 - 68.0, "payload")


def test_cargo_behind_the_rear_axle_is_bound_by_that_axle() -> None:
    cargo_kg, bound = rated_cargo_kg(NARROW)
    assert bound == "rear axle"
    assert cargo_kg == pytest.approx(200.0)


def test_five_full_buckets_go_into_a_hatchback_and_a_sixth_does_not() -> None:
    assert may_still_load_kg(HATCHBACK, 5 * 59.0) == pytest.approx(318.0 - 295.0)
    assert may_still_load_kg(HATCHBACK, 6 * 59.0) == 0.0


def test_a_load_at_the_rating_is_no_overload() -> None:
    assert overload_kg(HATCHBACK, 318.0) == 0.0
    assert overload_kg(HATCHBACK, 6 * 59.0) == pytest.approx(36.0)


def test_an_accepted_overload_is_driven_up_to_its_end() -> None:
    assert may_still_load_kg(BOLD) == pytest.approx(318.0 * 1.2)
    assert may_still_load_kg(BOLD, 390.0) == 0.0


def test_an_overload_wears_the_vehicle_by_weight_and_distance_and_a_rated_load_does_not() -> None:
    assert wear_cost(BOLD, 318.0, 50.0) == 0.0
    assert wear_cost(BOLD, 354.0, 50.0) == pytest.approx(36.0 * 50.0 * 0.001)
    assert wear_cost(BOLD, 354.0, 100.0) == pytest.approx(2 * wear_cost(BOLD, 354.0, 50.0))


def test_a_heavy_crew_leaves_nothing_for_cargo() -> None:
    crowded = replace(HATCHBACK, driver_kg=400.0)
    assert rated_cargo_kg(crowded)[0] == 0.0
    assert may_still_load_kg(crowded) == 0.0


def test_cargo_ahead_of_the_rear_axle_does_not_load_it() -> None:
    assert rated_cargo_kg(replace(NARROW, rear_share=0.0)) == (318.0, "payload")


@pytest.mark.parametrize("bad", [-1.0, inf, nan])
@pytest.mark.parametrize("name", ["payload_kg", "rear_share", "overload_wear_per_kg_km"])
def test_impossible_ratings_are_refused_by_name(name: str, bad: float) -> None:
    with pytest.raises(ValueError, match=f"{name} is"):
        replace(HATCHBACK, **{name: bad})


def test_an_unknown_axle_rating_leaves_the_payload_as_the_only_bound() -> None:
    assert rated_cargo_kg(replace(NARROW, rear_axle_spare_kg=inf)) == (318.0, "payload")
    with pytest.raises(ValueError, match="rear_axle_spare_kg is nan"):
        replace(NARROW, rear_axle_spare_kg=nan)
