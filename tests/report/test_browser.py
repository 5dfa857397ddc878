"""The page as its reader sees it: in Chromium, on a phone and at a desk, offline."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser

from planner.report.page.build import page
from planner.study import Study
from tests.report.browser import A4, DESK, PHONE, opened
from tests.report.made import LIFTING, study, swings, three
from tests.report.pictures import days as calendar_of

OVERFLOWING = """
() => [...document.querySelectorAll("body *")]
  .filter((one) => !one.closest("svg, .unseen, .scroll") && one.getClientRects().length)
  .filter((one) => {
    const box = one.getBoundingClientRect();
    return box.right > document.documentElement.clientWidth + 1 || one.scrollWidth > one.clientWidth + 1 + (
      getComputedStyle(one).display.startsWith("inline") ? 1e9 : 0);
  })
  .map((one) => `${one.tagName}.${one.className} ${one.textContent.trim().slice(0, 40)}`)
"""
CUT_OFF = """
() => [...document.querySelectorAll(".chart svg")].flatMap((svg) => {
  const frame = svg.closest(".chart").getBoundingClientRect();
  return [...svg.querySelectorAll("text")]
    .filter((text) => text.textContent && text.getBoundingClientRect().right > frame.right + 2)
    .map((text) => `${svg.closest("figure").id}: ${text.textContent}`);
})
"""


@pytest.fixture(scope="module")
def garden_page(garden_outlooks: Study, tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("page") / "index.html"
    place.write_bytes(page(garden_outlooks))
    return place


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_chart_is_drawn_offline_and_no_text_runs_over(
    browser: Browser, garden_page: Path, size: tuple[int, int], tmp_path: Path
) -> None:
    tab, asked, said = opened(browser, garden_page, size)
    told = tab.evaluate("report")
    assert told["failed"] == []
    assert told["drawn"] == tab.locator(".chart").count() >= 10
    assert tab.locator(".chart svg").count() == told["drawn"]
    assert asked == []
    assert said == []
    assert tab.evaluate("document.documentElement.scrollWidth") == size[0]
    assert tab.evaluate(OVERFLOWING) == []
    assert tab.evaluate(CUT_OFF) == []
    picture = tab.screenshot(full_page=True, path=tmp_path / "page.png")
    assert len(picture) > 20_000


@pytest.mark.parametrize("size", [PHONE, pytest.param(DESK, marks=pytest.mark.long)], ids=["phone", "desk"])
def test_nothing_keeps_people_from_reading_the_page(
    browser: Browser, garden_page: Path, size: tuple[int, int]
) -> None:
    tab, _, _ = opened(browser, garden_page, size)
    tab.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    found = Axe().run(tab).response["violations"]
    serious = [
        (one["id"], one["nodes"][0]["html"][:120])
        for one in found
        if one["impact"] in ("serious", "critical")
    ]
    assert serious == []


def test_the_answer_and_its_three_figures_are_on_the_first_screen_of_a_phone(
    browser: Browser, garden_page: Path
) -> None:
    tab, _, _ = opened(browser, garden_page, PHONE)
    for part in ("h1", ".figures"):
        box = tab.locator(part).bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= PHONE[1]


@pytest.mark.parametrize(("size", "lines"), [(PHONE, 6), (DESK, 3)], ids=["phone", "desk"])
def test_the_answer_is_a_few_lines(
    browser: Browser, size: tuple[int, int], lines: int, tmp_path: Path
) -> None:
    place = tmp_path / "index.html"
    place.write_bytes(page(study(three())))
    tab, _, _ = opened(browser, place, size)
    height, line = tab.evaluate(
        "(h => [h.clientHeight, parseFloat(getComputedStyle(h).lineHeight)])(document.querySelector('h1'))"
    )
    assert round(height / line) <= lines
    assert tab.locator(".second").inner_text().endswith("better in 60 of 60 worlds.")


def test_the_table_of_options_fits_a_desk_and_the_rest_of_it_is_one_click_away(
    browser: Browser, tmp_path: Path
) -> None:
    values = {name: 9.0 * row for name, row in three().items()} | {
        "a cart with two wheels": -9e3 + swings(60)
    }
    place = tmp_path / "index.html"
    made = study(values, refused={"bigger pot": (LIFTING,)})
    made.values[:, :, made.column("lost_buyers_h")] = 0.0
    made.values[:, :, made.column("lost_propane_h")] = 500.0  # the longest words for what holds back
    place.write_bytes(page(made))
    tab, _, _ = opened(browser, place, DESK)
    for table in tab.locator(".scroll:has(> table.options)").all():
        wide, there = table.evaluate("(one) => [one.scrollWidth, one.clientWidth]")
        assert wide <= there
    further = tab.locator("details.further").first
    assert not further.locator("td").first.is_visible()
    further.locator("summary").click()
    assert further.locator("td").first.is_visible()
    assert "lowest cash" in further.inner_text()


def test_on_paper_no_range_is_broken_over_two_lines(browser: Browser, tmp_path: Path) -> None:
    values = {name: 9.0 * row for name, row in three().items()}
    values["bigger pot"] = -9e3 + swings(60, 5e3)
    place = tmp_path / "index.html"
    place.write_bytes(page(study(values)))
    tab, _, _ = opened(browser, place, A4)
    tab.emulate_media(media="print")
    lines = """() => [...document.querySelectorAll("table.options td:nth-child(3)")].map((cell) => {
      const range = document.createRange();
      range.selectNodeContents(cell);
      return [cell.textContent, new Set([...range.getClientRects()].map((box) => box.top)).size];
    })"""
    told = {text: found for text, found in tab.evaluate(lines) if "…" in text}
    assert len(told) == 2
    assert set(told.values()) == {1}
    tables = tab.locator("table.options").all()
    assert all(table.evaluate("(one) => one.getBoundingClientRect().right") <= A4[0] for table in tables)


def test_a_phone_has_room_for_a_few_numbers_along_an_axis(browser: Browser, garden_page: Path) -> None:
    counts = {}
    for size in (PHONE, DESK):
        tab, _, _ = opened(browser, garden_page, size)
        texts = tab.locator("#gains svg .role-axis-label text").all_text_contents()
        counts[size] = len([text for text in texts if text.lstrip("−").replace(",", "").isdigit()])
    assert 2 <= counts[PHONE] <= 6
    assert counts[PHONE] < counts[DESK]


def test_every_figure_of_an_option_is_one_click_away(browser: Browser, garden_page: Path) -> None:
    tab, _, _ = opened(browser, garden_page, DESK)
    details = tab.locator("details.every").first
    assert details.locator("tr").count() == 0
    details.locator("summary").click()
    details.locator("tr").first.wait_for()
    assert "Money before your hours" in details.inner_text()
    assert details.locator("tr").count() > 20


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_a_calendar_of_three_years_shows_each_year_and_each_january(
    browser: Browser, size: tuple[int, int], tmp_path: Path
) -> None:
    made = replace(study(three(), days=1095), pictures=(calendar_of(date(2026, 1, 1), 1095),))
    place = tmp_path / "index.html"
    place.write_bytes(page(made))
    tab, _, said = opened(browser, place, size)
    assert said == []
    (chart,) = tab.locator("figure[id^=calendar] svg").all()
    texts = [text for text in chart.locator("text").all_text_contents() if text]
    assert [text for text in texts if text.isdigit()] == ["2026", "2027", "2028"]
    assert texts.count("Jan" if size == DESK else "J") == (3 if size == DESK else 9)
    assert tab.locator("figure[id^=calendar] .key").count() == 1
    assert tab.evaluate(CUT_OFF) == []


def test_a_hostile_name_is_shown_as_it_is_and_does_nothing(browser: Browser, tmp_path: Path) -> None:
    values = three()
    nasty = "</script><img src=x onerror=alert(1)>{{7*7}}"
    values[nasty] = values.pop("bigger burner")
    place = tmp_path / "index.html"
    place.write_bytes(page(study(values, title="<b>Weights</b>", refused={"bigger pot": (LIFTING,)})))
    tab, asked, said = opened(browser, place, PHONE)
    assert asked == []
    assert said == []
    assert tab.evaluate("report")["failed"] == []
    assert nasty in tab.locator("h1").inner_text()
    assert tab.locator("img, b img, header b").count() == 0
