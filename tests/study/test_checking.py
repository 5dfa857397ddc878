from __future__ import annotations

import pytest

from planner.scenario import InputError, Scenario
from planner.study import check


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
