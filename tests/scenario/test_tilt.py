"""A share among shares that sum to 1 counts more or less, and the others give way."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.scenario import Input, InputError
from planner.scenario.inputs import input_of
from planner.study import load
from planner.world.draw import Draw
from planner.world.unsure import drawn_inputs

GARDEN = Path(__file__).parents[1] / "study" / "garden.yaml"
SUPPLY = "supply.town.settings.typical.mix"
STEEL = f"{SUPPLY}.steel_share"


def mix(business: Any) -> Any:
    return np.array(business.supply[0].settings.typical.mix.shares)


@pytest.fixture(scope="module")
def garden() -> Any:
    return load(GARDEN)


def extended(folder: Path, text: str) -> Any:
    (folder / "base.yaml").write_text(GARDEN.read_text())
    path = folder / "mine.yaml"
    path.write_text(f"extends: base.yaml\ntitle: Mine\n{text}")
    return load(path)


def test_more_steel_leaves_less_of_all_else_in_the_same_proportions(garden: Any) -> None:
    before = mix(garden.business())
    after = mix(garden.at([input_of(f"{STEEL}~=1.5")]).business())
    assert after.sum() == pytest.approx(1.0, abs=1e-12)
    assert after[3] == pytest.approx(1.5 * before[3] / (1.0 + 0.5 * before[3]))
    others = [0, 1, 2, 4]
    assert after[others] / before[others] == pytest.approx([1.0 / (1.0 + 0.5 * before[3])] * 4)


@settings(max_examples=25, deadline=None)
@given(factors=st.lists(st.floats(0.2, 5.0), min_size=5, max_size=5))
def test_all_five_at_once_are_multiplied_and_divided_by_their_sum(garden: Any, factors: list[float]) -> None:
    keys = ("clip_on_share", "stick_on_share", "zinc_share", "steel_share", "rubbish_share")
    inputs = [Input(f"{SUPPLY}.{key}", factor, "tilt") for key, factor in zip(keys, factors, strict=True)]
    wanted = mix(garden.business()) * np.array(factors)
    assert mix(garden.at(inputs).business()) == pytest.approx(wanted / wanted.sum(), rel=1e-9)
    assert mix(garden.at(inputs[::-1]).business()) == pytest.approx(wanted / wanted.sum(), rel=1e-9)


def test_an_option_may_tilt_a_mix_that_it_also_sets(tmp_path: Path) -> None:
    found = extended(
        tmp_path,
        f"options:\n  other: {{changes: {{{STEEL}: {{tilt: 2}}, {SUPPLY}.zinc_share: 0.1, "
        f"{SUPPLY}.stick_on_share: 0.08}}}}\n",
    )
    after = mix(found.business("other"))
    assert after[2] / after[1] == pytest.approx(0.1 / 0.08)
    assert after.sum() == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (
            "owner.hour_price: {tilt: 1.2}",
            "tilt works on one of several shares that sum to 1, and this is none",
        ),
        (f"{SUPPLY}.clip_share: {{tilt: 1.2}}", "tilt works on one of several shares"),
        (f"{STEEL}: {{tilt: 0}}", "0 is not possible; tilt needs a factor above 0"),
        (f"{STEEL}: {{tilt: much}}", "tilt needs a number, such as {tilt: 0.7}"),
    ],
)
def test_what_cannot_be_tilted_is_told(tmp_path: Path, change: str, told: str) -> None:
    with pytest.raises(InputError) as caught:
        extended(tmp_path, f"options:\n  other: {{changes: {{{change}}}}}\n")
    assert told in str(caught.value)
    assert len(caught.value.problems) == 1


def test_every_world_draws_a_mix_that_is_one(tmp_path: Path) -> None:
    found = extended(
        tmp_path,
        f"estimates:\n  steel: {{path: {STEEL}, way: tilt, sd: 0.3, with: {{zinc: -0.4}}}}\n"
        f"  zinc: {{path: {SUPPLY}.zinc_share, way: tilt, sd: 0.5}}\n",
    )
    worlds = np.array(
        [mix(found.drawn(drawn_inputs(found.estimates, Draw(1, number))).business()) for number in range(40)]
    )
    assert worlds.sum(axis=1) == pytest.approx(np.ones(40), abs=1e-9)
    odds = np.log(worlds[:, 3] / worlds[:, 0])  # of two shares of which one is drawn: as far as it is drawn
    assert odds.std() == pytest.approx(0.3, rel=0.3)
    assert np.ptp(worlds[:, 1] / worlds[:, 4]) < 1e-9


def test_a_range_may_tilt_a_share(tmp_path: Path) -> None:
    found = extended(tmp_path, f"ranges: {{steel: '{STEEL}~=0.5..2'}}\n")
    (axis,) = found.ranges.values()
    assert axis.inputs(1.0) == ()
    assert axis.inputs(2.0) == (Input(STEEL, 2.0, "tilt"),)
    assert str(axis.inputs(2.0)[0]) == f"{STEEL}~=2.0"
