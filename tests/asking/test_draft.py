"""The scenario that is written of answers."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.asking.answers import Answers
from planner.asking.draft import YOURS, scenario_text
from planner.asking.questions import BY_KEY, QUESTIONS
from planner.asking.told import Told
from planner.asking.typed import choices_of, symbol_of
from planner.scenario import Scenario
from planner.scenario.kinds import BARE
from planner.scenario.outline import bounds_of, fields_of
from planner.scenario.source import read
from planner.scenario.tree import at
from planner.scenario.units import written
from planner.study import load
from planner.workshop.premises import premises
from tests.asking.conftest import TODAY, Answered

NOT_DRAWN = {"title", "currency", "units", "euro_is", "hours", "holidays", "helper_days", "start", "time_zone",
             "weather_file"}  # fmt: skip


def loaded(answers: Answers, folder: Path) -> Scenario:
    file = folder / "mine.yaml"
    file.write_text(scenario_text(answers), encoding="utf-8")
    return load(file)


def own(text: str) -> set[str]:
    """Keys marked as answered, of lines that are no comment."""
    lines = [line.strip() for line in text.splitlines() if f"# {YOURS}" in line]
    return {line.split(":")[0] for line in lines if not line.startswith("#")}


def test_what_was_answered_is_written_and_the_rest_is_left_to_the_model(
    answered: Answered, tmp_path: Path
) -> None:
    text = scenario_text(answered(payload="450", drive_cost="0.5", light="yes"))
    assert own(text) == {"payload", "cost", "light"}
    scenario = loaded(answered(payload="450", drive_cost="0.5", light="yes"), tmp_path)
    tree = read(scenario.path).value
    assert (tree["vehicle"], tree["melting"]["light"]) == ({"payload": "450 kg", "cost": "0.5 EUR/km"}, True)
    assert "fetching" not in tree
    assert set(tree["melting"]) == {"place", "light", "burner", "stand"}


def test_without_any_answer_there_is_a_whole_scenario_that_breaks_no_limit(
    answered: Answered, tmp_path: Path
) -> None:
    scenario = loaded(answered(), tmp_path)
    assert len(scenario.options) > 15
    assert len(scenario.outlooks) == 8
    assert len(scenario.ranges) == 9
    assert not scenario.warnings
    for option in scenario.options:
        assert not premises(scenario.business(option)).refusals, option
    for outlook in scenario.outlooks:
        assert scenario.skipped("as today", outlook) == ()


def test_every_answer_is_found_where_its_question_says(answered: Answered, tmp_path: Path) -> None:
    typed = {
        "start": "2027-01-01", "time_zone": "CET", "holidays": "2027-07-06", "helper_wage": "12", "helper_days": "fri",
        "place": "enclosed", "extraction": "yes", "light": "yes", "lid": "yes", "windbreak": "yes", "heel": "yes",
        "thermometer": "yes", "sheltered": "yes", "sort": "yes", "anglers": "5", "angler_orders": "1",
        "angler_order": "4", "bucket": "50", "ingots": "5",
    }  # fmt: skip
    for question in QUESTIONS:
        usual = question.usual(answered())
        if question.key not in {*typed, "weather_file", "bucket_hours", "euro_is"} and usual is not None:
            typed[question.key] = str(usual) if not isinstance(usual, (dict, bool)) else "sat 8-17"
    answers = answered(**typed)
    file = tmp_path / "mine.yaml"
    file.write_text(scenario_text(answers, 0.5))
    business = load(file).business()
    tree: dict[str, Any] = read(file).value
    tree = {**tree, "demand": {one["name"]: one for one in tree["demand"]}}
    tree["supply"] = {one["name"]: one for one in tree["supply"]}
    for question in QUESTIONS:
        if question.key not in ("euro_is", "weather_file"):
            assert at(tree, tuple(question.path.split("."))) is not None, question.key
    assert business.helper is not None
    assert business.helper.days == ("fri",)
    assert business.melting.heel_kg == pytest.approx(13.3, abs=0.1)


def test_amounts_stand_in_the_units_that_were_typed(answered: Answered) -> None:
    text = scenario_text(answered(units="lb", currency="usd", payload="900", asked="2", order="20"))
    assert "units: us" in text
    assert "payload: 900 lb # your answer" in text
    assert "private: {hard: 2 USD/lb} # your answer" in text
    assert "size: {triangular: {low: 10 lb, mode: 20 lb, high: 50 lb}} # your answer" in text


def test_in_a_currency_far_from_par_no_amount_of_the_model_is_left(
    answered: Answered, tmp_path: Path
) -> None:
    business = loaded(answered(currency="jpy", euro_is="160"), tmp_path).business()
    assert business.vehicle.cost_per_km == pytest.approx(0.43 * 160, rel=0.01)
    assert business.melting.fuel_price_per_kg == 400.0
    assert business.rates.settings.lead.mean_per_kg == pytest.approx(1.34 * 160, rel=0.01)
    assert business.rates.settings.zinc.mean_per_kg == 160.0
    assert business.pricing.settings.private.hard_per_kg == pytest.approx(4.4 * 160, rel=0.01)
    assert business.pricing.settings.tin_per_kg == 33 * 160
    assert business.supply[0].settings.typical.price.mean == pytest.approx(1600.0)


def test_no_burner_is_offered_that_is_hardly_larger(answered: Answered) -> None:
    small, large, huge = (scenario_text(answered(burner=power)) for power in ("4 kW", "12 kW", "20 kW"))
    assert "A burner of 10 kW" in small
    assert "A burner of 24 kW" in large
    assert "A burner of 10 kW" not in large
    assert "bigger burner" not in huge


def test_what_is_there_already_is_no_option(answered: Answered) -> None:
    text = scenario_text(
        answered(
            lift="hand truck", thermometer="yes", lid="yes", windbreak="yes", sort="yes", place="roof", helper_wage="9"
        )
    )  # fmt: skip
    offered = text.split("options:")[1].split("outlooks:")[0]
    for name in ("hand truck", "thermometer", "lid and windbreak", "sort first", "roof with light", "helper"):
        assert f"\n  {name}:\n" not in offered
    assert "\n  half buckets:\n" in scenario_text(answered(lift="full"))
    assert "\n  extraction and alarm:\n" in scenario_text(answered(place="enclosed"))


def test_orders_and_those_who_do_not_buy_make_the_pause_between_needs(
    answered: Answered, tmp_path: Path
) -> None:
    business = loaded(answered(casters="10", orders="2", buy_of_ten="5", asked="4"), tmp_path).business()
    settings_ = business.demand[0].settings
    assert settings_.gap_days.mean == pytest.approx(10 * 365 / 12 / 4, rel=0.01)
    assert settings_.most.mixed_per_kg.mean == pytest.approx(4.0)


def any_answer(key: str) -> st.SearchStrategy[Any]:
    """Any answer within the range of its question."""
    if choices_of(key):
        return st.sampled_from(choices_of(key))
    symbol, bounds = symbol_of(key), bounds_of(fields_of(Told)[key])
    low, high = bounds.get("ge", bounds.get("gt", 0.0)), bounds.get("le", bounds.get("lt", 0.0))
    if symbol == "count":
        return st.integers(int(low), int(high)).map(str)
    least = low if "ge" in bounds else max(low, 1e-3)
    numbers = st.floats(least, high).map(lambda value: max(round(float(f"{value:.4g}"), 6), least))
    if symbol in BARE:
        return numbers.map(str)
    return numbers.map(lambda value: str(written(min(value, high), symbol)))


@st.composite
def any_answers(draw: st.DrawFn) -> dict[str, str]:
    keys = [question.key for question in QUESTIONS if question.key not in NOT_DRAWN]
    some = draw(st.lists(st.sampled_from(keys), unique=True, max_size=25))
    found = {key: draw(any_answer(key)) for key in keys if key in some}
    if draw(st.booleans()):
        found["hours"] = draw(st.sampled_from(["sat 8-17", "mon-fri 18-2", "sun 0-24"]))
    if {"coldest", "warmest"} & set(found):
        found |= {"coldest": "-5 degC", "warmest": "18 degC"}
    return found


def check_any(typed: dict[str, str], folder: Path) -> None:
    answers = Answers(folder, TODAY)
    for key, text in typed.items():
        answers = answers.with_typed(BY_KEY[key], text)
    scenario = loaded(answers, folder)
    assert {refusal.limit for refusal in premises(scenario.business()).refusals} <= (
        {"lifting", "payload", "place"} | ({"stand"} if "stand" in typed else set())
    )


@settings(max_examples=8)
@given(typed=any_answers())
def test_any_answers_within_their_ranges_make_a_scenario(
    typed: dict[str, str], tmp_path_factory: pytest.TempPathFactory
) -> None:
    check_any(typed, tmp_path_factory.mktemp("any"))


@pytest.mark.long
@settings(max_examples=150)
@given(typed=any_answers())
def test_many_more_answers_make_a_scenario(
    typed: dict[str, str], tmp_path_factory: pytest.TempPathFactory
) -> None:
    check_any(typed, tmp_path_factory.mktemp("any"))


def test_a_thousand_who_know_are_no_more_than_a_scenario_allows(tmp_path: Path) -> None:
    check_any({"casters": "1000", "anglers": "1000"}, tmp_path)
