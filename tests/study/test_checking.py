from __future__ import annotations

from pathlib import Path

import pytest

from planner.scenario import InputError, Scenario
from planner.study import check, load

EXAMPLE = Path(__file__).parents[2] / "scenarios" / "example.yaml"


LIFTS = Path(__file__).with_name("lifts.yaml")


def test_what_follows_for_a_bucket_stands_there_without_a_run(garden: Scenario) -> None:
    found = check(garden)
    assert found.bucket is not None
    assert 40 < found.bucket.mass_kg < 80
    assert [row.weather for row in found.hours].count("ordinary") == 1
    assert len(found.hours) == 5
    assert {row.channel for row in found.money} == {"casters", "yard, as ingots", "yard, untouched"}


def test_lifts_are_judged_for_each_way_of_lifting(garden: Scenario) -> None:
    found = check(garden)
    by = {row.method: row for row in found.lifts}
    assert [row.method for row in found.lifts if row.in_use] == ["by hand"]
    hand = by["by hand"]
    assert hand.half_index == pytest.approx(hand.full_index / 2)
    assert hand.portion_index == pytest.approx(
        hand.full_index * found.portion_kg / (found.bucket.mass_kg if found.bucket else 0.0)
    )
    assert by["hoist"].full_index < by["plank"].full_index < hand.full_index
    assert (hand.verdict, by["hoist"].verdict) == ("raised risk", "allowed")
    assert check(garden, "full buckets").lifts[0].verdict == "refused"


def test_each_option_is_told_how_it_lifts_and_an_overload_is_named() -> None:
    scenario = load(LIFTS)
    rows = {row.option: row for row in check(scenario).option_lifts}
    assert set(rows) == set(scenario.options)
    by_hand, full, wheeled = rows["as today"], rows["full buckets"], rows["hand truck"]
    assert (by_hand.method, by_hand.verdict) == ("by hand", "raised risk")
    assert (full.method, full.verdict) == ("by hand", "refused")
    assert full.lifting_index > 3.0 > by_hand.lifting_index
    assert (wheeled.method, wheeled.verdict) == ("hand truck", "raised risk")
    assert wheeled.portion_kg == full.portion_kg == pytest.approx(2 * by_hand.portion_kg)
    assert wheeled.lifting_index == pytest.approx(0.4 * full.lifting_index)
    assert [row.minutes for row in (full, wheeled, by_hand)] == pytest.approx([4.0, 9.0, 14.0])


def test_a_helper_who_lifts_has_a_row_of_the_helpers_days() -> None:
    alone, by_two = (row for row in check(load(EXAMPLE)).option_lifts if row.option == "helper")
    assert (alone.method, alone.helped) == ("by hand", False)
    assert (by_two.method, by_two.helped) == ("two people", True)
    assert by_two.portion_kg == pytest.approx(2 * alone.portion_kg)
    assert by_two.lifting_index == pytest.approx(alone.lifting_index)
    assert (alone.minutes, by_two.minutes) == pytest.approx((14.0, 4.0))


def test_no_option_of_the_example_lifts_too_much_unless_it_is_refused() -> None:
    found = check(load(EXAMPLE))
    refused = {name for name, broken in found.refusals if any(one.limit == "lifting" for one in broken)}
    assert (
        {row.option for row in found.option_lifts if row.verdict == "refused"} == refused == {"full buckets"}
    )


def test_hours_that_the_lifting_equation_does_not_cover_are_told(garden: Scenario) -> None:
    assert 0.5 < check(garden).not_covered_share <= 1.0


def test_the_rating_that_binds_is_named_and_so_is_an_overload() -> None:
    plain = check(load(LIFTS)).payload
    assert (plain.bound, plain.over_kg) == ("payload", 0.0)
    bold = check(load(LIFTS), "overload").payload
    assert bold.bound == "rear axle"
    assert bold.load_kg == pytest.approx(1.2 * 200.0)
    assert bold.over_kg == pytest.approx(0.2 * 200.0)


def test_payload_is_counted_in_buckets(garden: Scenario) -> None:
    found = check(garden)
    assert found.bucket is not None
    assert found.payload.load_kg == pytest.approx(400.0 - 68.0)
    assert found.payload.buckets == int(332.0 // found.bucket.mass_kg)


def test_a_weaker_burner_takes_longer(garden: Scenario) -> None:
    strong, weak = check(garden), check(garden, "camp stove")
    for one, other in zip(strong.hours, weak.hours, strict=True):
        assert not other.melts or other.stove_h > one.stove_h


def test_options_that_break_a_limit_are_named(garden: Scenario) -> None:
    assert [(name, [one.limit for one in broken]) for name, broken in check(garden).refusals] == [
        ("full buckets", ["lifting"])
    ]


def test_check_counts_the_free_hours_of_the_world_it_looks_at(garden: Scenario) -> None:
    found = check(garden).prospects
    assert found.free_hours_a_week == pytest.approx(8 * (5.0 + 9.0) / (60 / 7))  # eight Fridays and Saturdays
    assert 0.0 < found.melting_hours_a_week <= found.free_hours_a_week
    assert found.missing == ()


def test_an_unknown_option_is_told(garden: Scenario) -> None:
    with pytest.raises(InputError, match="did you mean gift"):
        check(garden, "gifts")
