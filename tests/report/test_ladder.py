from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

import pytest
from rich.console import Console

from planner.report.charts.ladder import draw
from planner.report.folder import StoredError
from planner.report.ladder_files import FILE, TABLE, ladder_document, read_ladder, save_ladder
from planner.report.ladder_text import ladder_text
from planner.report.ladder_words import answer, asides, last, step_words, stop_here
from planner.study.intervals import Interval
from planner.study.ladder import Cheaper, Ladder, Stop
from tests.report.ladders import ladder, rung


def shown(found: Ladder) -> str:
    console = Console(file=io.StringIO(), width=80, highlight=False)
    for one in ladder_text(found, ()):
        console.print(one)
    text: str = console.file.getvalue()  # type: ignore[attr-defined]
    return text


def test_the_answer_names_the_steps_in_order_with_what_they_cost_and_bring() -> None:
    (said,) = answer(ladder())
    assert said == (
        'Within 500 EUR, 2 steps in this order: "bigger burner", then "post" with "more pickups". Together they cost '
        "140 EUR and bring 250 EUR a year more (from 225 to 275 EUR) after your hours are priced."
    )


def test_a_sum_that_nobody_gave_is_told_as_what_it_is() -> None:
    assert "(the cash at the start less the reserve)" in answer(ladder(sum_given=False))[0]


def test_a_step_says_what_it_brings_given_those_before() -> None:
    first, *besides, _ = step_words(ladder(), 1)
    assert first == (
        '2. "post" with "more pickups", for 50 EUR (360 left): 70 EUR a year more (from 50 to 90 EUR) after your hours '
        "are priced; 10 fewer of your hours, 30 EUR less in money; its cost is back after about 4 months, your hours "
        "priced."
    )
    assert besides == [
        'It sets anew what "bigger burner" set.',
        "Neither was worth it alone.",
        'When it was picked, it could not be told from "lid".',
    ]


def test_where_to_stop_follows_from_the_next_step() -> None:
    assert stop_here(ladder(), 0) == (
        "Stay as today if you have less than 90 EUR to go on with, or if about 180 EUR a year more do not matter to "
        'you. It changes if an hour is worth more than 12.50 EUR to you: "bigger burner" does not pay then.'
    )
    assert step_words(ladder(), 0)[-1] == (
        "Stop here if you have less than 50 EUR to go on with, or if about 70 EUR a year more do not matter to you. It "
        'changes if an hour is worth less than 3.00 EUR to you: "post" with "more pickups" does not pay then.'
    )


def test_too_little_for_a_step_is_no_reason_to_stop_where_a_cheaper_one_pays() -> None:
    dear = rung(("shed",), 300.0, 300.0, 180.0, 180.0, hour_price_high=None)
    free = Cheaper(("sort",), 0.0, Interval(90.0, 80.0, 100.0, 100))
    assert stop_here(ladder(rungs=(replace(dear, cheaper=free),)), 0) == (
        "Stay as today if about 180 EUR a year more do not matter to you. With less than 300 EUR to go on with, take "
        '"sort" instead, at no cost: 90 EUR a year more (from 80 to 100 EUR).'
    )
    for_little = replace(free, options=("lid",), cost=45.0)
    assert (
        'With 45 EUR or more, but less than 300 EUR to go on with, take "lid" instead, for 45 EUR: 90 EUR'
        in stop_here(ladder(rungs=(replace(dear, cheaper=for_little),)), 0)
    )


def test_a_step_that_costs_nothing_is_said_to() -> None:
    free = rung(("sort",), 0.0, 0.0, 180.0, 180.0)
    assert "It costs nothing and brings 180 EUR" in answer(ladder(rungs=(free,)))[0]


@pytest.mark.parametrize(
    ("stop", "words"),
    [
        (
            ladder().stop,
            (
                'the next best, "shed" for 300 EUR, brings 10 EUR more a year (from 10 EUR less to 30 EUR '
                "more); you care about 50 EUR and more."
            ),
        ),
        (
            Stop("cannot tell", rung(("shed",), 0.0, 140.0, 15.0, 260.0)),
            (
                'the next best, "shed", cannot be told from nothing: 15 EUR more a year (from 5 EUR less to '
                "35 EUR more) in 100 worlds."
            ),
        ),
        (Stop("money"), "all else that may bring something costs more than the 360 EUR that are left."),
        (Stop("nothing left"), "there is nothing else to try."),
        (
            Stop("failed runs"),
            "some runs of what is done so far failed, and a mean without them may mislead.",
        ),
    ],
    ids=lambda one: one.reason if isinstance(one, Stop) else "",
)
def test_the_last_step_says_why_there_is_no_other(stop: Stop, words: str) -> None:
    found = ladder(stop=stop)
    assert last(found) == step_words(found, 1)[-1] == f"Stop here: {words}"


def test_without_a_first_step_the_answer_is_to_go_on_as_today() -> None:
    said = answer(ladder(rungs=()))
    assert said[0] == "Within 500 EUR there is no first step: go on as today."
    assert said[1].startswith('Stay as today: the best, "shed"')


def test_nothing_is_built_on_what_is_refused_today() -> None:
    found = ladder(rungs=(), stop=Stop("refused", words="lifting: too heavy"))
    (said,) = answer(found)
    assert said.startswith(
        "No ladder: what you do as today is refused: lifting: too heavy. Put that right first"
    )
    assert "Brings" not in shown(found)


def test_what_was_set_aside_too_dear_or_superfluous_is_told() -> None:
    said = list(asides(ladder()))
    assert said[0] == (
        'Who goes all the way leaves out "bigger burner": without it the others bring 5 EUR less a year (from 15 EUR '
        "less to 5 EUR more) and 90 EUR are saved."
    )
    for words in (
        'Not tried in the end, since it costs more than is left: "roof" (900 EUR).',
        'No difference in any of the first 10 worlds: "charm".',
        '"full buckets" is refused after "bigger burner": lifting: too heavy.',
        '"more soap" is not possible after "soap": there is already soap.',
    ):
        assert words in said
    assert any(words.startswith("Costs add up") for words in said)
    assert not any(words.startswith("Costs add up") for words in asides(ladder(rungs=ladder().rungs[:1])))


def test_values_that_are_not_the_file_s_are_told() -> None:
    set_ = ladder(inputs=("owner.hour_price=2 EUR/h", "cash.opening=900 EUR"))
    assert next(iter(asides(set_))) == (
        "Played with other values than the file's: owner.hour_price=2 EUR/h; cash.opening=900 EUR."
    )
    assert not any(words.startswith("Played with") for words in asides(ladder()))


def test_the_table_fits_eighty_columns_with_names_cut_and_no_markup_read() -> None:
    long = rung(("[red]a very long name[/red]" * 3, "another that is long"), 50.0, 140.0, 70.0, 12345.0)
    text = shown(ladder(rungs=(ladder().rungs[0], long)))
    assert max(map(len, text.splitlines())) <= 80
    assert "2 [red]a very" in text
    assert "…" in text
    assert "1 bigger burner" in text
    assert "- shed" in text
    assert "+12,345" in text


def test_a_ladder_is_read_back_as_it_was(tmp_path: Path) -> None:
    assert read_ladder(tmp_path) is None
    found = ladder()
    files = save_ladder(found, tmp_path / "made")
    assert [path.name for path in files] == [TABLE, FILE]
    assert read_ladder(tmp_path / "made") == found


def test_a_damaged_ladder_is_told(tmp_path: Path) -> None:
    (_, kept) = save_ladder(ladder(), tmp_path)
    document = json.loads(kept.read_text(encoding="utf-8"))
    kept.write_text(json.dumps({**document, "format": 99}), encoding="utf-8")
    with pytest.raises(StoredError, match=r"has format 99.*planner ladder"):
        read_ladder(tmp_path)
    kept.write_text("{", encoding="utf-8")
    with pytest.raises(StoredError, match="damaged"):
        read_ladder(tmp_path)


def test_the_table_of_steps_begins_today_and_ends_with_what_was_not_taken(tmp_path: Path) -> None:
    first, second = ladder().rungs
    first = replace(first, cheaper=Cheaper(("lid",), 45.0, Interval(30.0, 20.0, 40.0, 100)))
    path, _ = save_ladder(ladder(rungs=(first, second)), tmp_path)
    rows = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))
    assert [(row["step"], row["options"], row["taken"]) for row in rows] == [
        ("0", "as today", "yes"),
        ("1", "bigger burner", "yes"),
        ("2", "post + more pickups", "yes"),
        ("", "shed", "no"),
    ]
    assert (rows[2]["gain_mean"], rows[2]["spent"], rows[2]["hour_price_low"]) == ("70.0", "140.0", "3.0")
    assert (rows[1]["cheaper_options"], rows[1]["cheaper_gain_mean"]) == ("lid", "30.0")
    assert rows[2]["cheaper_options"] == ""


def test_the_document_holds_figures_and_words() -> None:
    found = ladder_document(ladder())
    assert json.loads(json.dumps(found, allow_nan=False)) == found
    assert found["advice"] == list(answer(ladder()))
    assert found["rungs"][1]["gain"] == {"mean": 70.0, "low": 50.0, "high": 90.0, "n": 100}
    assert found["steps"][1][-1] == last(ladder())
    assert found["stop"]["looked_at"]["options"] == ["shed"]


def test_the_chart_has_a_row_a_step_and_the_same_as_a_table() -> None:
    figure = draw(ladder())
    assert figure is not None
    assert [row[:2] for row in figure.rows] == [
        ("1. bigger burner", "this step"),
        ("2. post + more pickups", "this step"),
        ("2. post + more pickups", "all steps so far"),
        ("(shed)", "looked at next, not taken"),
    ]
    assert figure.rows[1][2:] == ("+70", "+50", "+90")
    assert draw(ladder(rungs=(), stop=Stop("nothing left"))) is None
