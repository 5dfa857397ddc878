"""The words, the page and the files of a look back."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from datetime import date
from math import nan
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from planner.fit.backtest import Backtest
from planner.fit.judged import Inside, Together
from planner.report.backtest_asides import minds, starts_from
from planner.report.backtest_kept import backtest_document, save_backtest
from planner.report.backtest_page import page
from planner.report.backtest_rows import COLUMNS
from planner.report.backtest_words import answers
from planner.report.charts import backtest
from planner.study import Interval
from tests.fit.looks import kept, looked_back, market
from tests.report.browser import DESK, PHONE, opened


@pytest.fixture(scope="module")
def market_back() -> Backtest:
    """The market looked back at, in which everything is as the scenario says."""
    return looked_back(market(), kept(market(), 1))


def said(found: Backtest) -> dict[str, str]:
    return {one.key: one.said for one in answers(found)}


def further(found: Backtest, key: str) -> str:
    return " ".join(next(one.further for one in answers(found) if one.key == key))


def turned(found: Backtest, key: str, **values: object) -> Backtest:
    """The same with one figure that is as these values say, and all others right and told."""
    judged = tuple(
        replace(
            one,
            **{"happened": 100.0, "foretold": 100.0, "low": 80.0, "high": 120.0, "total": "agrees"}
            | (values if one.key == key else {}),
        )
        for one in found.judged
    )
    return replace(found, judged=judged)


def test_a_figure_that_is_surely_off_is_named_with_which_way_and_by_how_much(market_back: Backtest) -> None:
    less = turned(market_back, "sold_kg", happened=40.0, total="below")
    assert said(less)["amounts"].startswith(
        "It says too much of ingots sold (by 60 kg). Of the rest it is right"
    )
    assert said(less)["mend"].startswith("You sold less than it says: how many ask and how often (demand)")
    assert (
        "Ingots sold: 40 kg; it says 100 kg, between 80 kg and 120 kg nine times in ten; 7.5 kg a week less"
        in (further(less, "amounts"))
    )
    more = turned(market_back, "fetched_kg", happened=150.0, total="above")
    assert said(more)["amounts"].startswith("It says too little of weights fetched (by 50 kg).")
    assert said(more)["mend"].startswith("You fetched more than it says: how fast your shops fill buckets")


def test_what_may_be_chance_is_called_doubtful_not_right_and_not_wrong(market_back: Backtest) -> None:
    doubtful = turned(market_back, "sold_kg", happened=75.0)
    assert said(doubtful)["amounts"].startswith(
        "It may say too much of ingots sold (by 25 kg): that is rare in a right model, but chance cannot be ruled out."
    )
    assert said(doubtful)["mend"].startswith("You sold less than it says, by chance or not: ")


def test_where_nearly_anything_is_foretold_nothing_is_called_right(market_back: Backtest) -> None:
    open_ = turned(market_back, "sold_kg", low=10.0, high=190.0)
    assert said(open_)["amounts"].endswith("Hardly to be told, since it leaves much open: ingots sold.")
    assert "More weeks would tell more of ingots sold." in further(open_, "mend")


def test_a_right_model_is_told_to_be_right_as_far_as_so_many_weeks_can_tell(market_back: Backtest) -> None:
    right = turned(market_back, "none")
    assert said(right)["amounts"].startswith("Right, as far as 8 weeks can tell: ")
    assert said(right)["mend"] == "Nothing that these records show."


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"weeks": 7}, "Cannot be told: 7 weeks are too few, 8 are the least."),
        ({"worlds": 39}, "Cannot be told: 39 worlds are too few, 40 are the least."),
        ({"judged": ()}, "Cannot be told: no figure could be held against what happened."),
    ],
)
def test_of_too_little_every_answer_says_that_it_cannot_tell(
    market_back: Backtest, values: dict[str, object], words: str
) -> None:
    found = said(replace(market_back, **values))
    assert found["amounts"] == words
    assert found["sureness"].startswith(words)
    assert found["last"].startswith(words)
    assert found["mend"].startswith("Keep on writing")


@pytest.mark.parametrize(
    ("sureness", "words"),
    [
        (
            "agrees",
            "As sure as it should be, as far as can be told: 30 of 40 weekly figures (75 %) lie in the band",
        ),
        ("below", "Too sure: weeks differ more"),
        ("above", "Not sure enough: weeks differ less"),
    ],
)
def test_how_sure_it_is_is_held_against_how_sure_a_right_model_is(
    market_back: Backtest, sureness: str, words: str
) -> None:
    whole = Together(Inside(30, 40, 4, 6, 28.0, 33.0, 38.0), sureness, Interval(0.1, 0.0, 0.2, 8), True)  # type: ignore[arg-type]
    found = said(replace(turned(market_back, "none"), together=whole))["sureness"]
    assert found.startswith(words)
    assert found.endswith("if the model were right it would be 28 to 38.")


@pytest.mark.parametrize(
    ("skill", "words"),
    [
        (
            Interval(0.3, 0.1, 0.5, 8),
            "Yes: over all figures its score is 30 % better (from 10 % better to",
        ),
        (
            Interval(-0.3, -0.5, -0.1, 8),
            "No: over all figures its score is 30 % worse (from 50 % worse to",
        ),
        (
            Interval(0.1, -0.1, 0.3, 8),
            "Cannot be told: over all figures its score is 10 % better, but chance",
        ),
        (
            Interval(0.1, nan, nan, 8),
            "Cannot be told: over all figures its score is 10 % better, but 8 weeks are too",
        ),
        (Interval(nan, nan, nan, 8), "Cannot be told: nothing that is counted by week ever differs"),
    ],
)
def test_same_as_last_month_is_beaten_only_where_that_is_sure(
    market_back: Backtest, skill: Interval, words: str
) -> None:
    whole = replace(market_back, together=replace(market_back.together, skill=skill))
    assert said(whole)["last"].startswith(words)


def test_what_to_mind_is_told(market_back: Backtest) -> None:
    assert minds(market_back) == ()
    odd = replace(
        market_back,
        ended=("sales",),
        failed=2,
        failure="world 3: no",
        stood=replace(market_back.stood, below_nothing_kg=12.0),
    )
    text = " ".join(minds(odd))
    assert "nothing is written in sales from" in text
    assert "12 kg more went out than came in" in text
    assert "2 of 42 worlds have no result, and do not count: world 3: no." in text
    late = replace(market_back, begun_late=(("hours", date(2026, 5, 9)),), not_kept=("weights melted",))
    assert "Not judged, for no such table is kept: weights melted." in further(late, "mend")
    assert "hours begins only on 9 May 2026" in further(late, "mend")


def test_it_says_what_it_starts_from(market_back: Backtest) -> None:
    fitted, judged, start = starts_from(market_back)
    assert "nothing was estimated, so it is the scenario as it is written" in fitted
    assert "8 weeks, in 40 worlds" in judged
    assert "of the casters come by then" in start
    many = starts_from(replace(market_back, estimates=tuple("abcdefghij")))[0]
    assert many.endswith("10 estimates (a, b, c, d, e, f, g, h and 2 more).")


def test_every_week_of_every_figure_lies_in_the_table_and_the_document(
    market_back: Backtest, tmp_path: Path
) -> None:
    files = save_backtest(market_back, tmp_path)
    assert [one.name for one in files] == ["backtest.html", "backtest.csv", "backtest.json"]
    header, *rows = csv.reader(io.StringIO(files[1].read_text(encoding="utf-8")))
    assert header == list(COLUMNS)
    assert len(rows) == sum(len(one.course.starts) for one in market_back.judged)
    document = json.loads(files[2].read_text(encoding="utf-8"))
    assert document["judged"][0]["key"] == market_back.judged[0].key
    assert document["stood"]["ingots_kg"] == market_back.stood.ingots_kg
    assert "scenario" not in document["stood"]
    assert backtest_document(market_back)["answers"] == document["answers"]


def test_charts_show_the_last_month_the_band_and_what_happened(market_back: Backtest) -> None:
    figures = {one.key: one for one in backtest.draw(market_back)}
    spec = figures["sold-kg"].chart.to_dict()
    by_mark = {layer["mark"]["type"]: layer for layer in spec["layer"]}
    assert set(by_mark) == {"rule", "area", "line", "point"}
    assert len(by_mark["point"]["data"]["values"]) == 4 + market_back.weeks
    assert len(by_mark["area"]["data"]["values"]) == market_back.weeks
    assert len(figures["sold-kg"].rows) == market_back.weeks


def test_pounds_for_who_reads_them(market_back: Backtest) -> None:
    us = replace(turned(market_back, "sold_kg", happened=40.0, total="below"), units="us")
    assert "ingots sold (by 132 lb)" in said(us)["amounts"]


@pytest.mark.parametrize("size", [PHONE, DESK])
def test_the_page_asks_for_nothing_and_is_no_wider_than_its_window(
    browser: Browser, market_back: Backtest, tmp_path: Path, size: tuple[int, int]
) -> None:
    place = tmp_path / "backtest.html"
    place.write_bytes(page(replace(market_back, title="A <script>alert(1)</script> stall")))
    tab, asked, complaints = opened(browser, place, size)
    assert (asked, complaints) == ([], [])
    assert tab.evaluate("[report.drawn, report.failed]") == [len(list(backtest.draw(market_back))), []]
    assert tab.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert tab.locator("script:not([type])").count() == 1
    tab.close()
