"""What is typed, and what stands in a file of answers."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.asking.answers import LEFT, answers_text, form_text, read_answers
from planner.asking.questions import BY_KEY, FIRST, QUESTIONS
from planner.asking.told import Told
from planner.scenario import InputError
from planner.scenario.outline import fields_of
from tests.asking.conftest import TODAY, Answered


def test_there_is_a_question_for_every_answer_and_no_other() -> None:
    assert set(BY_KEY) == set(fields_of(Told))
    assert len(QUESTIONS) == len(BY_KEY)
    assert set(FIRST) <= set(QUESTIONS)


def test_a_bare_number_is_taken_as_the_person_counts(answered: Answered) -> None:
    metric = answered(payload="410", asked="4.4", shop_distance="5", burner="4", coldest="-3", orders="2")
    assert metric.given["payload"] == "410 kg"
    assert metric.given["asked"] == "4.4 EUR/kg"
    us = answered(units="pounds", currency="usd", payload="900", asked="2", shop_distance="3", burner="35000")
    assert [us.given[key] for key in ("payload", "asked", "shop_distance", "burner")] == [
        "900 lb", "2 USD/lb", "3 miles", "35000 BTU/h",
    ]  # fmt: skip
    assert us.told.payload_kg == pytest.approx(408.23, abs=0.01)
    assert us.told.asked_per_kg == pytest.approx(4.409, abs=0.001)
    assert us.told.burner_w == pytest.approx(10_257, abs=1)


def test_either_unit_may_be_written_whatever_the_person_counts_in(answered: Answered) -> None:
    found = answered(units="lb", payload="400 kg", orders="1 a week")
    assert found.told.payload_kg == 400.0
    assert found.told.orders_per_month == pytest.approx(4.35, abs=0.01)


@pytest.mark.parametrize(
    ("typed", "hours"),
    [
        ("wed 17:30-21:00, sat 8-17", {"wed": "17:30-21:00", "sat": "08:00-17:00"}),
        ("tue thu 18-21", {"tue": "18:00-21:00", "thu": "18:00-21:00"}),
        ("mon-fri 18 to 21; Sat 8-12 14-17", {"mon-fri": "18:00-21:00", "sat": ["08:00-12:00", "14:00-17:00"]}),
    ],
)  # fmt: skip
def test_free_hours_are_typed_as_people_say_them(typed: str, hours: object, answered: Answered) -> None:
    assert answered(hours=typed).given["hours"] == hours


@pytest.mark.parametrize(
    ("key", "typed", "said"),
    [
        ("payload", "12,5", "write a decimal point: 12.5"),
        ("payload", "12 h", "'12 h' is a duration, but a mass is needed"),
        ("payload", "0", "it must be above 0 kg"),
        ("bucket_price", "$5", "has a currency sign"),
        ("bucket_price", "5 USD", "this scenario counts in EUR"),
        ("hours", "evenings", "does not begin with a weekday"),
        ("hours", "sta 8-17", "did you mean sat?"),
        ("hours", "sat", "no times stand after sat"),
        ("hours", "sat 8-25", "'08:00-25:00' is not a time from-to"),
        ("currency", "EURO", "did you mean EUR?"),
        ("lift", "rope", "write one of: full, half, third, two people, plank, hand truck, hoist"),
        ("casters", "3.5", "3.5 is not a whole number"),
        ("weather_file", "gone.csv", "there is no file 'gone.csv'"),
        ("title", "a\x07b", "an invisible control character"),
    ],
)
def test_a_wrong_answer_is_told_in_the_words_of_the_loader(
    key: str, typed: str, said: str, answered: Answered
) -> None:
    with pytest.raises(ValueError, match=r"\w") as told:
        answered(**{key: typed})
    assert said in str(told.value)


def test_another_currency_takes_the_amounts_with_it(answered: Answered) -> None:
    found = answered(bucket_price="12", payload="400", currency="gbp")
    assert dict(found.given) == {"payload": "400 kg", "currency": "GBP"}
    assert found.written("bucket_price") == "10 GBP"


def test_answers_are_read_back_as_they_were_written(answered: Answered, tmp_path: Path) -> None:
    those = answered(
        title='Mine: "the shed" #2', currency="usd", units="lb", hours="tue thu 18-21, sat 8-12 14-17",
        lift="two people", burner="35000", coldest="-5 degC", holidays="2026-07-06 to 2026-07-19",
        light="yes", helper_wage="12", helper_days="fri sat", euro_is="1.1",
    ).left(BY_KEY["cash"])  # fmt: skip
    file = tmp_path / "x.answers.yaml"
    file.write_text(answers_text(those), encoding="utf-8")
    again = read_answers(file, tmp_path, TODAY)
    assert dict(again.given) == dict(those.given)
    assert again.given["cash"] == LEFT
    assert again.told == those.told


def test_everything_wrong_in_a_file_of_answers_is_told_at_once_with_its_place(tmp_path: Path) -> None:
    file = tmp_path / "mine.yaml"
    file.write_text(
        "currency: USD\nunits: lb\npayload: 900\nbukets: 3\nburner: 12 kg\nhours: sat 8\nlift: rope\ncash: 5 EUR\n"
        "coldest: 50\nwarmest: 40\nasked: usual\n"
    )
    with pytest.raises(InputError) as told:
        read_answers(file, tmp_path, TODAY)
    assert [(one.line, one.column, one.path) for one in told.value.problems] == [
        (4, 1, "bukets"), (5, 9, "burner"), (6, 8, "hours"), (7, 7, "lift"), (8, 7, "cash"), (10, 10, "warmest"),
    ]  # fmt: skip
    assert "did you mean buckets?" in str(told.value)


def test_the_form_to_fill_in_is_a_file_of_answers(answered: Answered, tmp_path: Path) -> None:
    file = tmp_path / "form.yaml"
    usual = [
        line.removeprefix("# ")
        for line in form_text(answered()).splitlines()
        if line.split(":")[0].removeprefix("# ") in BY_KEY and "left open" not in line
    ]
    file.write_text("\n".join(usual))
    found = read_answers(file, tmp_path, TODAY)
    assert len(found.yours) > 40
    assert found.told.payload_kg == 410.0
