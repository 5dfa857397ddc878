"""Tables to begin with are read by ourselves, and the example in them is what the simulation tells."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import load_workbook

from planner.records.reading import read
from planner.records.starting import README, SEASON, WORKBOOK, Form, season_records, start
from planner.records.tables import TABLES
from planner.records.telling import telling
from planner.records.writing import Units
from tests.records.season import season

FORMS: tuple[Form, ...] = ("csv", "xlsx")


def put(folder: Path, form: Form, units: Units) -> None:
    for name, content in start(form, units).items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)


def test_the_example_is_half_a_year_of_the_simulation_and_no_number_is_made_up() -> None:
    assert {path.name: path.read_text(encoding="utf-8") for path in SEASON.iterdir()} == season()


@pytest.mark.parametrize("us", [False, True], ids=["metric", "us"])
@pytest.mark.parametrize("form", FORMS)
def test_empty_tables_have_every_column_and_nothing_to_remark(tmp_path: Path, form: Form, us: bool) -> None:
    put(tmp_path, form, Units("USD", us))
    records = read(tmp_path, "USD")
    assert records.remarks == ()
    assert {name: len(records[name]) for name in TABLES} == dict.fromkeys(TABLES, 0)
    example = read(tmp_path / "example", "EUR")
    assert {name: len(example[name]) for name in TABLES} == {
        name: len(season_records()[name]) for name in TABLES
    }


def test_every_column_is_explained_where_it_is_filled_in() -> None:
    readme = start("csv", Units("EUR"))[README].decode()
    words = " ".join(readme.split())
    book = load_workbook(BytesIO(start("xlsx", Units("EUR"))[WORKBOOK]))
    for table in TABLES.values():
        notes = [cell.comment.text for cell in book[table.name][1]]
        for column, note in zip(table.columns, notes, strict=True):
            assert column.meaning in words
            assert note.startswith(column.meaning)


def test_the_season_would_tell_something_of_every_table() -> None:
    assert all(one.rows and one.would_tell for one in telling(season_records()))


def test_a_column_that_nobody_fills_in_is_said_to_tell_more(tmp_path: Path) -> None:
    (tmp_path / "sales.csv").write_text("date,sold,price,buyers\n2026-03-07,10,4.2,casters\n")
    told = {one.table: one for one in telling(read(tmp_path, "EUR"))}
    assert told["sales"].more == "with who, how often the same come back"
    assert told["melts"].rows == 0
    assert told["melts"].more.startswith("hours of a melt")
