"""Whatever units, signs and dates an owner writes with, the same numbers are read."""

from __future__ import annotations

import csv
from datetime import date, timedelta
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from planner.records.reading import read
from planner.records.records import Records
from planner.records.starting import season_records
from planner.records.tables import TABLES
from planner.records.writing import Units, csv_text, rows_as_written, workbook

LB = 0.45359237


class Hand(NamedTuple):
    """How somebody writes."""

    divider: str
    decimal: str
    mass: str
    in_cells: bool
    dates: str
    hours: str
    coding: str
    workbook: bool

    def number(self, value: float, unit: str = "") -> str:
        text = f"{value:.2f}".replace(".", self.decimal)
        return f"{text} {unit}" if unit else text

    def weighed(self, kg: float) -> str:
        return self.number(kg / LB if self.mass == "lb" else kg, self.mass if self.in_cells else "")

    def day(self, day: date) -> str:
        return day.strftime(self.dates)

    def spell(self, minutes: int) -> str:
        if self.hours == "h:mm":
            return f"{minutes // 60}:{minutes % 60:02d}"
        if self.hours == "h min":
            return f"{minutes // 60}h {minutes % 60}min"
        return f"{minutes} min" if self.hours == "min" else self.number(minutes / 60)

    def price(self, per_kg: float) -> str:
        return self.number(per_kg * LB if self.mass == "lb" else per_kg)


hands = st.builds(
    Hand,
    divider=st.sampled_from(",;\t"),
    decimal=st.sampled_from(".,"),
    mass=st.sampled_from(["kg", "lb"]),
    in_cells=st.booleans(),
    dates=st.sampled_from(["%Y-%m-%d", "%d.%m.%Y", "%d/%m/%Y", "%d/%m/%y", "%d %b %Y"]),
    hours=st.sampled_from(["h:mm", "h min", "min", "h"]),
    coding=st.sampled_from(["utf-8", "utf-8-sig", "latin-1", "utf-16"]),
    workbook=st.booleans(),
)
melts = st.lists(
    st.tuples(
        st.integers(1, 20),  # days after the last one
        st.floats(20, 100),
        st.floats(0.35, 0.8),
        st.integers(45, 600),
        st.floats(2, 9),
        st.sampled_from(["", "Ö. Å.", 'said "so", twice; or more']),
    ),
    min_size=1,
    max_size=8,
)


@settings(max_examples=35)
@given(hands, melts)
def test_melts_and_sales_are_read_as_they_were_meant(hand: Hand, rows: list[tuple[Any, ...]]) -> None:
    day, melted, sold, meant = date(2026, 1, 1), [], [], []
    for days, weights, share, minutes, price, note in rows:
        day += timedelta(days=days)
        meant.append((day, weights, share * weights, minutes / 60, price, note))
        cells = [
            hand.day(day),
            hand.weighed(weights),
            hand.weighed(share * weights),
            hand.spell(minutes),
            note,
        ]
        melted.append(cells)
        sold.append([hand.day(day), hand.weighed(weights), hand.price(price), note])
    unit = "" if hand.in_cells else f" ({hand.mass})"
    tables = {
        "melts": [["date", f"weights{unit}", f"ingots{unit}", "hours", "note"], *melted],
        "sales": [["Date", f"Sold{unit}", f"Price [EUR/{hand.mass}]", "Who"], *sold],
    }
    records = written_and_read(tables, hand)
    for name, keys in (
        ("melts", ("weights_kg", "ingots_kg", "hours_h")),
        ("sales", ("sold_kg", "price_per_kg")),
    ):
        frame = records[name]
        assert [one.date() for one in frame["date"]] == [row[0] for row in meant]
        columns = {"weights_kg": 1, "ingots_kg": 2, "hours_h": 3, "sold_kg": 1, "price_per_kg": 4}
        for key in keys:
            wanted = np.array([row[columns[key]] for row in meant])
            assert frame[key].to_numpy() == pytest.approx(wanted, abs=0.012)
        assert frame["note" if name == "melts" else "who"].tolist() == [row[5] for row in meant]
    assert all("left" not in remark.done for remark in records.remarks)


def written_and_read(tables: dict[str, list[list[str]]], hand: Hand) -> Records:
    with TemporaryDirectory() as place:
        if hand.workbook:
            book = Workbook()
            book.remove(book.worksheets[0])
            for name, rows in tables.items():
                sheet = book.create_sheet(name)
                for row in rows:
                    sheet.append(row)
            book.save(Path(place, "book.xlsx"))
        else:
            for name, rows in tables.items():
                out = StringIO()
                csv.writer(out, delimiter=hand.divider).writerows(rows)
                Path(place, f"{name}.csv").write_bytes(out.getvalue().encode(hand.coding))
        return read(Path(place), "EUR", dates="day first")


@pytest.mark.parametrize("us", [False, True], ids=["kg", "lb"])
@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_what_we_write_is_read_back_the_same(tmp_path: Path, form: str, us: bool) -> None:
    season, units = season_records(), Units("EUR", us)
    tables = [
        (table, rows_as_written(table, season[name].to_dict("records"), units))
        for name, table in TABLES.items()
    ]
    if form == "csv":
        for table, rows in tables:
            (tmp_path / f"{table.name}.csv").write_text(csv_text(table, rows, units))
    else:
        (tmp_path / "book.xlsx").write_bytes(workbook(tables, units, ["=1+1", "words"]))
    again = read(tmp_path, "EUR")
    for name, table in TABLES.items():
        for column in table.columns:
            was, now = season[name][column.key], again[name][column.key]
            if was.dtype.kind == "f":
                off = 0.3 if column.kind in ("temperature",) else 0.06 if us else 1e-9
                assert now.to_numpy() == pytest.approx(was.to_numpy(), abs=off, nan_ok=True), (
                    name,
                    column.name,
                )
            else:
                assert now.astype(str).tolist() == was.astype(str).tolist(), (name, column.name)
