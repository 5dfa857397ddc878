"""An owner's tables are read as they were meant, whatever is not plain is told, and no file is touched."""

from __future__ import annotations

import os
from datetime import date, time
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from openpyxl import Workbook, load_workbook

from planner.records import xlsx_files
from planner.records.reading import read
from planner.records.tables import TABLES
from planner.scenario import InputError
from tests.records.dirty import FOLDERS, told_of

MELT = "date,weights,ingots,hours\n2026-03-07,55,36,3.5\n"


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_dirty_tables_are_told_line_by_line(folder: Path) -> None:
    assert told_of(folder) == folder.with_suffix(".txt").read_text(encoding="utf-8")


def test_reading_leaves_every_byte_and_every_time_as_it_was(tmp_path: Path) -> None:
    (tmp_path / "melts.csv").write_text(MELT)
    book = Workbook()
    book.active.title = "sales"
    book.active.append(["date", "sold", "price"])
    book.active.append([date(2026, 3, 7), 10, 4.2])
    book.save(tmp_path / "book.xlsx")
    for path in tmp_path.iterdir():
        os.utime(path, ns=(1_000_000_007, 1_000_000_009))
        path.chmod(0o400)

    def state() -> dict[str, tuple[bytes, int, int]]:
        return {
            path.name: (path.read_bytes(), path.stat().st_mtime_ns, path.stat().st_mode)
            for path in tmp_path.iterdir()
        }

    before = state()
    tmp_path.chmod(0o500)
    try:
        records = read(tmp_path, "EUR")
    finally:
        tmp_path.chmod(0o700)
    assert (len(records["melts"]), len(records["sales"])) == (1, 1)
    assert state() == before


def test_an_empty_table_is_no_mistake(tmp_path: Path) -> None:
    (tmp_path / "melts.csv").write_text("date,weights,ingots,hours\n\n")
    records = read(tmp_path, "EUR")
    assert {name: len(records[name]) for name in TABLES} == dict.fromkeys(TABLES, 0)
    assert records.remarks == ()


def test_plain_tables_need_no_remark(tmp_path: Path) -> None:
    (tmp_path / "melts.csv").write_text(MELT)
    assert read(tmp_path, "EUR").remarks == ()
    assert read(tmp_path / "melts.csv", "EUR").remarks == ()


def test_names_that_the_scenario_knows_are_read_as_these(tmp_path: Path) -> None:
    (tmp_path / "pickups.csv").write_text(
        "date,shop,bucket\n2026-03-07,Quayside Tires,55\n2026-03-08,Elsewhere,55\n"
    )
    records = read(tmp_path, "EUR", shops=("Quayside Tyres", "Millgate Garage"))
    assert list(records["pickups"]["shop"]) == ["Quayside Tyres", "Elsewhere"]
    assert [str(remark) for remark in records.remarks] == [
        "pickups.csv:2: shop: 'Quayside Tires' is written 'Quayside Tyres' elsewhere; read as 'Quayside Tyres'",
        "pickups.csv:3: shop: the scenario has no shop called 'Elsewhere'; kept",
    ]


def test_who_says_which_way_round_dates_stand_is_believed(tmp_path: Path) -> None:
    (tmp_path / "melts.csv").write_text("date,weights,ingots,hours\n03/07/2026,55,36,3.5\n")
    for order, day in (("day first", date(2026, 7, 3)), ("month first", date(2026, 3, 7))):
        assert read(tmp_path, "EUR", dates=order)["melts"]["date"].iloc[0].date() == day


def workbook(path: Path) -> None:
    book = Workbook()
    melts = book.active
    melts.title = "Melts"
    melts.append([None])
    melts.append(["date", "weights (lb)", "ingots [kg]", "hours", "lit at", "air"])
    melts.append([date(2026, 3, 7), 121, 36.2, time(3, 20), time(17, 30), -2])
    melts.append([46095, "122,5", "=1+1", "3h 20min", "5 pm", "41 °F"])
    melts.append([date(2026, 3, 21), date(2026, 5, 3), 36, True, 17, None])
    melts.append(["14/03/2026", 121, 36.2, 3.5, None, None])
    sheet = book.create_sheet("Notes")
    sheet.append(["anything"])
    book.create_sheet("read me").append(["date"])
    book.save(path)


def test_a_workbook_is_read_sheet_by_sheet(tmp_path: Path) -> None:
    workbook(tmp_path / "book.xlsx")
    records = read(tmp_path / "book.xlsx", "EUR")
    only = "14/03/2026 in line 6 can be nothing else"
    assert [str(remark) for remark in records.remarks] == [
        f"book.xlsx#Melts:2: date: dates such as 14/03/2026; read with the day first, for {only}",
        "book.xlsx#Melts:2: date: days are counted as spreadsheets count them, from 1899-12-30; read as such",
        "book.xlsx#Melts:4: air: '41 °F' is in degF; read as 5 degC",
        "book.xlsx#Melts:4: hours: '3h 20min' is in hours and minutes; read as 3.333 h",
        "book.xlsx#Melts:4: ingots [kg]: '(a formula without a value)' is no number; row left out",
        "book.xlsx#Melts:4: weights (lb): '122,5' has a decimal comma; read as 55.57 kg",
        "book.xlsx#Melts:5: hours: yes or no was found where a duration is needed; row left out",
        "book.xlsx#Melts:5: weights (lb): 2026-05-03 00:00:00 is a date or a time, but a mass is needed; row left out",
        "book.xlsx#Notes: no table is called 'Notes'; this sheet is not read",
    ]
    melts = records["melts"]
    assert list(melts["line"]) == [3, 6]
    assert melts.iloc[0][
        ["weights_kg", "ingots_kg", "hours_h", "lit_at_h", "air_c"]
    ].tolist() == pytest.approx([54.88, 36.2, 10 / 3, 17.5, -2], abs=0.01)


def test_a_formula_counts_by_the_value_that_stands_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    book = Workbook()
    book.active.title = "melts"
    book.active.append(["date", "weights", "ingots", "hours"])
    book.active.append([date(2026, 3, 7), 55, "=B2*0.6", 3.5])
    book.save(path)
    _changed(path, "xl/worksheets/sheet1.xml", "<f>B2*0.6</f><v></v>", "<f>B2*0.6</f><v>33</v>")
    assert load_workbook(path, data_only=True)["melts"]["C2"].value == 33
    assert read(path, "EUR")["melts"]["ingots_kg"].tolist() == [33.0]


def _changed(path: Path, part: str, old: str, new: str) -> None:
    with ZipFile(path) as book:
        parts = {name: book.read(name) for name in book.namelist()}
    text = parts[part].decode()
    assert text.replace("<v />", "<v></v>").count(old) == 1
    parts[part] = text.replace("<v />", "<v></v>").replace(old, new).encode()
    with ZipFile(path, "w") as book:
        for name, content in parts.items():
            book.writestr(name, content)


def problem(where: Path) -> str:
    with pytest.raises(InputError) as caught:
        read(where, "EUR")
    return str(caught.value)


def test_what_would_unpack_to_more_than_any_notebook_is_refused_unread(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(xlsx_files, "MOST_UNPACKED", 2_000_000)
    path = tmp_path / "bomb.xlsx"
    with ZipFile(path, "w", ZIP_DEFLATED) as book:
        book.writestr("xl/worksheets/sheet1.xml", bytes(2_000_001))
    assert path.stat().st_size < 20_000
    assert problem(path) == "bomb.xlsx: is larger inside than any notebook of yours; is it the right file?"


def test_a_workbook_with_a_document_type_is_refused(tmp_path: Path) -> None:
    workbook(tmp_path / "book.xlsx")
    _changed(
        tmp_path / "book.xlsx", "xl/workbook.xml", "<workbook ", '<!DOCTYPE a [<!ENTITY b "c">]><workbook '
    )
    assert "holds what no spreadsheet program writes (a document type); not read" in problem(tmp_path)


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("melts.csv", b"date,weights\0", "melts.csv: this is no text; save the table as CSV in UTF-8"),
        (
            "book.xlsx",
            b"PK\3\4 no",
            "book.xlsx: is no .xlsx workbook; save it anew from your spreadsheet program",
        ),
        (
            "melts.csv",
            b'date,"weights\n' + b"x" * 10_001,
            "melts.csv: line 1: a cell has more than 10,000 letters",
        ),
        ("melts.csv", b"," * 5_000_000, "melts.csv: is empty"),
        ("sales.csv", b"a,b" * 200_000, "sales.csv:1:1: names 200,001 columns, or some by very long names"),
        (
            "sales.csv",
            b"date," + b"x" * 9_000 + b"\n",
            "sales.csv:1:1: names 2 columns, or some by very long",
        ),
        ("sales.csv", b"date,sold\n" + b"2026-01-01,1\n" * 20_001, "sales.csv: has more than 20,000 rows"),
        ("melts.csv", b"x" * 200_000, "melts.csv: line 1: a cell begins here that is too long or has no end"),
        ("melts.csv", b"# nothing\n", "melts.csv: is empty; its first line must name the columns"),
        ("melts.ods", b"x", "melts.ods: is no CSV and no .xlsx file; not read; save it as one of these"),
    ],
)
def test_what_is_no_table_is_said_to_be_none(tmp_path: Path, name: str, content: bytes, words: str) -> None:
    (tmp_path / name).write_bytes(content)
    assert words in problem(tmp_path)


def test_a_workbook_without_sheets_of_ours_is_told_with_what_would_be_right(tmp_path: Path) -> None:
    book = Workbook()
    book.active.title = "melt"
    book.save(tmp_path / "book.xlsx")
    told = problem(tmp_path)
    assert "there is no table here; a table is a file such as melts.csv" in told
    assert (
        "book.xlsx#melt: no table is called 'melt'; did you mean melts? Rename it; this sheet is not read"
        in told
    )


def test_a_table_in_two_places_is_read_from_neither(tmp_path: Path) -> None:
    workbook(tmp_path / "book.xlsx")
    (tmp_path / "melts.csv").write_text(MELT)
    assert problem(tmp_path) == (
        "book.xlsx#Melts: the table melts stands here and in melts.csv; put all its rows into one"
    )


def test_nothing_outside_the_folder_is_read(tmp_path: Path) -> None:
    outside, home = tmp_path / "outside.csv", tmp_path / "home"
    outside.write_text(MELT)
    home.mkdir()
    (home / "melts.csv").symlink_to(outside)
    (home / "sales.csv").write_text("date,sold,price\n2026-03-07,10,4.2\n")
    os.mkfifo(home / "hours.csv")
    records = read(home, "EUR")
    assert [str(remark) for remark in records.remarks] == [
        "hours.csv: is no ordinary file; not read",
        "melts.csv: leads out of the folder; not read",
    ]
    assert (len(records["melts"]), len(records["sales"])) == (0, 1)
    (tmp_path / "link").symlink_to(home)
    assert len(read(tmp_path / "link", "EUR")["sales"]) == 1


def test_a_folder_that_is_not_there_is_said_so(tmp_path: Path) -> None:
    assert "cannot be read: No such file or directory; check the path" in problem(tmp_path / "nowhere")


def test_what_would_steer_a_terminal_is_no_part_of_a_record(tmp_path: Path) -> None:
    (tmp_path / "sales.csv").write_text("date,sold,price,who\n2026-03-07,10,4.2,A\x1b[2J\u202eB\n")
    assert read(tmp_path, "EUR")["sales"]["who"].tolist() == ["A[2JB"]


def test_digits_of_any_script_are_the_numbers_that_they_are(tmp_path: Path) -> None:
    rows = ("2026-01-04,1\u0665,4", "2026-01-05,\uff15,\u0663")
    (tmp_path / "sales.csv").write_text("\n".join(["date,sold [kg],price [EUR/kg]", *rows]), encoding="utf-8")
    found = read(tmp_path, "EUR")["sales"]
    assert found["sold_kg"].tolist() == [15.0, 5.0]
    assert found["price_per_kg"].tolist() == [4.0, 3.0]


def test_a_link_that_leads_to_itself_is_not_read(tmp_path: Path) -> None:
    (tmp_path / "sales.csv").symlink_to("sales.csv")
    assert "sales.csv: is no ordinary file; not read" in problem(tmp_path)


@pytest.mark.parametrize(("others", "asked"), [(10, 1), (2_000, 0)])
def test_two_spellings_are_asked_about_but_not_among_thousands_of_names(
    others: int, asked: int, tmp_path: Path
) -> None:
    names = ["Harbour Club", "Harbour Club", "Harbour Club", "Harbour Clubb", *map(str, range(others))]
    rows = [f"2026-01-04,5,4,{name}" for name in names]
    (tmp_path / "sales.csv").write_text("\n".join(["date,sold,price,buyers", *rows]), encoding="utf-8")
    found = read(tmp_path, "EUR")
    assert len(found["sales"]) == len(rows)
    assert sum("the same as 'Harbour Club'" in str(one) for one in found.remarks) == asked
