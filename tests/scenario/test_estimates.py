"""Inputs that are estimates: what is read, how numbers that hang together are made, what is drawn."""

from __future__ import annotations

from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from planner.scenario import Input, InputError, Scenario, variants
from planner.scenario.correlation import impossible, root_of
from planner.scenario.header import AS_TODAY, EXPECTED
from planner.study import load as load_real
from tests.scenario.stand_in import load_text

ROOT = Path(__file__).resolve().parents[2]
TWO = """
estimates:
  power: {path: melting.power, sd: 0.1, within: 0.9..1.5, records: 7, method: counted, with: {gain: -0.5}}
  gain: {path: melting.gain, way: plus, sd: 0.02}
"""


def pairs(**of: float) -> dict[frozenset[str], float]:
    return {frozenset(names.split("_")): by for names, by in of.items()}


def matrix(names: list[str], of: dict[frozenset[str], float]) -> Any:
    root = np.zeros((len(names), len(names)))
    for i, row in enumerate(root_of(names, of)):
        root[i, : len(row)] = row
    return root @ root.T


def test_a_scenario_without_estimates_has_none(tmp_path: Path) -> None:
    scenario = load_text(tmp_path, "")
    assert not scenario.estimates
    assert scenario.drawn(()).business() == scenario.business()


def test_an_estimate_moves_what_stands_at_its_path(tmp_path: Path) -> None:
    found = load_text(tmp_path, TWO).estimates
    assert found.names == ("gain", "power")
    gain, power = found.drawn
    assert power.inputs(1.0) == (Input("melting.power", 1.10517092, "times"),)
    assert gain.inputs(-2.0) == (Input("melting.gain", -0.04, "plus"),)
    assert (power.records, power.method) == (7, "counted")
    assert gain.inputs(0.0) == ()


def test_a_draw_beyond_its_ends_is_cut(tmp_path: Path) -> None:
    gain, power = load_text(tmp_path, TWO).estimates.drawn
    assert (power.at(-3.0), power.at(9.0)) == (0.9, 1.5)
    assert (gain.at(-9.0), gain.at(9.0)) == (-0.08, 0.08)


def test_an_estimate_that_extends_another_replaces_it_whole(tmp_path: Path) -> None:
    (tmp_path / "base.yaml").write_text("title: A\ncurrency: EUR\nmelting: {power: 9 kW}\n" + TWO)
    head = "title: B\ncurrency: EUR\nextends: base.yaml\n"
    of = load_text(tmp_path, "estimates: {power: {path: melting.power, sd: 0.3}}", head).estimates
    assert [one.name for one in of.drawn] == ["gain", "power"]
    assert not of.correlations
    assert of.drawn[1].records == 0
    assert load_text(tmp_path, "estimates: {power: none}", head).estimates.names == ("gain",)
    assert not load_text(tmp_path, "estimates: none", head).estimates


def test_a_star_moves_all_that_it_stands_for_by_one_and_the_same(tmp_path: Path) -> None:
    text = "moulds: {a: {diameter: 10 cm}, b: {diameter: 20 cm}}\nestimates: {m: {path: moulds.*.diameter, sd: 0.1}}"
    scenario = load_text(tmp_path, text)
    drawn = scenario.drawn(scenario.estimates.inputs([1.0])).business()
    assert drawn.moulds["b"].diameter_cm == pytest.approx(2.0 * drawn.moulds["a"].diameter_cm)
    assert drawn.moulds["a"].diameter_cm == pytest.approx(10.0 * np.exp(0.1))


def test_a_scenario_may_be_taken_for_known(tmp_path: Path) -> None:
    scenario = load_text(tmp_path, TWO)
    assert not scenario.certain.estimates
    assert scenario.certain.business() is scenario.business()


def test_what_an_option_sets_is_not_drawn_and_what_it_multiplies_is(tmp_path: Path) -> None:
    more = "options: {set: {changes: {melting.power: 5 kW}}, more: {changes: {melting.power: {times: 2}}}}"
    scenario = load_text(tmp_path, TWO + more)
    drawn = scenario.drawn(scenario.estimates.inputs([0.0, 1.0]))
    assert drawn.business("set").melting.power_w == 5000.0
    assert drawn.business("more").melting.power_w == pytest.approx(18000.0 * np.exp(0.1))


def test_what_was_taken_or_set_since_stands_above_what_is_drawn(tmp_path: Path) -> None:
    more = "options: {set: {start_up_cost: 9 EUR, changes: {melting.power: 5 kW}}}"
    scenario = load_text(tmp_path, TWO + more)
    inputs = scenario.estimates.inputs([1.0, 1.0])
    taking = scenario.taking("set").drawn(inputs)
    assert taking.business().melting.power_w == 5000.0
    assert taking.business().melting.gain == pytest.approx(1.27)
    assert taking.options[AS_TODAY].start_up_cost == 9.0
    assert list(taking.options) == [AS_TODAY]
    at = scenario.at([Input("melting.gain", 1.5)]).drawn(inputs)
    assert at.business().melting.gain == 1.5
    assert at.business().melting.power_w == pytest.approx(9000.0 * np.exp(0.1))


def test_numbers_that_hang_together_have_the_correlations_that_are_written() -> None:
    of = pairs(a_b=0.6, b_c=-0.5)
    assert matrix(["a", "b", "c", "d"], of) == pytest.approx(
        np.array([[1, 0.6, 0, 0], [0.6, 1, -0.5, 0], [0, -0.5, 1, 0], [0, 0, 0, 1]])
    )
    assert matrix(["a", "b"], pairs(a_b=1.0)) == pytest.approx(np.ones((2, 2)))


def test_another_estimate_changes_no_number_of_those_that_it_has_nothing_to_do_with() -> None:
    few = root_of(["b", "d"], pairs(b_d=0.3))
    many = root_of(["a", "b", "c", "d"], pairs(b_d=0.3, a_c=0.9))
    assert many[1] == (0.0, *few[0])
    assert (many[3][1], many[3][3]) == few[1]


def test_correlations_that_were_rounded_are_made_a_joint_distribution() -> None:
    of = pairs(a_b=0.95, b_c=0.95, a_c=0.80)
    assert not impossible(["a", "b", "c"], of)
    assert matrix(["a", "b", "c"], of)[0, 1] == pytest.approx(0.95, abs=0.01)
    assert impossible(["a", "b", "c", "d"], pairs(a_b=0.9, b_c=0.9, a_c=-0.5)) == ["a", "b", "c"]


def test_the_digest_knows_what_is_drawn_and_nothing_else_of_it(tmp_path: Path) -> None:
    plain, drawn = load_text(tmp_path, ""), load_text(tmp_path, TWO)
    assert plain.digest != drawn.digest
    assert (
        load_text(tmp_path, TWO.replace("records: 7, method: counted", "records: 9")).digest == drawn.digest
    )
    assert load_text(tmp_path, TWO.replace("0.02", "0.021")).digest != drawn.digest
    assert load_text(tmp_path, TWO.replace("-0.5", "-0.4")).digest != drawn.digest


def whole(scenario: Scenario) -> dict[tuple[str, str], Any]:
    return {
        pair: (scenario.business(*pair), scenario.business_digest(*pair), scenario.skipped(*pair))
        for pair in product(scenario.options, scenario.outlooks)
    }


@pytest.mark.parametrize("name", ["tests/study/market.yaml", "tests/study/lifts.yaml"])
def test_a_business_of_which_little_is_read_anew_is_that_of_which_all_is(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    inputs = [
        Input("owner.hour_price", 1.03, "times"),
        Input("melting.burner.efficiency_share", 0.91, "times"),
    ]
    quick = load_real(ROOT / name)
    found = whole(quick), whole(quick.at(inputs))
    monkeypatch.setattr(variants.Variants, "_unchanged", lambda *_: {})
    slow = load_real(ROOT / name)
    assert found == (whole(slow), whole(slow.at(inputs)))


def test_what_was_not_touched_is_the_very_same(tmp_path: Path) -> None:
    scenario = load_text(tmp_path, "options: {o: {changes: {melting.pot.diameter: 30 cm}}}")
    at = scenario.at([Input("melting.gain", 1.5)])
    assert at.business().owner is scenario.business("o").owner is scenario.business().owner
    assert at.business("o").melting.gain == 1.5
    assert at.business("o", EXPECTED).melting.pot.diameter_cm == 30.0


def test_estimates_are_judged_where_the_business_is_right(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        load_text(tmp_path, "estimates: {a: {path: nowhere.at.all, sd: -1}}", "title: A\ncurrency: EUR\n")
    assert "estimates.a.sd" in str(caught.value)
    assert "nowhere" not in str(caught.value)
