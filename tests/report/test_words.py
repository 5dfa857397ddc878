from __future__ import annotations

from math import nan

from planner.report.words import advice, asides, listed
from planner.study.failures import FailedRun
from tests.report.made import LIFTING, study, swings, three, wobble


def said(*words: str) -> str:
    return " ".join(words)


def test_a_sure_winner_is_told_with_money_range_and_what_it_costs_to_start() -> None:
    text = said(*advice(study(three())))
    assert text.startswith('Do this first: "bigger burner". It brings 300 EUR a year more than as today')
    assert "after your hours are priced (from " in text
    assert "the same 60 worlds played both ways" in text
    assert "It costs 90 EUR to start, which is counted in." in text


def test_as_today_winning_is_told_as_do_not_grow() -> None:
    values = three() | {"bigger burner": -200.0 + swings(60) + wobble(60, 40.0)}
    text = said(*advice(study(values)))
    assert text.startswith("Don't grow: nothing here beats going on as today.")
    assert '"bigger pot", brings 51 EUR a year less' in text


def test_a_gain_not_worth_caring_about_is_no_reason_to_grow() -> None:
    values = {"as today": 100.0 + swings(60), "thermometer": 120.0 + swings(60) + wobble(60, 5.0)}
    text = said(*advice(study(values)))
    assert text.startswith("Don't grow: nothing here brings 50 EUR a year more")
    assert '"thermometer", brings 20 EUR more' in text


def test_too_few_worlds_name_the_leader_but_recommend_nothing() -> None:
    text = said(*advice(study(three(20))))
    assert text.startswith("Too few runs to choose: 20 worlds, at least 50 are needed.")
    assert 'Ahead so far: "bigger burner".' in text
    assert "Do this first" not in text


def test_overlapping_intervals_are_too_few_runs_with_a_number_that_would_do() -> None:
    values = three() | {"post": 410.0 + swings(60) + wobble(60, 400.0, 5)}
    text = said(*advice(study(values)))
    assert text.startswith("Too few runs to choose: ")
    assert '"bigger burner"' in text
    assert '"post"' in text
    assert "cannot be told apart in 60 worlds" in text
    assert "worlds would tell the first two apart" in text


def test_two_as_good_as_each_other_are_left_to_the_owner() -> None:
    values = three() | {"other burner": 395.0 + swings(60) + wobble(60, 10.0, 3)}
    text = said(*advice(study(values)))
    assert text.startswith(
        'Cannot tell which is best: "bigger burner" and "other burner" differ by less than the 50 EUR'
    )


def test_the_best_may_still_lose_money_and_the_words_say_so() -> None:
    values = {name: row - 1000.0 for name, row in three().items()}
    text = said(*advice(study(values)))
    assert "Even so it loses 593 EUR a year once your hours are priced" in text


def test_failed_runs_block_the_advice() -> None:
    values = three()
    values["bigger pot"][3] = nan
    text = said(*advice(study(values)))
    assert text.startswith('No recommendation: 1 of 60 runs of "bigger pot" failed')


def test_where_everything_is_refused_nothing_is_recommended() -> None:
    text = said(*advice(study(three(), refused=dict.fromkeys(three(), (LIFTING,)))))
    assert text == "No recommendation: every option breaks a hard limit, as told below."


def test_alone_as_today_goes_on() -> None:
    text = said(*advice(study({"as today": 100.0 + swings(60)})))
    assert text == "Go on as today: there is no other option that is allowed."


def test_one_world_gives_no_range_of_nan() -> None:
    text = said(*advice(study({name: row[:1] for name, row in three().items()})))
    assert "nan" not in text
    assert "n/a" not in text


def test_identical_options_and_failures_are_told_beside_the_advice() -> None:
    failure = FailedRun("post", "expected", 7, "failed", "ValueError: no", "", "planner run x --replicate 7")
    values = three() | {"charm": 400.0 + swings(60) + wobble(60, 40.0)}
    text = said(*asides(study(values, failures=(failure,))))
    assert '"bigger burner" and "charm" never differ in any world.' in text
    assert "1 of 240 runs failed; they are counted, not dropped." in text
    assert "To play it again alone: planner run x --replicate 7" in text


def test_what_pairing_saved_is_told() -> None:
    text = said(*asides(study(three())))
    assert "Playing all options in the same worlds told as much as " in text
    alone = said(*asides(study({"as today": swings(60)})))
    assert alone == ""


def test_many_names_are_counted() -> None:
    assert listed(["a"]) == '"a"'
    assert listed(["a", "b"]) == '"a" and "b"'
    assert listed(list("abcdefg")) == '"a", "b", "c", "d" and 3 more'


def test_a_refused_today_is_told_first_and_is_no_measure_for_the_rest() -> None:
    text = said(*advice(study(three(), refused={"as today": (LIFTING,)})))
    assert text.startswith(
        "What you do as today is refused: portions of 59 kg have a lifting index above 3.0."
    )
    assert 'Of what is allowed, "bigger burner" is best' in text
    assert "more than as today" not in text


def test_money_and_hours_are_told_apart() -> None:
    text = said(*advice(study(three())))
    assert "In money that is 300 EUR a year more, and 0 hours a year fewer of yours" in text
