"""What not knowing inputs does to a choice: studies whose gains are made of what was drawn."""

from __future__ import annotations

from dataclasses import replace
from math import isnan
from pathlib import Path

import numpy as np
import pytest

from planner.records.tables import TABLES
from planner.scenario.estimates import Estimates
from planner.study import Study, compare, load
from planner.study.intervals import FloatArray
from planner.study.unknown import record_of
from planner.study.unknowns import unknowns_of
from planner.world.draw import Draw
from planner.world.unsure import drawn_z
from tests.report.made import study, wobble
from tests.study.test_information import loss

HERE = Path(__file__).parent
WORLDS = 200


@pytest.fixture(scope="module")
def estimates() -> Estimates:
    return load(HERE / "estimated.yaml").estimates


def z_of(estimates: Estimates, name: str, worlds: range = range(WORLDS)) -> FloatArray:
    at = estimates.names.index(name)
    return np.array([drawn_z(estimates, Draw(1, world))[at] for world in worlds])


def choice(gain: FloatArray) -> Study:
    return study({"as today": wobble(gain.size, 300.0), "bigger pot": wobble(gain.size, 300.0) + gain})


def test_a_comparison_without_estimates_says_nothing_of_them() -> None:
    assert compare(load(HERE / "garden.yaml"), replicates=2).unknowns is None


def test_the_input_that_the_choice_hangs_on_is_worth_knowing_most(estimates: Estimates) -> None:
    gain = 60.0 + 300.0 * z_of(estimates, "what casters pay") + wobble(WORLDS, 50.0, 3)
    found = unknowns_of(choice(gain), estimates)
    assert found is not None
    first = found.ranked[0]
    assert (first.name, first.told, first.record) == ("what casters pay", "worth it", "asked")
    assert first.worth == pytest.approx(loss(60.0, 300.0), rel=0.25)
    assert first.share > 0.9
    assert (found.option, found.worlds) == ("bigger pot", WORLDS)
    assert found.share > 0.95
    assert {one.told for one in found.ranked[1:]} <= {"hardly", "cannot tell"}


def test_an_input_is_worth_nothing_where_the_choice_is_the_same_whatever_it_is(estimates: Estimates) -> None:
    gain = 4000.0 + 100.0 * z_of(estimates, "what casters pay") + wobble(WORLDS, 300.0, 3)
    found = unknowns_of(choice(gain), estimates)
    assert found is not None
    assert [(one.worth, one.told) for one in found.ranked] == 4 * [(0.0, "hardly")]
    assert found.share == pytest.approx(100.0**2 / (100.0**2 + 300.0**2 / 2.0), abs=0.12)


def test_what_is_told_alone_counts_what_hangs_together_with_it(estimates: Estimates) -> None:
    gain = 300.0 * z_of(estimates, "the burner's efficiency") + wobble(WORLDS, 20.0, 3)
    found = unknowns_of(choice(gain), estimates)
    assert found is not None
    by_name = {one.name: one for one in found.ranked}
    assert [one.name for one in found.ranked[:2]] == ["the burner's efficiency", "wind at the pot"]
    assert by_name["wind at the pot"].share == pytest.approx(0.36, abs=0.15)


def test_few_worlds_tell_nothing(estimates: Estimates) -> None:
    found = unknowns_of(choice(np.array([100.0, 200.0, 150.0])), estimates)
    assert found is not None
    assert isnan(found.share)
    assert {one.told for one in found.ranked} == {"cannot tell"}


def test_a_refused_option_is_not_in_question(estimates: Estimates) -> None:
    from tests.report.made import LIFTING

    gain = 60.0 + 300.0 * z_of(estimates, "what casters pay")
    made = study(
        {"as today": wobble(WORLDS, 300.0), "bigger pot": wobble(WORLDS, 300.0) + gain},
        refused={"bigger pot": (LIFTING,)},
    )
    found = unknowns_of(made, estimates)
    assert found is not None
    assert (found.option, found.worlds) == ("", 0)
    assert {one.told for one in found.ranked} == {"cannot tell"}


def test_worlds_of_the_choice_and_fresh_ones_count_too(estimates: Estimates) -> None:
    gain = 60.0 + 300.0 * z_of(estimates, "what casters pay") + wobble(WORLDS, 50.0, 3)
    few, rest = choice(gain[:60]), choice(gain).sample
    further = replace(rest, values=rest.values[..., 60:], first_world=60)
    found = unknowns_of(replace(few, fresh=further), estimates)
    assert found is not None
    assert found.worlds == WORLDS
    assert found.ranked[0].share > 0.9


def test_every_record_that_is_asked_for_is_a_table_that_may_be_kept() -> None:
    paths = [
        "melting.burner.power", "demand.casters.settings.most.hard", "demand.casters.settings.gap", "owner.hour_price",
        "supply.town.settings.bucket", "rates.settings.lead.mean", "costs.flux.amount", "pricing.settings.tin",
    ]  # fmt: skip
    assert {record_of(path) for path in paths} == set(TABLES)
    assert record_of("cash.opening") == ""


def test_the_garden_with_estimates_is_told_of_them() -> None:
    found = compare(load(HERE / "estimated.yaml"), replicates=3).unknowns
    assert found is not None
    assert {one.name: one.records for one in found.ranked}["my hour"] == 0
    assert all(one.low < one.high for one in found.ranked)
