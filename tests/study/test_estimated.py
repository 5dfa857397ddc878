"""Worlds in which inputs that are estimates come out differently: the same for all options, whoever plays them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from planner.engine import worlds
from planner.engine.player import Player, Setting
from planner.scenario import Input, Scenario, Taken
from planner.scenario.header import AS_TODAY
from planner.study import compare, load, run
from planner.study.foresight import outlay
from planner.study.growing import grow
from planner.study.keys import RunKeys
from planner.study.sample import DECIDING
from planner.study.stress import stress
from planner.world.draw import Draw
from planner.world.unsure import drawn_inputs, drawn_z

HERE = Path(__file__).parent
HOUR = "owner.hour_price"


@pytest.fixture(scope="module")
def estimated() -> Scenario:
    return load(HERE / "estimated.yaml")


def with_text(folder: Path, text: str) -> Scenario:
    (folder / "garden.yaml").write_bytes((HERE / "garden.yaml").read_bytes())
    path = folder / "more.yaml"
    path.write_text(f"title: More\ncurrency: EUR\nextends: garden.yaml\n{text}", encoding="utf-8")
    return load(path)


def test_what_is_drawn_has_the_spread_and_the_correlations_that_are_written(estimated: Scenario) -> None:
    z = np.array([drawn_z(estimated.estimates, Draw(1, n)) for n in range(4000)])
    assert z.mean(axis=0) == pytest.approx(np.zeros(4), abs=0.06)
    assert z.std(axis=0) == pytest.approx(np.ones(4), abs=0.04)
    names = list(estimated.estimates.names)
    together = np.corrcoef(z.T)[names.index("the burner's efficiency"), names.index("wind at the pot")]
    assert together == pytest.approx(-0.6, abs=0.04)


def test_another_estimate_shifts_the_draws_of_no_other(estimated: Scenario, tmp_path: Path) -> None:
    texts = "estimates: {my hour: {path: owner.hour_price, way: plus, sd: 0.5 EUR/h}}"
    alone = with_text(tmp_path, texts)
    draw = Draw(3, 5)
    mine = drawn_inputs(alone.estimates, draw)
    assert mine == tuple(one for one in drawn_inputs(estimated.estimates, draw) if one.path == HOUR)


def test_all_options_of_a_world_meet_the_same_draw(estimated: Scenario) -> None:
    player = Player(Setting(estimated, 4))
    hours, efficiency = set(), set()
    for name in (AS_TODAY, "camp stove", "lucky charm"):
        ready = player._prepared_in(name, "expected", (), 2)
        hours.add(ready.business.owner.hour_price_per_h)
        efficiency.add(ready.business.melting.burner.efficiency_share)
    assert len(hours) == len(efficiency) == 1
    assert hours != {5.0}


def test_the_same_seed_gives_the_same_bits_for_any_number_of_workers(estimated: Scenario) -> None:
    one, two = (compare(estimated, replicates=4, workers=number) for number in (1, 2))
    assert one.values.tobytes() == two.values.tobytes()
    assert not one.failures
    assert len(set(one.sample.of("camp stove").tolist())) == 4


def test_options_that_do_the_same_still_bring_the_same(estimated: Scenario) -> None:
    found = compare(estimated, replicates=4)
    assert found.sample.of("lucky charm").tolist() == found.sample.of(AS_TODAY).tolist()


def test_a_value_that_is_set_is_not_drawn(estimated: Scenario) -> None:
    at = [Input(HOUR, "7 EUR/h")]
    player = Player(Setting(estimated, 4))
    ready = player._prepared_in(AS_TODAY, "expected", tuple(at), 2)
    assert ready.business.owner.hour_price_per_h == 7.0
    moved = player._prepared_in(AS_TODAY, "expected", (Input(HOUR, 2.0, "times"),), 2).business.owner
    drawn = player._prepared_in(AS_TODAY, "expected", (), 2).business.owner
    assert moved.hour_price_per_h == pytest.approx(2.0 * drawn.hour_price_per_h)


def test_estimates_that_are_all_set_make_a_world_as_it_is_without_them(tmp_path: Path) -> None:
    text = "estimates: {my hour: {path: owner.hour_price, sd: 0.3}}"
    drawn, plain = with_text(tmp_path, text), load(HERE / "garden.yaml")
    at = [Input(HOUR, "5 EUR/h")]
    assert run(drawn, inputs=at).values.tobytes() == run(plain).values.tobytes()
    assert run(drawn).values.tobytes() != run(plain).values.tobytes()


def test_an_option_that_is_taken_already_is_taken_above_what_is_drawn(estimated: Scenario) -> None:
    player = Player(Setting(estimated, 4))
    on_top = player._prepared_in(AS_TODAY, "expected", (Taken("camp stove"),), 1).business.melting.burner
    alone = player._prepared_in("camp stove", "expected", (), 1).business.melting.burner
    assert on_top == alone
    assert alone.power_w == 3000.0
    taking = Player(Setting(estimated.taking("camp stove"), 4))
    assert taking._prepared_in(AS_TODAY, "expected", (), 1).business.melting.burner == alone


def test_a_business_that_a_draw_makes_impossible_is_a_failed_run(tmp_path: Path) -> None:
    text = (
        "options: {both: {changes: {melting.screen_share: {times: 1.8}}}}\n"
        "outlooks: {windy: {changes: {melting.screen_share: {times: 1.85}}}}\n"
        "estimates: {screen: {path: melting.screen_share, sd: 0.05}}"
    )
    scenario = with_text(tmp_path, text)
    player = Player(Setting(scenario, 1))
    for batch in worlds(["windy"], range(6), ["both"]):
        (outcome,) = player(batch)
        (z,) = drawn_z(scenario.estimates, Draw(1, outcome.replicate))
        share = 0.3 * 1.8 * 1.85 * np.exp(0.05 * z)
        assert (outcome.failure is not None) == (share > 1.0)
        assert outcome.failure is None or "screen_share" in outcome.failure.summary


def test_keys_of_runs_know_how_sure_an_estimate_is(estimated: Scenario, tmp_path: Path) -> None:
    def key(scenario: Scenario, option: str = AS_TODAY, inputs: tuple[Input, ...] = ()) -> bytes:
        return RunKeys(scenario, 1).key(option, "expected", 0, inputs)

    text = "estimates: {my hour: {path: owner.hour_price, sd: 0.3}}\n"
    mine = with_text(tmp_path, text)
    assert key(mine) == key(with_text(tmp_path, text.replace("0.3", "0.3, records: 5")))
    others = {key(with_text(tmp_path, text.replace("0.3", "0.31"))), key(load(HERE / "garden.yaml"))}
    pinned = with_text(tmp_path, text + "options: {pinned: {changes: {owner.hour_price: 5 EUR/h}}}")
    others |= {key(pinned, "pinned"), key(mine, inputs=(Input(HOUR, "5 EUR/h"),))}
    others |= {key(mine.taking("camp stove")), key(mine.at([Input(HOUR, 1.0, "times")]))}
    assert len(others | {key(mine)}) == 7
    assert key(pinned) == key(mine)


def test_a_study_that_was_stopped_goes_on_and_ends_the_same(estimated: Scenario, tmp_path: Path) -> None:
    store = tmp_path / "runs.sqlite"

    class Stopped(Exception):  # noqa: N818
        pass

    def stop(done: int, wanted: int) -> None:
        if done >= 8:
            raise Stopped

    with pytest.raises(Stopped):
        compare(estimated, replicates=4, store=store, progress=stop)
    again = compare(estimated, replicates=4, store=store)
    assert again.values.tobytes() == compare(estimated, replicates=4).values.tobytes()


def test_a_trace_tells_what_was_drawn(estimated: Scenario) -> None:
    told = run(estimated, traced=True, seed=4).trace
    assert told is not None
    table = next(one.table for one in told.tables if one.name == "estimates")
    assert table.columns == ("estimate", "path", "off", "drawn")
    (hour,) = [row for row in table.rows if row[0] == "my hour"]
    z = dict(zip(estimated.estimates.names, drawn_z(estimated.estimates, Draw(4, 0)), strict=True))["my hour"]
    assert hour[1:] == (HOUR, round(z, 6), f"{0.5 * z:+.6g} EUR/h")
    plain = run(load(HERE / "garden.yaml"), traced=True).trace
    assert plain is not None
    assert "estimates" not in [one.name for one in plain.tables]


def test_a_study_with_estimates_is_foreseen_to_take_longer(estimated: Scenario) -> None:
    plain = outlay(load(HERE / "garden.yaml"), 1000)
    assert 3.0 < outlay(estimated, 1000).processor_s - plain.processor_s < 12.0


def test_other_studies_play_worlds_that_are_drawn_so(estimated: Scenario) -> None:
    plain = load(HERE / "garden.yaml")
    along = [
        stress(one, ["owner.hour_price=2 EUR/h..9 EUR/h"], replicates=3, points=3)
        for one in (estimated, plain)
    ]
    assert not along[0].failures
    assert repr(along[0].alongs) != repr(along[1].alongs)
    grown = [grow(one, "camp stove", replicates=3) for one in (estimated, plain)]
    assert not grown[0].failures
    assert grown[0].money != grown[1].money
    assert compare(estimated, replicates=2).sample.of(AS_TODAY, DECIDING).shape == (2,)
