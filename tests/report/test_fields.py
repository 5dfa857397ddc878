from __future__ import annotations

from pathlib import Path

import pytest

from planner.report.fields import BEGIN, END, place, stands_in
from planner.report.folder import OutputError


def test_only_what_lies_between_the_marks_is_replaced(tmp_path: Path) -> None:
    page = tmp_path / "README.md"
    page.write_text(f"before\n{BEGIN}\nold\n{END}\nafter\n", encoding="utf-8")
    assert not stands_in(page, "new")
    place(page, "new")
    assert page.read_text(encoding="utf-8") == f"before\n{BEGIN}\n\nnew\n\n{END}\nafter\n"
    assert stands_in(page, "new")


@pytest.mark.parametrize("text", ["", f"{END} {BEGIN}", BEGIN])
def test_a_page_without_a_place_is_left_alone(tmp_path: Path, text: str) -> None:
    page = tmp_path / "README.md"
    page.write_text(text, encoding="utf-8")
    with pytest.raises(OutputError, match="no place for the fields"):
        place(page, "new")
    assert page.read_text(encoding="utf-8") == text


def test_a_page_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="cannot be read"):
        stands_in(tmp_path / "nothing.md", "new")
