from __future__ import annotations

from math import nan

import numpy as np

from planner.report.asides import asides
from planner.report.phrases import listed
from planner.report.words import advice, answer, lost_words
from planner.study.failures import FailedRun
from tests.report.made import LIFTING, study, swings, three, wobble


def said(*words: str) -> str:
    return " ".join(words)


def test_a_sure_winner_is_told_with_money_range_and_what_it_costs_to_start() -> None:
    text = said(*advice(study(three())))
    assert text.startswith(
        'Do this first: "bigger burner", for 90 EUR; it brings 300 EUR a year more (from 292 to 309 EUR) after your '
        "hours are priced: as many of your hours and 300 EUR more in money (its cost counted in), beside going on as "
        "today; paid back in money after about 3 months; better in 60 of 60 worlds."
    )
    assert (
        "It costs 90 EUR to start less 10 EUR that the gear still brings at the end, all of it charged"
        in text
    )


def test_the_headline_is_short_enough_to_be_read_at_once_and_the_sentence_goes_on() -> None:
    sure = study(three())
    kept = study(three() | {"bigger burner": -200.0 + swings(60) + wobble(60, 40.0)})
    for made in (sure, kept):
        assert len(answer(made)[0]) < 160
        assert advice(made)[0].startswith(answer(made)[0])
    assert [words in advice(sure)[0] for words in ("for 90 EUR", "300 EUR", "60 of 60")] == [True] * 3


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
    assert text == (
        "No recommendation: every option breaks a hard limit. What you do as today too: portions of 59 kg have a "
        "lifting index above 3.0. Put that right first."
    )


def test_alone_as_today_goes_on() -> None:
    text, *_ = advice(study({"as today": 100.0 + swings(60)}))
    assert text == "Go on as today: the scenario has no other option."


def test_one_world_gives_no_range_of_nan() -> None:
    text = said(*advice(study({name: row[:1] for name, row in three().items()})))
    assert "nan" not in text
    assert "n/a" not in text


def test_identical_options_and_failures_are_told_beside_the_advice() -> None:
    failure = FailedRun(
        "bigger pot", "expected", 7, "failed", "ValueError: no", "", "planner run x --replicate 7"
    )
    values = three() | {"charm": 400.0 + swings(60) + wobble(60, 40.0)}
    values["bigger pot"][7] = float("nan")
    text = said(*asides(study(values, failures=(failure,))))
    assert '"bigger burner" and "charm" never differ in any of the 60 worlds that all options met.' in text
    assert "1 of 240 runs failed; they are counted, not dropped." in text
    assert "Again alone: planner run x --replicate 7" in text


def test_what_pairing_saved_is_told() -> None:
    text = said(*asides(study(three())))
    assert "would have to be about 51 times as many to be as sure" in text
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
    values, hours = three(), {"as today": 100.0, "bigger burner": 70.0}
    text = said(*advice(study(values, hours=hours)))
    assert (
        "30 fewer of your hours and 150 EUR more in money (its cost counted in), beside going on as today"
        in text
    )
    assert "exposed to lead for 42 hours a year, 18 less than now" in text
    hours["bigger burner"] = 140.0
    assert "exposed to lead for 84 hours a year, 24 more than now" in said(
        *advice(study(values, hours=hours))
    )


def test_up_to_which_price_of_an_hour_the_advice_stands_is_told() -> None:
    slow = {"bigger burner": 160.0}  # 300 EUR ahead at 5 EUR/h, with 60 hours more: even at 10 EUR/h
    text = said(*advice(study(three(), hours=slow)))
    assert (
        '"bigger burner" has the highest mean while your hour is worth 10.00 EUR or less (you set 5.00 EUR)'
        in text
    )
    assert '; above that "as today" has it.' in text
    quick = {"as today": 300.0, "bigger burner": 100.0, "bigger pot": 100.0}
    text = said(*advice(study(three(), hours=quick)))
    assert '"bigger burner" has the highest mean while your hour is worth 3.50 EUR or more' in text
    text = said(*advice(study(three())))
    assert '"bigger burner" has the highest mean whatever your hour is worth (you set 5.00 EUR).' in text
    assert "as many of your hours" in text
    assert "You are then exposed to lead for 60 hours a year, as now." in text


def test_start_up_cost_is_told_as_it_is_charged_with_the_time_that_pays_it_back() -> None:
    one = said(*advice(study(three())))
    assert "all of it charged to one year; at that rate it is paid back after about 3 months." in one
    two = said(*advice(study(three(), days=730)))
    assert "charged to the 2 years that are played, 40 EUR a year; at that rate" in two
    dear = said(*advice(study(three(), start_up_cost=900.0)))  # 1,190 a year beside the charge of 890
    assert "paid back after about 9 months." in dear
    dearer = said(*advice(study(three(), start_up_cost=3000.0, days=365)))
    assert "paid back after about 11 months." in dearer


def test_figures_of_less_than_a_year_are_not_called_a_year() -> None:
    text = said(*advice(study(three(), days=60)), *asides(study(three(), days=60)))
    assert "a year" not in text
    assert "brings 300 EUR in 60 days more" in text
    assert "charged to the time that is played; at that rate it is paid back after less than a month" in text


def test_what_holds_the_business_back_is_told_with_its_hours() -> None:
    text = said(*advice(study(three())))
    assert (
        "What holds the business back most as today: too few buyers (500 of 800 free hours a year go unused"
        in text
    )


def test_a_difference_that_may_go_either_way_says_which_end_is_more() -> None:
    values = {"as today": 100.0 + swings(60), "bigger pot": 125.0 + swings(60) + wobble(60, 200.0)}
    text = said(*advice(study(values, worth_caring_about=1.0)))
    assert "EUR less to " in text
    assert "EUR more; the same 60 worlds played both ways" in text
    assert "from -" not in text
    kept = said(
        *advice(study(values, worth_caring_about=500.0))
    )  # as today is kept: the same told from its side
    assert "Don't grow" in kept
    assert "from -" not in kept


def test_one_world_is_not_called_worlds() -> None:
    text = said(*advice(study({name: row[:1] for name, row in three().items()})))
    assert "Too few runs to choose: 1 world, at least 50 are needed." in text


def test_where_money_falls_the_outlay_comes_back_in_hours_and_that_is_said() -> None:
    text = said(*advice(study(three(), hours={"as today": 300.0, "bigger burner": 150.0})))
    assert "150 fewer of your hours and 450 EUR less in money" in text
    assert "; the outlay comes back in hours, not in money; " in text
    assert "if your saved hours count as money; in money alone it never is." in text


def test_what_buyers_asked_for_in_vain_is_told_by_why() -> None:
    made = study(three())
    for name, kg in (("lost_price_kg", 75.0), ("lost_no_show_kg", 77.0), ("lost_stock_kg", 0.2)):
        made.values[:, :, made.column(name)] = kg
    assert said(*lost_words(made, "as today")) == (
        "Beside 300 kg a year that you sell as today, buyers asked for 152 in vain: 77 who did not come, 75 for the "
        "price."
    )
    assert tuple(lost_words(study(three()), "as today")) == ()


def test_what_would_tell_two_options_apart_is_a_command() -> None:
    values = three()
    values["bigger pot"] = (
        values["bigger burner"] + 30.0 * np.sin(np.arange(60.0) * 7.0) - 60.0 * np.cos(np.arange(60.0))
    )
    made = study(values, worth_caring_about=1.0)
    assert made.findings.verdict == "cannot tell"
    assert made.findings.runs_needed is not None
    assert f"the same command with --replicates {made.findings.runs_needed}." in said(*advice(made))


def test_options_that_differ_by_a_constant_say_nothing_of_what_pairing_saved() -> None:
    values = three() | {"gift": 150.0 + swings(60)}
    assert study(values).sample.pairing_saved_typically < 1e6


def test_with_few_worlds_no_range_is_told_and_with_one_option_nothing_is_to_be_chosen() -> None:
    text = said(*advice(study(three(5))))
    assert "Too few runs to choose: 5 worlds" in text
    assert "from" not in text
    assert said(*answer(study({"as today": swings(5)}))).startswith("There is nothing to choose from")
