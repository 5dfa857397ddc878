from __future__ import annotations

import unicodedata

import pytest

from planner.scenario.unseen import CONTROLS, UNSEEN, visible, without

TURNS = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}


def test_no_control_character_and_no_turn_of_direction_is_overlooked() -> None:
    missed = {
        f"U+{code:04X}"
        for code in range(0x110000)
        if (unicodedata.category(letter := chr(code)) in {"Cc", "Zl", "Zp", "Cs"})
        or unicodedata.bidirectional(letter) in TURNS
        if not CONTROLS.match(letter)
    }
    assert missed == set()


@pytest.mark.parametrize("text", ["Größe 5 €/kg", "שלום", "مرحبا", "名前", "👩‍🔧", "a\tb\nc"])
def test_letters_of_any_script_and_ordinary_line_breaks_are_left(text: str) -> None:
    assert not UNSEEN.search(text)
    assert visible(text) == without(text) == text


def test_what_would_steer_a_terminal_is_shown_as_a_question_mark() -> None:
    assert visible("a\x1b[31mb\rc\u202ed\r\n") == "a?[31mb?c?d\n"
    assert without("a\x1bb") == "ab"
