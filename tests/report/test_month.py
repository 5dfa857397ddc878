"""The page, the words and the files of a month."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from datetime import date
from math import nan
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from planner.report.charts import month_stock
from planner.report.folder import StoredError
from planner.report.month_kept import FILE, KEPT, month_document, save_month
from planner.report.month_page import page
from planner.report.month_rows import COLUMNS, shown
from planner.report.month_words import answers, minds, starts_from
from planner.scenario import Scenario
from planner.study import Interval
from planner.study.month.answers import Gain, Lighting, Month, ShopWorth
from planner.study.month.asking import month
from planner.study.month.today import Given
from tests.report.browser import DESK, PHONE, opened


@pytest.fixture(scope="module")
def spring(garden: Scenario) -> Month:
    """The garden's spring, in enough worlds for answers."""
    return month(garden, Given(date(2026, 3, 2), date(2026, 4, 30), promised=1), replicates=50)


def gain(mean: float, half: float, share: float = 0.8, n: int = 60) -> Gain:
    return Gain(Interval(mean, mean - half, mean + half, n), share)


def shop(name: str, known: bool, mean: float, half: float) -> ShopWorth:
    none = Interval(0.0, -1.0, 1.0, 60)
    return ShopWorth(name, known, gain(mean, half), none, none, nan, nan, 1.0 if known else 0.3, 4.0)


def said(month: Month) -> dict[str, str]:
    return {one.key: one.said for one in answers(month)}


def test_every_question_has_an_answer_that_says_how_sure(spring: Month) -> None:
    found = said(spring)
    assert list(found) == ["buckets", "melt", "price", "drop", "light", "shops", "left"]
    for key in ("buckets", "melt", "light", "shops"):
        assert re.search(r"from -?\d+ .*to -?\d+ EUR", found[key]), found[key]
    assert "one world in ten below" in found["left"]


def test_melting_is_advised_only_where_it_surely_brings_more(spring: Month) -> None:
    assert said(replace(spring, untouched=gain(50, 10)))["melt"].startswith(
        "Melt: it brings 50 EUR (from 40 to 60 EUR) more"
    )
    assert said(replace(spring, untouched=gain(-50, 10)))["melt"].startswith("Sell the weights untouched")
    assert said(replace(spring, untouched=gain(5, 10)))["melt"] == (
        "Cannot be told: melting instead of selling untouched brings 5 EUR more on average, from 5 EUR less to 15 EUR "
        "more."
    )


def test_shops_are_dropped_and_courted_where_that_is_sure(spring: Month) -> None:
    shops = (shop("Near", True, 40, 10), shop("Far", True, -30, 5), shop("New", False, 60, 9))
    assert said(replace(spring, shops=shops))["shops"] == (
        'Drop "Far": "Far" loses 30 EUR (from 25 to 35 EUR). Court "New": if it says yes, it brings 60 EUR (from 51 to '
        "69 EUR)."
    )
    unsure = (shop("Near", True, 4, 10), shop("New", False, 6, 9))
    assert said(replace(spring, shops=unsure))["shops"] == (
        'Drop none, though of none can be told that it is worth the trips: "Near" brings 4 EUR more on average, from 6 '
        'EUR less to 14 EUR more. Which to court cannot be told: even "New" would bring from -3 to 15 EUR.'
    )


@pytest.mark.parametrize(
    ("cast_share", "all_worlds", "cast", "begins"),
    [
        (0.6, gain(8, 10), gain(20, 5), "Light up if you can: where metal is cast on Saturday, 7 Mar 2026"),
        (0.6, gain(8, 2), gain(20, 5), "Use it: working on Saturday"),
        (0.6, gain(-8, 2), gain(-9, 2), "Wait: working on Saturday"),
        (0.6, gain(8, 10), gain(9, 20), "Cannot be told: working on Saturday"),
        (0.0, gain(8, 2), gain(nan, nan, n=0), "Wait: on Saturday, 7 Mar 2026 no metal is cast"),
    ],
)
def test_lighting_up_is_told_by_the_worlds_in_which_it_goes(
    spring: Month, cast_share: float, all_worlds: Gain, cast: Gain, begins: str
) -> None:
    day = Lighting("2026-03-07", all_worlds, cast_share, 20.0, cast, (("bad weather", 1.0 - cast_share),))
    assert said(replace(spring, lighting=day))["light"].startswith(begins)


def test_a_question_that_was_not_asked_says_why(spring: Month) -> None:
    gone = replace(spring, untouched=None, left_out=(("melt or sell", "nothing is melted in this business"),))
    assert said(gone)["melt"] == "Not asked: nothing is melted in this business."


def test_what_was_not_told_is_said_to_be_the_scenario_s(spring: Month) -> None:
    text = " ".join(starts_from(spring))
    assert "Not told, so taken from the scenario: hard, soft, mixed, weights, cash." in text
    assert "1 bucket promised" in text
    assert (
        "hard"
        not in " ".join(
            starts_from(replace(spring, today=replace(spring.today, given=("hard", "soft", "mixed"))))
        ).partition("Not told")[2]
    )


def test_failed_runs_broken_limits_and_few_worlds_are_told(spring: Month) -> None:
    told = minds(replace(spring, failed=3, failure="no", refused=("lifting: too heavy",), worlds=5))
    assert [one[:40] for one in told] == [
        "Mind: as it is, this business breaks a h",
        "Mind: 5 worlds are too few to say how su",
        f"Mind: 3 of {spring.runs:,} runs have no result, an"[:40],
    ]
    assert minds(spring) == ()
    assert minds(replace(spring, worlds=49))[0].startswith("Mind: of 49 worlds nothing is called sure")


def test_pounds_and_miles_for_who_reads_them(spring: Month) -> None:
    us = replace(spring, units="us")
    assert "EUR/lb" in said(us)["price"]
    assert " lb (" in said(us)["left"]
    assert any(amount.endswith(" miles") for _, _, amount, *_ in shown(us, "shops"))


def test_a_month_is_read_back_as_it_was(spring: Month, tmp_path: Path) -> None:
    files = save_month(spring, tmp_path / "kept")
    assert [path.name for path in files] == ["month.html", "month.csv", "month.json"]
    again = KEPT.read(tmp_path / "kept" / FILE)
    assert again is not None
    assert page(again) == page(spring)
    assert month_document(again) == month_document(spring)
    rows = list(csv.reader(io.StringIO((tmp_path / "kept" / "month.csv").read_text("utf-8"))))
    assert tuple(rows[0]) == COLUMNS
    assert {row[0] for row in rows[1:]} == {
        "buckets", "melt", "price", "drop", "light", "shops", "left", "stock",
    }  # fmt: skip


def test_a_damaged_month_is_told_in_a_sentence(spring: Month, tmp_path: Path) -> None:
    assert KEPT.read(tmp_path / FILE) is None
    save_month(spring, tmp_path)
    kept = tmp_path / FILE
    kept.write_text(kept.read_text("utf-8").replace('"format": 1', '"format": 9'), encoding="utf-8")
    with pytest.raises(StoredError, match="has format 9"):
        KEPT.read(tmp_path / FILE)
    kept.write_text("{}", encoding="utf-8")
    with pytest.raises(StoredError, match="damaged"):
        KEPT.read(tmp_path / FILE)


def test_names_cannot_become_markup(spring: Month) -> None:
    evil = "</script><script>alert(1)</script>"
    named = replace(spring, title=evil, shops=(replace(spring.shops[0], name=evil),), failure=evil, failed=1)
    text = page(named).decode()
    assert evil not in text
    assert "&lt;/script&gt;" in text


def test_the_chart_and_its_table_say_the_same(spring: Month) -> None:
    figure = month_stock.draw(spring)
    assert figure is not None
    assert len(figure.rows) == 2 * len(spring.left.course) == 18
    assert month_stock.draw(replace(spring, left=replace(spring.left, course=spring.left.course[:1]))) is None


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_page_opens_without_a_network_and_fits(
    browser: Browser, spring: Month, tmp_path: Path, size: tuple[int, int]
) -> None:
    save_month(spring, tmp_path)
    tab, asked, complained = opened(browser, tmp_path / "month.html", size)
    assert (asked, complained) == ([], [])
    assert tab.evaluate("report.drawn") == 1
    tab.evaluate("document.querySelectorAll('details').forEach((one) => (one.open = true))")
    assert tab.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert tab.locator("text=Melt, or sell untouched").first.is_visible()
    assert tab.locator("svg").count() == 1
