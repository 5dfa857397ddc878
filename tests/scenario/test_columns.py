"""CSV files with a unit in each heading: what is read, and what is said of a mistake. All figures are invented."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from planner.scenario import columns
from planner.scenario.columns import Sheet, read_sheet


def sheet(folder: Path, text: str | bytes) -> Sheet:
    path = folder / "made.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_sheet(path)


def test_a_column_is_read_in_the_unit_that_is_asked_for(tmp_path: Path) -> None:
    read = sheet(tmp_path, "when,price [EUR/t],air (degF),wind [m/s]\na,1500,50,3\nb,1e3,-40,.5\n")
    np.testing.assert_allclose(read.numbers("price", "money/kg"), [1.5, 1.0])
    np.testing.assert_allclose(read.numbers("air", "degC"), [10.0, -40.0])
    assert read.numbers("Wind", "m/s").tolist() == [3.0, 0.5]
    assert read.each("when", str.upper) == ["A", "B"]


@pytest.mark.parametrize(
    "text", ["a [kg];b [kg]\n1;2\n", "a [kg]\tb [kg]\r\n1\t2\r\n", "\ufeffa [kg],b [kg]\n1,2"]
)
def test_commas_semicolons_tabs_and_any_line_ends_will_do(tmp_path: Path, text: str) -> None:
    assert sheet(tmp_path, text).numbers("b", "kg").tolist() == [2.0]


def test_remarks_and_empty_lines_are_left_out_but_counted(tmp_path: Path) -> None:
    read = sheet(tmp_path, '# by hand, "weighed\n\na [kg]\n1\n\n# later\nx\n')
    with pytest.raises(ValueError, match=r"^made\.csv:7: 'x' in column 'a' is not a number$"):
        read.numbers("a", "kg")


def test_an_empty_cell_is_missing(tmp_path: Path) -> None:
    read = sheet(tmp_path, "a [kg],b [kg]\n,1\nNA,2\nnan,3\n4,4\n")
    assert np.isnan(read.numbers("a", "kg")).tolist() == [True, True, True, False]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "made.csv:1: the file is empty"),
        ("# nothing\n", "made.csv:1: the file is empty"),
        ("a [kg],A [g]\n1,2\n", "made.csv:1: two columns are called 'a'"),
        (
            "a [kg],b [kg]\n1,2\n3\n",
            "made.csv:3: 1 cells stand here, but the header in line 1 names 2 columns",
        ),
        ("mass [kg]\n1\n", "made.csv:1: there is no column 'a'; its columns are mass"),
        ("a\n1\n", "made.csv:1: column 'a' has no unit; it is a mass, headed such as a [kg]"),
        ("a [kgs]\n1\n", "made.csv:1: column 'a': the unit 'kgs' is not known; did you mean kg?"),
        ("a [m]\n1\n", "made.csv:1: column 'a': '0 m' is a length, but a mass is needed"),
        ("a [kg]\n\n1\n2,5\n", "made.csv:4: 2 cells stand here"),
        ("a [kg];b\n2,5;1\n", "made.csv:2: '2,5' in column 'a' is not a number; write 2.5"),
        ("x" * 201 + "\n1\n", "is too long to name a column; is it the right file?"),
        (f"a [kg]\n{'9' * 400}\n", "made.csv:2: '999999999"),
        (
            "a [kg]\n" + "1\n" * 200_001,
            "made.csv:200002: more than 200,000 rows stand here; is it the right file?",
        ),
        ("a [kg]\ninf\n", "made.csv:2: 'inf' in column 'a' is not a number"),
        (b"a [kg]\n1\n\xff\n", "made.csv:3: this is no text in UTF-8"),
        ('a [kg]\n"1\n2\n', "made.csv:"),
        ("x" * 200_000, "made.csv:1: a cell begins here that is too long or has no end; is this a CSV file?"),
        ("," * 1000, "made.csv:1: 1,001 columns stand here; at most 1,000 are read; is it the right file?"),
    ],
)
def test_a_mistake_is_told_with_its_line(tmp_path: Path, text: str | bytes, told: str) -> None:
    with pytest.raises(ValueError, match=r"^made\.csv:\d+: ") as caught:
        sheet(tmp_path, text).numbers("a", "kg")
    assert told in str(caught.value)


def test_a_file_that_is_not_there_or_far_too_large_is_told(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=r"^none\.csv cannot be read: No such file"):
        read_sheet(tmp_path / "none.csv")
    large = tmp_path / "large.csv"
    with large.open("wb") as file:
        file.truncate(columns.MOST_BYTES + 1)
    with pytest.raises(ValueError, match="more than 20,000,000 bytes"):
        read_sheet(large)
