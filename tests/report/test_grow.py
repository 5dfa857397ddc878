"""What to grow first, in words, as a table, as a chart, and kept in a folder."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from planner.report.charts import grow as chart
from planner.report.folder import StoredError
from planner.report.grow_kept import FILE, LIMITS, TABLE, growth_document, read_growth, save_growth
from planner.report.grow_text import growth as growth_text
from planner.report.grow_words import advice, held_back
from planner.study import Growth, Interval
from planner.study.growth import Lost, Verdict, Worth
from planner.study.increments import LeftOut
from planner.study.limits import Refusal
from planner.study.prices import Price
from tests.report.made import study, swings

N = 50


def worth(name: str, verdict: Verdict, mean: float, half: float, **changes: Any) -> Worth:
    """What one thing is worth, in 50 worlds; twice as much of a unit as is tried brings half of it."""
    gain = Interval(mean, mean - half, mean + half, N)
    each = Interval(mean / 2.0, (mean - half) / 2.0, (mean + half) / 2.0, N)
    made = Worth(
        name, "buyers", name, f"one more {name}", "piece", (f"{name}+=2",), 2.0, gain, gain, each,
        Interval(3.0, 2.0, 4.0, N), None, None, verdict,
    )  # fmt: skip
    return replace(made, **changes)


PRICED = {"price": Price(20.0, "more of it"), "per_money": Interval(2.0, 1.5, 2.5, N), "payback_months": 6.2}
FOUND = (
    worth("burner", "more", 200.0, 20.0),
    worth("mould", "more", 80.0, 20.0, **PRICED),
    worth("shop", "unsure", 30.0, 60.0),
    worth("hour", "nothing", 2.0, 9.0),
    worth("truck", "less", -30.0, 10.0),
)


def growth(*worths: Worth, worlds: int = N, **changes: Any) -> Growth:
    subject = replace(study({"as today": swings(N)}).subject, replicates=worlds, worth_caring_about=50.0)
    level = Interval(900.0, 850.0, 950.0, N)
    lost = (
        Lost("buyers", "too few buyers", level),
        Lost("supply", "too few weights", Interval(0.4, 0.0, 1.0, N)),
    )
    made = Growth(
        subject, "as today", level, level, level, lost, worths or FOUND, (),
        (LeftOut("light", "there is light at the pot already"),), (), (), (), (),
    )  # fmt: skip
    return replace(made, **changes)


def said(found: Growth) -> str:
    return " ".join(advice(found))


def test_what_to_grow_first_is_said_with_its_worth_its_price_and_what_comes_after() -> None:
    first, money, *others = advice(growth())
    assert first.startswith("Grow this first: one more burner. It is worth from 180 to 220 EUR a year")
    assert "(from 90 to 110 for each piece)" in first
    assert "3 hours more of yours" in money
    assert "What it costs is not in the scenario." in money
    told = " ".join(others)
    assert (
        "Most for its price, of what has one here: one more mould; each EUR spent on it brings from 1.50"
        in told
    )
    assert "After that: one more mould (from 60 to 100 EUR)." in told
    assert (
        "Cannot be told from nothing in 50 worlds: one more shop (from 30 EUR less to 90 EUR more)." in told
    )
    assert "Surely worth less than 12 EUR a year each: hour." in told
    assert "Surely brings less: one more truck (from 20 to 40 EUR)." in told


def test_what_it_costs_and_when_that_has_come_back_is_said() -> None:
    found = said(growth(replace(FOUND[1], **PRICED)))
    assert 'It costs about 40 EUR (as in "more of it"), which has come back after about 6 months.' in found


def test_what_cannot_be_told_from_the_first_is_named_beside_it() -> None:
    found = said(growth(level_with_first=("mould",)))
    assert "As good as that, as far as these worlds tell: one more mould (from 60 to 100 EUR)." in found
    assert "After that" not in found


def test_nothing_is_praised_where_nothing_surely_brings_more() -> None:
    found = said(growth(*FOUND[2:]))
    assert found.startswith(
        "Nothing to grow first: in 50 worlds, a little more of no single thing surely brings more."
    )
    assert "Grow this first" not in found


def test_a_first_that_is_below_what_matters_is_said_to_be_so() -> None:
    found = said(growth(worth("mould", "more", 20.0, 5.0)))
    assert "That is less than the 50 EUR a year that you care about." in found


def test_of_too_few_worlds_nothing_is_said() -> None:
    (found,) = advice(growth(worlds=3))
    assert found.startswith("Too few runs to say what to grow first: 3 worlds are too few")


def test_a_business_that_breaks_a_hard_limit_is_told_so_first() -> None:
    broken = {"option": "full buckets", "refusals": (Refusal("lifting", "too heavy", "NIOSH"),)}
    (only,) = advice(growth(*(replace(one, allowed=False) for one in FOUND), **broken))
    assert only.startswith('The business with "full buckets" breaks a hard limit (too heavy)')
    first, then, *others = advice(growth(replace(FOUND[0], allowed=False), FOUND[1], **broken))
    assert (first, then) == (only, "What is named here puts it right.")
    assert others[0].startswith("Grow this first: one more mould.")
    assert "burner" not in " ".join(others)


def test_where_the_business_itself_has_no_result_nothing_is_said() -> None:
    (found,) = advice(replace(growth(), worths=(), money=Interval(900.0, 850.0, 950.0, N - 3)))
    assert found.startswith("Nothing can be said of what to grow first: 3 runs of 50")


def test_a_range_that_few_worlds_make_is_said_to_err_more_often() -> None:
    rare = (replace(one, lopsided=True) for one in (FOUND[0], FOUND[3]))
    (mind,) = [one for one in advice(growth(*rare)) if one.startswith("Mind")]
    assert mind.startswith("Mind: with burner a few worlds are far better or far worse than the others")
    assert "Mind" not in said(growth())


def test_free_hours_lost_are_told_by_limit() -> None:
    assert held_back(growth()) == (
        "Of 900 free hours a year, lost to: too few buyers 900 h (850 to 950); too few weights 0.4 h (0.0 to 1.0)."
    )


def test_a_trifle_of_an_hour_is_not_told_as_lost() -> None:
    trifle = Lost("shops", "shops shut", Interval(0.02, 0.0, 0.06, N))
    assert "shops shut" not in held_back(growth(lost=(*growth().lost, trifle)))
    assert held_back(growth(lost=(trifle,))) == "No free hour goes unused a year."


def test_masses_are_told_in_the_readers_unit() -> None:
    found = growth(worth("payload", "more", 90.0, 10.0, unit="kg payload"))
    us = replace(found, subject=replace(found.subject, units="us"))
    assert "(from 40 to 50 for each kg payload)" in said(found)
    assert "(from 18 to 23 for each lb payload)" in said(us)


def test_the_text_fits_80_columns_and_says_what_was_not_tried() -> None:
    console = Console(width=80, record=True, file=io.StringIO())
    for one in growth_text(growth(), ()):
        console.print(one)
    text = console.export_text()
    assert max(map(len, text.splitlines())) <= 80
    assert "> burner" in text
    assert "100 / piece" in text
    assert "light: there is light at the pot already." in text
    assert "…" not in text
    assert "worth a year for each unit of money" in " ".join(text.split())


def test_what_a_row_is_told_for_is_not_cut() -> None:
    console = Console(width=80, record=True, file=io.StringIO())
    each = Interval(-9.36, -12.0, -5.0, N)
    row = worth("Monday evening", "less", -33.0, 9.0, unit="hour a week", per_unit=each)
    for one in growth_text(growth(row), ()):
        console.print(one)
    assert "-9.36 / hour a week" in console.export_text()


def test_the_chart_has_a_row_for_each_thing_in_the_order_of_their_worth() -> None:
    figure = chart.draw(growth())
    assert figure is not None
    assert [row[0] for row in figure.rows] == ["burner", "mould", "shop", "hour", "truck"]
    assert [row[1] for row in figure.rows][:2] == ["surely brings more"] * 2
    assert {len(row) for row in figure.rows} == {len(figure.columns)}
    assert [mark.label for mark in figure.marks] == [mark.label for mark in chart.TOLD.values()]
    sort = figure.chart.to_dict()["layer"][1]["encoding"]["y"]["sort"]
    assert sort == ["burner", "mould", "shop", "hour", "truck"]


def test_nothing_to_draw_is_no_chart() -> None:
    assert chart.draw(replace(growth(), worths=())) is None


def test_what_was_found_is_kept_and_read_back_to_the_bit(tmp_path: Path) -> None:
    nothing = Interval(1.0, float("nan"), float("nan"), 1)
    found = growth(*FOUND, worth("one world", "unsure", 1.0, 1.0, gain=nothing))
    save_growth(found, tmp_path)
    again = read_growth(tmp_path)
    assert repr(again) == repr(found)
    with (tmp_path / TABLE).open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["key"] for row in rows][:2] == ["burner", "mould"]
    assert (rows[1]["cost"], rows[1]["priced_by"], float(rows[1]["gain_low"])) == ("40.0", "more of it", 60.0)
    assert rows[-1]["gain_low"] == ""


def test_hours_lost_are_a_table_of_their_own(tmp_path: Path) -> None:
    save_growth(growth(), tmp_path)
    with (tmp_path / LIMITS).open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(row["limit"], float(row["hours_mean"]), float(row["hours_low"])) for row in rows] == [
        ("buyers", 900.0, 850.0),
        ("supply", 0.4, 0.0),
    ]


def test_a_folder_without_it_has_none_and_a_damaged_one_is_told(tmp_path: Path) -> None:
    assert read_growth(tmp_path) is None
    (tmp_path / FILE).write_text("{", encoding="utf-8")
    with pytest.raises(StoredError, match="ask planner grow again"):
        read_growth(tmp_path)


def test_the_document_is_plain_json() -> None:
    found = json.loads(json.dumps(growth_document(growth()), allow_nan=False))
    assert found["first"] == "burner"
    assert found["worths"][1]["cost"] == 40.0
    assert found["worths"][0]["gain"]["low"] == 180.0
    assert found["left_out"] == [{"what": "light", "why": "there is light at the pot already"}]
