"""What an answer hangs on, in results that are dealt out and in a real small business."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.report.charts.hinges import draw_effects, draw_shares
from planner.report.folder import StoredError
from planner.report.hinges_files import FILE, hinges_document, read_hinges, rows, save_hinges
from planner.report.hinges_words import hinges_words
from planner.scenario import Input, InputError, Scenario
from planner.study import Hinges, hinges_of, load
from tests.study.dealt import Dealt, around

HERE = Path(__file__).parent
BRINGS = {
    "as today": around(100.0, shared=50.0),
    "gift": around(300.0, shared=50.0),
    "camp stove": around(270.0, shared=50.0),
    "lucky charm": around(100.0, shared=50.0),
}


@pytest.fixture(scope="module")
def ranged() -> Scenario:
    return load(HERE / "ranged.yaml")


def value(inputs: tuple[Input, ...], path: str, today: float) -> float:
    for one in inputs:
        if one.path.startswith(path):
            return float(str(one.value).split()[0])
    return today


def straight(option: str, inputs: tuple[Input, ...]) -> float:
    """The gift gains 10 for each coin that the hour is dearer, and loses 200 for what casters pay."""
    if option != "gift":
        return 0.0
    hour, pay = value(inputs, "owner.hour_price", 5.0), value(inputs, "demand.casters.settings.most", 1.0)
    return 10.0 * (hour - 5.0) - 200.0 * (pay - 1.0)


def by_name(found: Hinges) -> dict[str, int]:
    return {one.name: i for i, one in enumerate(found.hinges)}


def dealt(scenario: Scenario, engine: Dealt, points: int = 64, **further: object) -> Hinges:
    return hinges_of(scenario, "gift", replicates=2, points=points, engine=engine, **further)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def line(ranged: Scenario) -> Hinges:
    return dealt(ranged, Dealt({**BRINGS, "camp stove": around(300.0, shared=50.0)}, moved=straight))


def test_a_gain_that_is_a_straight_line_has_its_slopes(line: Hinges) -> None:
    found = {one.name: one for one in line.hinges}
    hour, pay, people = found["price of your hour"], found["what casters pay"], found["people"]
    assert hour.effect
    assert pay.effect
    assert people.effect
    assert hour.effect.size == pytest.approx(100.0)
    assert pay.effect.size == pytest.approx(80.0)
    assert people.effect.size == pytest.approx(0.0, abs=1e-9)
    assert (hour.direction, pay.direction) == ("raises", "lowers")
    assert line.gain.mean == pytest.approx(200.0)


def test_shares_of_a_straight_line_are_those_of_its_squares(line: Hinges) -> None:
    found = {one.name: one.shares for one in line.hinges}
    assert found["people"] is None
    assert found["payload"] is None
    hour, pay = found["price of your hour"], found["what casters pay"]
    assert hour
    assert pay
    assert hour.total.mean == pytest.approx(100.0**2 / (100.0**2 + 80.0**2), abs=0.06)
    assert pay.total.mean == pytest.approx(80.0**2 / (100.0**2 + 80.0**2), abs=0.06)


def test_where_it_is_overtaken_is_told_in_the_users_units(line: Hinges) -> None:
    flips = line.flips
    assert flips is not None
    assert flips.where == "box"
    assert [name for name, _ in flips.by] == ["camp stove"]
    at = by_name(line)
    (hour,) = (one for one in flips.limits if one.hinge == at["price of your hour"])
    assert hour.low is None
    assert hour.high is not None
    assert 2.0 < hour.high < 6.0
    assert flips.flipped_inside > 0.6 * flips.inside
    words = " ".join(hinges_words(line))
    assert "price of your hour is below" in words
    assert "EUR/h" in words
    assert "people and payload hardly matter" in words


def test_inputs_that_the_points_do_not_tell_apart_are_named_together(ranged: Scenario) -> None:
    def alike(option: str, inputs: tuple[Input, ...]) -> float:
        hour, pay = value(inputs, "owner.hour_price", 5.0), value(inputs, "demand.casters.settings.most", 1.0)
        return 10.0 * hour + 250.0 * pay if option == "gift" else 0.0

    together = dealt(ranged, Dealt(BRINGS, moved=alike))
    assert {one.name for one in together.foremost} == {"price of your hour", "what casters pay"}
    assert "the points do not tell which one most" in " ".join(hinges_words(together))

    def apart(option: str, inputs: tuple[Input, ...]) -> float:
        hour, pay = value(inputs, "owner.hour_price", 5.0), value(inputs, "demand.casters.settings.most", 1.0)
        return 10.0 * hour + 60.0 * pay if option == "gift" else 0.0

    one = dealt(ranged, Dealt(BRINGS, moved=apart))
    assert [hinge.name for hinge in one.foremost] == ["price of your hour"]
    assert "then on what casters pay" in " ".join(hinges_words(one))


def test_the_same_worlds_are_met_at_every_point(ranged: Scenario) -> None:
    engine = Dealt(BRINGS, moved=straight)
    found = dealt(ranged, engine)
    assert {number for batch in engine.asked if batch.inputs for number in batch.replicates} == {0, 1}
    assert {number for batch in engine.asked if not batch.inputs for number in batch.replicates} == set(
        range(12)
    )
    assert dealt(ranged, Dealt(BRINGS, moved=straight, backwards=True)) == found
    assert found.others == ("camp stove", "lucky charm")


def test_options_beside_are_taken_if_they_are_given(ranged: Scenario) -> None:
    assert dealt(ranged, Dealt(BRINGS, moved=straight), 8, beside=["lucky charm"]).others == ("lucky charm",)


def test_what_is_not_worth_caring_about_overtakes_nothing(ranged: Scenario) -> None:
    def a_little(option: str, inputs: tuple[Input, ...]) -> float:
        return 2.0 * (value(inputs, "owner.hour_price", 5.0) - 2.0) - 1.0 if option == "camp stove" else 0.0

    level = {**BRINGS, "camp stove": BRINGS["gift"]}
    found = dealt(ranged, Dealt(level, moved=a_little), 8)
    assert ranged.study.worth_caring_about == 20.0
    assert found.flips is not None
    assert found.flips.where == "nowhere"
    more = dealt(ranged, Dealt(level, moved=lambda option, inputs: 2.0 * a_little(option, inputs)), 8)
    assert more.flips is not None
    assert more.flips.flipped > 0
    assert '"camp stove" brings at least 20 EUR more' in " ".join(hinges_words(more))


def test_without_a_name_the_option_that_brings_most_is_looked_at(ranged: Scenario) -> None:
    found = hinges_of(ranged, replicates=2, points=8, engine=Dealt(BRINGS, moved=straight))
    assert found.option == "gift"
    poor = Dealt({**BRINGS, "gift": around(0.0), "camp stove": around(50.0), "lucky charm": around(0.0)})
    behind = hinges_of(ranged, replicates=2, points=8, engine=poor)
    assert (behind.option, behind.best_today) == ("camp stove", "as today")


def test_an_option_that_stays_ahead_is_overtaken_nowhere(ranged: Scenario) -> None:
    found = dealt(ranged, Dealt({**BRINGS, "gift": around(900.0, shared=50.0)}, moved=straight))
    assert found.flips is not None
    assert found.flips.where == "nowhere"
    assert 'Within these ranges nothing overtakes "gift"' in " ".join(hinges_words(found))


def test_an_option_that_is_behind_already_is_told_so(ranged: Scenario) -> None:
    found = dealt(ranged, Dealt({**BRINGS, "gift": around(150.0, shared=50.0)}, moved=straight), 8)
    assert found.flips is not None
    assert found.flips.where == "everywhere"
    assert found.best_today == "camp stove"
    assert 'Even there "camp stove" brings more' in " ".join(hinges_words(found))


def test_nothing_that_moves_the_gain_is_an_answer(ranged: Scenario) -> None:
    found = dealt(ranged, Dealt(BRINGS), 8)
    assert found.shared == 0
    assert "Nothing in these ranges moves the gain." in hinges_words(found)
    assert draw_effects(found) is None
    assert draw_shares(found) is None


def dear(inputs: tuple[Input, ...]) -> bool:
    return value(inputs, "owner.hour_price", 5.0) > 11.5


def test_a_failed_point_is_told_and_never_made_up(ranged: Scenario) -> None:
    found = dealt(ranged, Dealt(BRINGS, moved=straight, fails_at=dear), 8)
    assert found.broken is not None
    assert found.broken.stage == "screening"
    assert all(one.effect is None and one.shares is None for one in found.hinges)
    assert found.flips is None
    assert any(text.startswith("owner.hour_price=12 EUR/h") for text in found.broken.inputs)
    assert "--set" in found.broken.run.repeat
    assert "ranged.yaml" in found.broken.run.repeat
    assert found.broken.run.repeat in " ".join(hinges_words(found))


def test_shares_need_every_point_though_the_screening_has_its_own(ranged: Scenario) -> None:
    def seldom(inputs: tuple[Input, ...]) -> bool:  # the levels of a screening are 2, 5.33, 8.67 and 12
        return 9.0 < value(inputs, "owner.hour_price", 5.0) < 10.0

    found = dealt(ranged, Dealt(BRINGS, moved=straight, fails_at=seldom))
    assert found.broken is not None
    assert found.broken.stage == "shares"
    assert all(one.effect is not None and one.shares is None for one in found.hinges)
    assert found.flips is not None
    assert found.flips.failed > 0
    assert found.flips.points + found.flips.failed == 128
    assert found.flips.first_failed is not None
    words = " ".join(hinges_words(found))
    assert "No shares are given" in words
    assert "left out, since a run failed there" in words


def test_what_is_found_is_kept_to_the_bit(line: Hinges, ranged: Scenario, tmp_path: Path) -> None:
    broken = dealt(ranged, Dealt(BRINGS, moved=straight, fails_at=dear), 8)
    assert read_hinges(tmp_path) is None
    for found in (line, broken):
        assert [path.name for path in save_hinges(found, tmp_path)] == ["hinges.csv", "hinges.json"]
        assert read_hinges(tmp_path) == found
        assert hinges_document(found)["words"] == list(hinges_words(found))
        assert [row[0] for row in rows(found)] == [one.name for one in found.hinges]
    (tmp_path / FILE).write_text("{}")
    with pytest.raises(StoredError, match="damaged"):
        read_hinges(tmp_path)


def test_charts_have_a_row_for_each_input_that_moves_the_gain(line: Hinges) -> None:
    effects, shares = draw_effects(line), draw_shares(line)
    assert effects is not None
    assert shares is not None
    assert {row[:2] for row in effects.rows} == {
        ("price of your hour", "more of it raises the gain"),
        ("what casters pay", "more of it lowers the gain"),
    }
    assert [row[0] for row in shares.rows] == ["price of your hour", "what casters pay"]
    assert "Input" in str(effects.chart.to_dict())


@pytest.mark.parametrize(
    ("file", "option", "words"),
    [
        ("garden.yaml", "gift", "gives no ranges"),
        ("ranged.yaml", "as today", "it has no gain"),
        ("ranged.yaml", "full buckets", "is refused as it stands"),
        ("ranged.yaml", "gifts", "did you mean gift"),
    ],
)
def test_what_cannot_be_asked_is_told(file: str, option: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        hinges_of(load(HERE / file), option)


def test_an_option_that_breaks_a_limit_in_its_runs_has_no_hinges(ranged: Scenario) -> None:
    engine = Dealt(BRINGS, others=lambda option, world: {"lowest_cash": -5.0 if option == "gift" else 5.0})
    with pytest.raises(InputError, match="breaks a hard limit as it stands"):
        dealt(ranged, engine)


def test_ranges_change_nothing_that_is_played(ranged: Scenario) -> None:
    assert ranged.digest == load(HERE / "garden.yaml").digest
    assert list(ranged.ranges) == ["price of your hour", "what casters pay", "people", "payload"]


def test_a_real_business_is_moved_by_what_casters_pay() -> None:
    found = hinges_of(load(HERE / "ranged.yaml"), "camp stove", replicates=1, points=8, beside=["gift"])
    assert found.broken is None
    pay = {one.name: one for one in found.hinges}["what casters pay"]
    assert pay.effect is not None
    assert pay.effect.size > 0.0
    assert found.flips is not None
    assert found.flips.flipped == found.flips.points
