"""The conversation, with somebody who answers from a list."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from planner.asking.answers import LEFT, Answers
from planner.asking.dialogue import Dialogue, StoppedError, UnanswerableError
from planner.asking.questions import FIRST, QUESTIONS
from tests.asking.conftest import TODAY

ENOUGH = ("", "gbp", "lb")
"""Answers to the first three questions."""


class Scripted:
    """Answers in order; then stops."""

    def __init__(self, *lines: str, patient: bool = True) -> None:
        self.patient, self._lines = patient, list(lines)
        self.said: list[str] = []
        self.asked: list[str] = []

    def line(self, before: str, choices: Sequence[str] = (), aside: str = "") -> str:
        self.asked.append(before)
        if not self._lines:
            raise EOFError
        return self._lines.pop(0)

    def say(self, words: str, style: str = "") -> None:
        self.said.append(words)

    def questions(self) -> list[str]:
        return [words.split(": ", 1)[1] for words in self.said if " of " in words[:9]]


def held(*lines: str, everything: bool = False, patient: bool = True) -> tuple[Scripted, list[Answers]]:
    """What was asked, and the answers as they were kept."""
    asker, kept = Scripted(*lines, patient=patient), list[Answers]()
    dialogue = Dialogue(asker, kept.append, everything)
    with pytest.raises(StoppedError):
        dialogue.held(Answers(Path(), TODAY))
    return asker, kept


@pytest.fixture
def unlooked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is reckoned on the spot: only which questions come is looked at."""
    monkeypatch.setattr(Dialogue, "_tell", lambda *those: None)


def test_one_may_go_back_from_the_offer_of_more(unlooked: None) -> None:
    asker, kept = held(*ENOUGH, *[""] * 14, "back", "700")
    assert asker.questions()[-2:] == ["How much cash is there for the business?"] * 2
    assert kept[-1].given["cash"] == "700 GBP"


def test_answers_are_kept_one_by_one_and_what_is_left_open_is_kept_as_such() -> None:
    _, kept = held(*ENOUGH, "4.5")
    assert [len(one.given) for one in kept] == [1, 2, 3, 4]
    assert dict(kept[-1].given) == {
        "title": LEFT,
        "currency": "GBP",
        "units": "lb",
        "buckets": "4.5 per month",
    }


def test_one_may_go_back_and_change_an_answer_or_leave_it() -> None:
    asker, kept = held(*ENOUGH, "back", "<", "usd", "", "3")
    assert [words.split("?")[0] for words in asker.questions()[2:6]] == [
        "Do you weigh in kg or in lb", "How many buckets a month do your shops fill, all together",
        "Do you weigh in kg or in lb", "Which currency do you count in",
    ]  # fmt: skip
    assert kept[-1].given["currency"] == "USD"
    assert kept[-1].given["units"] == "lb"
    assert kept[-1].given["buckets"] == "3 per month"


def test_a_wrong_answer_is_told_and_asked_for_again() -> None:
    asker, kept = held("", "EURO", "eur", "stones", "kg")
    assert any("did you mean EUR?" in words for words in asker.said)
    assert any("write one of: kg, lb" in words for words in asker.said)
    assert kept[-1].given == {"title": LEFT, "currency": "EUR", "units": "kg"}


def test_a_question_mark_says_more() -> None:
    asker, _ = held(*ENOUGH, "?")
    assert any("A small shop fills less than one a month" in words for words in asker.said)
    assert any("In the scenario: supply.town.settings.shops" in words for words in asker.said)


def test_the_rate_is_asked_only_in_a_currency_far_from_par() -> None:
    assert "What is one EUR worth in your currency, about?" in held("", "jpy", "kg")[0].questions()
    assert "What is one EUR worth in your currency, about?" not in held(*ENOUGH)[0].questions()


def test_a_dozen_and_a_few_are_asked_and_the_rest_on_request(unlooked: None) -> None:
    few = Scripted(*ENOUGH, *[""] * 14, "no")
    found = Dialogue(few, lambda answers: None).held(Answers(Path(), TODAY))
    assert len(few.questions()) == len(found.given) == 17 == len(FIRST) - 2
    more, kept = held(*ENOUGH, *[""] * 14, "yes", "2027-01-01")
    assert more.questions()[-2:] == [
        "From which day on shall a year be played?",
        "Which time zone is your clock's? (such as CET or EST5EDT)",
    ]
    assert kept[-1].start.isoformat() == "2027-01-01"


def test_all_of_them_are_asked_at_once_if_that_is_wanted(unlooked: None) -> None:
    asker = Scripted(*[""] * len(QUESTIONS))
    found = Dialogue(asker, lambda answers: None, True).held(Answers(Path(), TODAY))
    assert set(found.given) == {one.key for one in QUESTIONS if found.asked(one)}
    assert found.yours == {}


def test_a_pipe_is_not_asked_again() -> None:
    asker = Scripted("", "EURO", "eur", patient=False)
    with pytest.raises(UnanswerableError, match="did you mean EUR"):
        Dialogue(asker, lambda answers: None).held(Answers(Path(), TODAY))
