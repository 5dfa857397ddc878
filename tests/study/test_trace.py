from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from planner.engine.player import Player, Setting
from planner.study import Played, Trace
from planner.study import load as read
from planner.study import run as play
from planner.study.trace import COLUMNS, trace
from planner.workshop.result import Entry, Note, Run


@pytest.fixture(scope="module")
def told(traced: Played) -> Trace:
    assert traced.trace is not None
    return traced.trace


def rows(told: Trace, name: str) -> list[dict[str, Any]]:
    table = next(one.table for one in told.tables if one.name == name)
    return [dict(zip(table.columns, row, strict=True)) for row in table.rows]


def figure(traced: Played, name: str) -> float:
    return float(traced.level(name).mean)


def test_the_cash_can_be_added_up_by_hand(told: Trace, traced: Played) -> None:
    ledger = rows(told, "ledger")
    assert ledger[0]["kind"] == "cash at the start"
    assert ledger[0]["amount"] == told.opening_cash == 300.0
    assert sum(row["amount"] for row in ledger) == pytest.approx(told.closing_cash, abs=1e-4)
    assert ledger[-1]["cash"] == pytest.approx(told.closing_cash, abs=1e-5)
    cash = 0.0
    for row in ledger:
        cash += row["amount"]
        assert row["cash"] == pytest.approx(cash, abs=1e-4)
    movements = sum(row["amount"] for row in ledger[1:])
    assert figure(traced, "profit") == pytest.approx(movements + figure(traced, "stock_change"), abs=1e-3)
    assert figure(traced, "lowest_cash") == pytest.approx(min(row["cash"] for row in ledger), abs=1e-4)


def test_money_in_the_ledger_is_money_of_sales(told: Trace, traced: Played) -> None:
    booked = sum(row["amount"] for row in rows(told, "ledger") if row["kind"] == "sales: private")
    sold = sum(row["money"] for row in rows(told, "sales"))
    assert booked == pytest.approx(sold, abs=1e-3)
    assert sold == pytest.approx(figure(traced, "takings"), abs=1e-3)
    for sale in rows(told, "sales"):
        assert sale["money"] == pytest.approx(sale["mass_kg"] * sale["price_per_kg"], abs=1e-3)


def test_one_lot_can_be_followed_from_the_shop_to_a_buyer(told: Trace) -> None:
    bought = [row for row in rows(told, "lots") if row["source"] == "Corner Tyres"]
    assert bought
    loads, melts = rows(told, "loads"), {row["melt"]: row for row in rows(told, "melts")}
    shares, sales = rows(told, "sale_melts"), {row["sale"]: row for row in rows(told, "sales")}
    followed = 0
    for lot in bought:
        used = [row for row in loads if row["lot"] == lot["lot"]]
        assert sum(row["mass_kg"] for row in used) <= lot["mass_kg"] + 1e-3
        for load in used:
            melt = melts[load["melt"]]
            assert melt["t_h"] >= lot["t_h"]
            for share in (row for row in shares if row["melt"] == melt["melt"]):
                assert sales[share["sale"]]["t_h"] >= melt["end_h"] - 1e-6
                followed += 1
    assert followed


def test_what_falls_due_at_the_very_end_belongs_to_the_last_day() -> None:
    ledger = [Entry(t, "gloves", -5.0, "month", 0, 0) for t in (0.0, 71.5, 72.0)]
    run = Run(opening_cash=0.0, days=3, ledger=ledger)
    found = rows(trace(run, date(2026, 12, 29), "EUR"), "ledger")
    assert [(row["date"], row["time"]) for row in found[1:]] == [
        ("2026-12-29", "00:00"),
        ("2026-12-31", "23:30"),
        ("2026-12-31", "24:00"),
    ]


def test_the_same_refusal_is_told_once_a_day() -> None:
    tries = [Note(t, "bucket left", "Corner Tyres", "cash: too little", 0, 0) for t in (18.0, 19.0, 42.0)]
    run = Run(opening_cash=0.0, days=3, notes=[*tries, Note(20.0, "order", "casters", "5 kg", 0, 0)] * 2)
    diary = rows(trace(run, date(2026, 3, 2), "EUR"), "diary")
    assert [row["t_h"] for row in diary if row["what"] == "bucket left"] == [18.0, 42.0]
    assert len([row for row in diary if row["what"] == "order"]) == 2


def test_weights_left_untouched_are_a_figure(told: Trace, traced: Played) -> None:
    (balance,) = rows(told, "balance")
    assert figure(traced, "stock_end_weights_kg") == pytest.approx(balance["lots_kg"], abs=1e-4)


def test_no_ingot_is_sold_twice(told: Trace) -> None:
    melts = {row["melt"]: row["poured_kg"] for row in rows(told, "melts")} | {0: 20.0}
    for melt, poured in melts.items():
        sold = sum(row["mass_kg"] for row in rows(told, "sale_melts") if row["melt"] == melt)
        assert sold <= poured + 1e-3
    by_sale: dict[int, float] = {}
    for row in rows(told, "sale_melts"):
        by_sale[row["sale"]] = by_sale.get(row["sale"], 0.0) + row["mass_kg"]
    assert by_sale == pytest.approx({row["sale"]: row["mass_kg"] for row in rows(told, "sales")}, abs=1e-3)


def test_what_went_to_the_yard_is_told_by_lot_and_melt_to_the_last_gram(root: Path) -> None:
    scenario = read(root / "scenarios" / "example.yaml")
    _, run = Player(Setting(scenario, seed=7)).see("burner and pot", "expected", 0)
    found = trace(run, date(2026, 1, 1), "EUR")
    yard, lots = rows(found, "yard"), {row["lot"]: row["mass_kg"] for row in rows(found, "lots")}
    (balance,) = rows(found, "balance")
    assert sum(row["mass_kg"] for row in yard) == pytest.approx(balance["yard_kg"], abs=1e-3)
    untouched = [row for row in yard if row["good"] == "weights"]
    assert untouched
    assert all(0.0 < row["mass_kg"] <= lots[row["lot"]] + 1e-6 for row in untouched)
    paid = sum(row["mass_kg"] * row["price_per_kg"] for row in yard)
    booked = sum(row["amount"] for row in rows(found, "ledger") if row["kind"].startswith("yard: "))
    assert paid == pytest.approx(booked, abs=1e-2)


def test_the_example_follows_a_lot_step_by_step(told: Trace) -> None:
    files = [sentence.partition(".csv")[0] for sentence in told.example]
    assert files == ["lots", "loads", "melts", "sale_melts", "sales", "ledger"]
    assert "EUR" in told.example[0]


def test_everything_stands_in_the_order_of_time(told: Trace) -> None:
    for one in told.tables:
        if "t_h" in one.table.columns:
            times = [row["t_h"] for row in rows(told, one.name)]
            assert times == sorted(times), one.name


def test_days_and_times_of_day_are_those_of_the_hour(told: Trace) -> None:
    for row in rows(told, "hours"):
        day, minutes = divmod(round(row["t_h"] * 60), 24 * 60)
        assert row["date"] == (date(2026, 3, 2) + timedelta(days=day)).isoformat()
        assert row["time"] == f"{minutes // 60:02d}:{minutes % 60:02d}"


def test_the_diary_holds_notes_money_time_spent_and_time_lost(told: Trace) -> None:
    diary = rows(told, "diary")
    whats = {row["what"] for row in diary}
    assert {"trip", "poured", "sold", "sales: private", "fetching", "free time not used"} <= whats
    spent = sum(row["amount"] for row in diary if row["amount"] != "")
    assert spent == pytest.approx(told.closing_cash - told.opening_cash, abs=1e-3)


def test_every_column_is_explained(told: Trace, root: Path) -> None:
    drawn = play(read(root / "tests/study/estimated.yaml"), traced=True).trace
    assert drawn is not None
    used = {column for one in (*told.tables, *drawn.tables) for column in one.table.columns}
    assert used - set(COLUMNS) == set()
    assert set(COLUMNS) - used == set()


def test_tables_without_rows_keep_their_columns(told: Trace) -> None:
    sorts = next(one.table for one in told.tables if one.name == "sorts")
    assert sorts.rows == []
    assert "zinc_out_kg" in sorts.columns
