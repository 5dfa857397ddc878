"""Where a block has a key called `times` or `plus`, the change is the block itself; elsewhere it multiplies or adds."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from pydantic import Field

from planner.scenario import InputError, Section, load
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.scenario.inputs import Input
from planner.scenario.section import Named
from planner.scenario.units import Number, SpeedMS
from tests.scenario.stand_in import HEAD, MELTING, Registry, Small


class Link(Section):
    """Wind that follows another."""

    times: Number | None = Field(None, gt=0, description="So many times as much.")
    plus_m_s: SpeedMS = Field(0.0, description="So much more.")


class Follows(Section):
    """Settings of a weather that follows another."""

    times: Number = Field(1.0, gt=0, description="So many times as much.")
    gusts: Link = Field(default_factory=lambda: Link.model_validate({}), description="In gusts.")
    calms: Link | None = Field(None, description="In calms.")
    by_name: Named[Link] = Field(default_factory=dict, description="In winds with a name.")


class WithFollows(Registry):
    def settings_class(self, kind: str, model: str) -> type[Section]:
        return Follows if model == "core.follows" else super().settings_class(kind, model)


FOLLOWS = "weather: {model: core.follows, settings: {times: 2, gusts: {times: 4, plus: 1 m/s}}}\n"


def scenario(folder: Path, *changes: str, base: str = FOLLOWS) -> Any:
    lines = "".join(f"      {line}\n" for line in changes)
    path = folder / "test.yaml"
    path.write_text(f"{HEAD}{MELTING}{base}options:\n  other:\n    changes:\n{lines}", encoding="utf-8")
    return load(path, WithFollows(), business_class=Small)


def settings(folder: Path, *changes: str, base: str = FOLLOWS) -> Any:
    return scenario(folder, *changes, base=base).business("other").weather.settings


def test_a_block_with_that_key_is_written_anew(tmp_path: Path) -> None:
    assert settings(tmp_path, "weather.settings: {times: 3}") == Follows.model_validate({"times": 3})
    gusts = settings(tmp_path, "weather.settings.gusts: {times: 3}").gusts
    assert (gusts.times, gusts.plus_m_s) == (3, 0)
    assert settings(tmp_path, "weather.settings.gusts: {plus: 2 m/s}").gusts.times is None
    both = settings(tmp_path, "weather.settings.gusts: {times: 5, plus: 2 m/s}").gusts
    assert (both.times, both.plus_m_s) == (5, 2)


def test_so_is_one_that_was_not_there(tmp_path: Path) -> None:
    assert settings(tmp_path, "weather.settings.calms: {times: 0.5}").calms.times == 0.5
    assert settings(tmp_path, "weather.settings.by_name.sea wind: {times: 2}").by_name["sea wind"].times == 2
    assert settings(tmp_path, "weather.settings: {gusts: {times: 3}}").gusts.times == 3


def test_so_it_is_with_the_settings_of_another_model(tmp_path: Path) -> None:
    still = "weather: {model: core.still, settings: {wind: 5}}\n"
    other = "weather.model: core.follows"
    assert settings(tmp_path, other, "weather.settings: {times: 3}", base=still).times == 3
    assert settings(tmp_path, other, "weather.settings.gusts: {times: 3}", base=still).gusts.times == 3
    assert settings(tmp_path, "weather.settings.gusts: {times: 3}", other, base=still).gusts.times == 3


def test_a_number_and_a_quantity_are_multiplied_and_added_to(tmp_path: Path) -> None:
    assert settings(tmp_path, "weather.settings.times: {times: 3}").times == 6
    assert settings(tmp_path, "weather.settings.gusts.times: {times: 3}").gusts.times == 12
    assert settings(tmp_path, "weather.settings.gusts.plus: {plus: 2 m/s}").gusts.plus_m_s == 3


def test_a_block_without_that_key_is_multiplied_throughout(tmp_path: Path) -> None:
    base = "weather: {model: core.follows, settings: {by_name: {sea wind: {times: 2, plus: 1 m/s}}}}\n"
    found = settings(tmp_path, "weather.settings.by_name: {times: 3}", base=base).by_name["sea wind"]
    assert (found.times, found.plus_m_s) == (6, 3)


def test_a_block_is_set_once(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"'weather\.settings' is set as a whole as well"):
        scenario(tmp_path, "weather.settings: {times: 3}", "weather.settings.gusts.times: 4")


def test_what_is_wrong_in_such_a_block_is_told_at_its_key(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        scenario(tmp_path, "weather.settings.gusts: {times: -3}")
    (problem,) = caught.value.problems
    assert problem.path == "options.other: weather.settings.gusts.times"
    assert problem.line == 8
    assert "-3 is not possible; it must be above 0" in problem.message


def test_an_input_that_multiplies_always_does(tmp_path: Path) -> None:
    found = scenario(tmp_path, "melting.rounds: 4").at([Input("weather.settings.gusts", 2.0, "times")])
    gusts = found.business(AS_TODAY).weather.settings.gusts
    assert (gusts.times, gusts.plus_m_s) == (8, 2)


def test_such_a_block_counts_as_set_whatever_stood_there(tmp_path: Path) -> None:
    changes = ("weather.settings.gusts: {times: 3}", "melting.rounds: {times: 2}")
    found = scenario(tmp_path, *changes)
    written = found.options["other"].changes
    assert found.variants.sets(written, ("other", EXPECTED)) == ("weather.settings.gusts",)
