"""What follows on the spot is what ``planner check`` says afterwards."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.asking.looking import Said, finished, looked_at
from planner.asking.question import Figure
from planner.study import check, load
from tests.asking.conftest import Answered


def said(answered: Answered, *figures: Figure, **typed: str) -> list[Said]:
    return list(looked_at(answered(**typed)).said(figures))


def test_the_hours_that_a_bucket_takes_are_those_that_check_says(answered: Answered, tmp_path: Path) -> None:
    answers = answered(bucket_hours="7")
    text, _ = finished(answers)
    (tmp_path / "mine.yaml").write_text(text)
    found = check(load(tmp_path / "mine.yaml"))
    (hours,) = (row.stove_h for row in found.hours if row.weather == "ordinary")
    assert hours == pytest.approx(7.0, rel=0.02)
    assert "efficiency_share: 0." in text
    look = looked_at(answers)
    assert look.found.hours == found.hours
    assert look.found.money == found.money
    assert not any(one.wrong for one in look.said(("stove",)))


def test_hours_that_no_burner_of_that_power_gives_are_told_and_the_nearest_taken(answered: Answered) -> None:
    fast = looked_at(answered(bucket_hours="1"))
    assert fast.matched is not None
    assert (fast.matched.share, fast.matched.agrees) == (0.75, False)
    assert any("1.0 h do not go with this burner" in one.words and one.wrong for one in fast.said(("stove",)))
    slow = said(answered, "stove", bucket_hours="30")
    assert any("or never melts" in one.words and one.wrong for one in slow)
    odd = said(answered, "stove", bucket_hours="5")
    assert any("is the burner's power right?" in one.words and one.wrong for one in odd)


def test_a_full_bucket_by_hand_is_refused_with_what_would_do(answered: Answered) -> None:
    first, *others = said(answered, "lift", lift="full")
    assert first.wrong
    assert "refused (above 1 the back is at risk, above 3 it is refused)" in first.words
    assert others[0].words.startswith("What would do: half a bucket, two people")
    assert others[1].wrong
    assert others[1].words.startswith(
        "Refused as it is: lifting: portions of 59 kg (130 lb) have a lifting index"
    )
    assert not any(one.wrong for one in said(answered, "lift", lift="half"))


def test_a_payload_that_is_used_up_is_refused(answered: Answered) -> None:
    found = said(answered, "payload", payload="60")
    assert [one.wrong for one in found] == [True, True]
    assert "the vehicle's payload is used up by the people in it" in found[1].words


def test_a_burner_that_is_too_weak_and_a_closed_room_are_told(answered: Answered) -> None:
    (weak, *_) = said(answered, "stove", burner="1 kW")
    assert (weak.wrong, "never melts" in weak.words) == (True, True)
    room = said(answered, "stove", place="enclosed")
    assert any(one.wrong and "carbon monoxide alarm" in one.words for one in room)


def test_hours_and_money_are_told_by_way_of_selling_in_the_units_of_the_person(answered: Answered) -> None:
    found = said(answered, "hours", "payload", "money", units="lb", currency="usd", hours="sat 8-17")
    words = [one.words for one in found]
    assert words[0].startswith("8.8 free hours a week") or words[0].startswith("9.0 free hours a week")
    assert " lb: " in words[1]
    assert [one.split(":")[0] for one in words[2:]] == [
        "A bucket sold to casters",
        "A bucket sold to the yard, as ingots",
        "A bucket sold to the yard, untouched",
    ]
    assert all("USD an hour" in one for one in words[2:])
