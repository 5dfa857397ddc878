from __future__ import annotations

import csv
import io
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.report.csv_text import csv_bytes


def read(content: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(content.decode("utf-8"), newline="")))


@given(st.floats(allow_nan=False))
def test_numbers_come_back_to_the_bit(value: float) -> None:
    assert float(read(csv_bytes(["x"], [[value]]))[1][0]) == value


def test_what_is_not_a_number_is_left_empty() -> None:
    assert csv_bytes(["a", "b", "c", "d"], [[nan, None, inf, 3]]) == b"a,b,c,d\n,,inf,3\n"


@pytest.mark.parametrize("name", ["=1+1", "+10 %", "-5 %", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "＝1", "＠1"])
def test_a_name_that_looks_like_a_formula_is_made_harmless(name: str) -> None:
    assert read(csv_bytes(["option"], [[name]]))[1] == ["'" + name.replace("\r", "\n")]


@given(st.lists(st.text(alphabet=st.characters(exclude_categories=["Cs"])), min_size=2, max_size=4))
def test_no_text_breaks_the_table(cells: list[str]) -> None:
    rows = read(csv_bytes(["a"] * len(cells), [cells]))
    assert len(rows) == 2
    for found, cell in zip(rows[1], cells, strict=True):
        assert found.removeprefix("'") == cell.replace("\r\n", "\n").replace("\r", "\n").removeprefix("'")
        assert not found.startswith(("=", "+", "-", "@"))
