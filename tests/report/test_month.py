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
from planner.study.month.answers import Drop, DropRow, Gain, Lighting, Month, Price, PriceRow, ShopWorth
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
    """One that is worth so much; half of those that are asked say yes, after four hours at 5 EUR."""
    none, brings = Interval(0.0, -1.0, 1.0, 60), gain(mean, half)
    if known:
        return ShopWorth(name, True, brings, none, none, nan, nan, 1.0, 0.0, 0.0, brings.more)
    asked = gain(0.5 * mean - 20.0, 0.5 * half).more
    return ShopWorth(name, False, brings, none, none, nan, nan, 0.5, 4.0, 20.0, asked)


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


def test_every_price_that_was_played_is_better_worse_or_not_to_be_told(spring: Month) -> None:
    rows = tuple(
        PriceRow(f, gain(g, 5)) for f, g in ((0.9, -20), (0.95, 1), (1.05, 10), (1.1, 12), (1.15, -2))
    )
    price = Price((("mixed", 4.0),), rows, 1.1)

    def told(price: Price) -> tuple[str, ...]:
        (found,) = (one for one in answers(replace(spring, price=price)) if one.key == "price")
        return (found.said, *found.further)

    assert told(price) == (
        "Ask 10 % more (mixed 4.40 EUR/kg): it brings 12 EUR (from 7 to 17 EUR) more than today's prices.",
        "It brings more in 48 of 60 worlds.",
        "Surely better than today's too: 5 % more.",
        "Surely worse than today's: 10 % less.",
        "Cannot be told from today's: 5 % less; 15 % more.",
    )
    assert told(replace(price, rows=rows[:4]))[0].endswith("today's prices (nothing beyond was played).")


def test_shops_are_dropped_and_courted_where_that_is_sure(spring: Month) -> None:
    shops = (shop("Near", True, 40, 10), shop("Far", True, -30, 5), shop("New", False, 60, 10))
    assert said(replace(spring, shops=shops))["shops"] == (
        'Drop "Far": "Far" loses 30 EUR (from 25 to 35 EUR). Court "New": 4.0 hours of asking bring 10 EUR (from 5 to '
        "15 EUR) on average; once it says yes it brings 60 EUR (from 50 to 70 EUR)."
    )
    unsure = (shop("Near", True, 4, 10), shop("New", False, 6, 10))
    assert said(replace(spring, shops=unsure))["shops"] == (
        'Drop none, though of none can be told that it is worth the trips: "Near" brings 4 EUR more on average, from 6 '
        'EUR less to 14 EUR more. Court none: even with "New", 4.0 hours of asking lose 17 EUR (from 12 to 22 EUR) on '
        "average, though once it says yes it brings 6 EUR (from -4 to 16 EUR)."
    )


def test_a_shop_is_not_courted_for_what_it_brings_if_asking_costs_as_much(spring: Month) -> None:
    shops = (shop("New", False, 40, 10),)
    (answer,) = (one for one in answers(replace(spring, shops=shops)) if one.key == "shops")
    assert answer.said == (
        'Whether to court any cannot be told: with "New", 4.0 hours of asking bring 0 EUR more on average, from 5 EUR '
        "less to 5 EUR more; once it says yes it brings 40 EUR (from 30 to 50 EUR)."
    )
    assert list(answer.further) == [
        'Surely worth the trips once they say yes: "New".',
        (
            "Of asking, 20 EUR for the hours are taken off, and only 50 shops in 100 say yes; what a shop gives after "
            "30 Apr 2026 comes on top."
        ),
    ]


@pytest.mark.parametrize(
    ("cast_share", "all_worlds", "cast", "begins"),
    [
        (0.6, gain(8, 10), gain(20, 5), "Light up if you can: where metal is cast on Saturday, 7 Mar 2026"),
        (
            0.6,
            gain(8, 2),
            gain(20, 5),
            "Light up on Saturday, 7 Mar 2026: melting that day brings 8 EUR (from 6",
        ),
        (0.6, gain(-8, 2), gain(-9, 2), "Wait: melting on Saturday"),
        (0.6, gain(-8, 9), gain(-9, 2), "Wait: where metal is cast on Saturday"),
        (
            0.6,
            gain(8, 10),
            gain(9, 20),
            "As you like: whether you melt on Saturday, 7 Mar 2026 or later hardly matters",
        ),
        (0.6, gain(8, 10, n=9), gain(9, 20, n=9), "Cannot be told: melting on Saturday"),
        (0.6, gain(8, 100), gain(9, 200), "Cannot be told: melting on Saturday"),
        (0.0, gain(8, 2), gain(nan, nan, n=0), "Wait: on Saturday, 7 Mar 2026 no metal is cast"),
    ],
)
def test_lighting_up_is_told_by_the_worlds_in_which_it_goes(
    spring: Month, cast_share: float, all_worlds: Gain, cast: Gain, begins: str
) -> None:
    day = Lighting("2026-03-07", all_worlds, cast_share, 20.0, cast, (("bad weather", 1.0 - cast_share),))
    assert said(replace(spring, lighting=day))["light"].startswith(begins)


def test_what_is_promised_is_answered_first_then_how_many_more(spring: Month) -> None:
    assert spring.buckets is not None
    rows = tuple(replace(row, net=gain(-30, 5), each=gain(8, 2)) for row in spring.buckets.rows)
    none = replace(spring.buckets, rows=rows, take=0)
    told = {
        "more": "Take the bucket promised: paid and fetched, it brings 20 EUR (from 15 to 25 EUR). ",
        "less": "Do not take the bucket promised: paid and fetched, it loses 20 EUR (from 15 to 25 EUR). ",
        "either": "Whether you take the bucket promised hardly matters: paid and fetched, it brings 2 EUR more on "
        "average, from 3 EUR less to 7 EUR more. ",
        "": "",
    }
    for promised, words in zip((gain(20, 5), gain(-20, 5), gain(2, 5), None), told.values(), strict=True):
        answer = said(replace(spring, buckets=replace(none, promised=promised)))["buckets"]
        assert answer == f"{words}Take no more: paid and fetched, one more loses 30 EUR (from 25 to 35 EUR)."


def test_so_many_buckets_are_told_with_the_most_to_pay_for_each(spring: Month) -> None:
    assert spring.buckets is not None
    rows = tuple(
        replace(row, worth=gain(20 + row.number, 5), each=gain(20, 4), net=gain(60, 5))
        for row in spring.buckets.rows
    )
    found = replace(spring.buckets, rows=rows, take=2, promised=None, fetching=9.0, asked=10.0)
    (answer,) = (one for one in answers(replace(spring, buckets=found)) if one.key == "buckets")
    assert answer.said == "Take 2 more buckets: paid and fetched, they bring 60 EUR (from 55 to 65 EUR)."
    assert answer.further[0].startswith(
        "The most to pay for one more, brought to your door: 21 EUR (from 16 to 26 EUR); for each of 2: 20 EUR (from "
        "16 to 24 EUR). With what"
    )
    assert "a bucket, so where you drive for it pay no more than 12 EUR." in answer.further[1]
    wide = replace(found, rows=tuple(replace(row, net=gain(10, 300)) for row in rows))
    assert said(replace(spring, buckets=wide))["buckets"].startswith(
        "Whether you take 2 more buckets cannot be told"
    )
    few = replace(found, rows=tuple(replace(row, net=gain(1, 3, n=9)) for row in rows))
    assert said(replace(spring, buckets=few))["buckets"].startswith(
        "Whether you take 2 more buckets cannot be told"
    )


def test_when_to_drop_the_price_is_told_day_by_day_where_days_differ(spring: Month) -> None:
    never = Drop(
        "2026-03-30", 0.9, (DropRow(75.0, gain(-9, 2)), DropRow(150.0, gain(-8, 2))), nan, 20.0, 30.0, 40.0
    )
    later = replace(
        never, day="2026-04-20", rows=(DropRow(75.0, gain(-9, 2)), DropRow(150.0, gain(8, 2))), from_kg=150.0
    )
    open_ = replace(later, rows=(DropRow(150.0, gain(1, 2)),), from_kg=nan)
    assert said(replace(spring, drops=(never, replace(never, day="2026-04-20"))))["drop"] == (
        "Do not drop it: even with 150 kg of ingots left, 10 % less brings 8 EUR (from 6 to 10 EUR) less from 30 Mar "
        "2026 on and 8 EUR (from 6 to 10 EUR) less from 20 Apr 2026 on."
    )
    assert said(replace(spring, drops=(never, later)))["drop"] == (
        "Do not drop it on 30 Mar 2026: even with 150 kg of ingots left, 10 % less brings 8 EUR (from 6 to 10 EUR) "
        "less. Drop it to 10 % less if 150 kg of ingots or more are still there on 20 Apr 2026: that brings 8 EUR "
        "(from 6 to 10 EUR) more."
    )
    assert said(replace(spring, drops=(open_,)))["drop"].startswith(
        "On 20 Apr 2026 it cannot be told: with 150 kg"
    )


def test_hours_that_were_told_and_days_the_scenario_is_not_written_for_are_said(spring: Month) -> None:
    assert not any("written for" in one or "Hours told" in one for one in starts_from(spring))
    today = replace(spring.today, hours=("2026-03-07 10:00-14:00",), until="2026-06-30")
    told = starts_from(replace(spring, today=today))
    assert "Hours told: 2026-03-07 10:00-14:00." in told
    assert told[-1] == (
        "The scenario is written for 2 Mar 2026 to 30 Apr 2026; holidays and other dates in it say nothing of days "
        "before or after."
    )


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
