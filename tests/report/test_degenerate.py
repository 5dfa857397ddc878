"""Businesses that stand still, or that lack something, run and are described in words wherever one looks."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from planner.report.documents import check_document, run_document, study_document
from planner.report.page.build import page
from planner.report.terminal import comparison
from planner.report.terminal_option import checked, one_option
from planner.study import check, compare, load, run

FREE = "rates: {model: core.fixed, settings: {%s}}"
GOODS = ("weights", "lead", "clips", "zinc", "steel", "dross")
BUSINESSES = {
    "no supply": ("supply: []", "no shop fills a bucket", 'no bucket is fetched by "as today"'),
    "no buyers": ("demand: []", "nobody buys (demand)", 'nobody buys from "as today"'),
    "no hours": ("owner: {hours: none}", "there are no free hours", '"as today" leaves no free hours'),
    "no cash": ("cash: {opening: 0 EUR}", "there is no cash at the start", ""),
    "weak burner": ("melting: {burner: {power: 0.3 kW}}", "the burner is too weak", "nothing is melted"),
    "every day rain": (
        "melting: {place: open air}\nweather: {model: core.constant, settings: {rain: 2 mm}}",
        "nothing can ever be melted",
        'nothing is melted by "as today"',
    ),
    "one day": ("calendar: {days: 1, start: 2026-03-07}", "no shop fills a bucket", "no bucket is fetched"),
    "yard price zero": (
        FREE % ", ".join(f"{good}: 0 EUR/kg" for good in GOODS),
        "the yard pays nothing",
        "the yard pays nothing",
    ),
    "too dear": (
        "pricing: {model: core.fixed, settings: {private: {hard: 9999 EUR/kg, mixed: 9999 EUR/kg, soft: 9999 EUR/kg}}}",
        "9,999.00 EUR/kg is more than anybody of casters would pay",
        'nobody buys from "as today"',
    ),
    "pays nothing": (
        "fetching: {most_price: 0 EUR, every: 7 days}",
        "every bucket is dearer than you pay at most",
        'no bucket is fetched by "as today"',
    ),
    "hour free": ("owner: {hour_price: 0 EUR/h}", "your hour has no price", "your hour has no price"),
    "all refused": ("lifting: {portion: 60 kg}", "every option breaks a hard limit", "no bucket is fetched"),
    "nothing at all": (
        "supply: []\ndemand: []\nstock: {mixed: 0 kg, lots: []}\ncash: {opening: 0 EUR}\nowner: {hours: none}",
        "there is nothing to melt",
        '"as today" leaves no free hours',
    ),
}
ODD = re.compile(r"\b(?:nan|NaN|inf|Infinity|None|undefined)\b|(?<![\w.:])[-−]0(?:\.0+)?(?![\w.])")


def shown(those: Any) -> str:
    console = Console(width=10_000, no_color=True, force_terminal=False)
    with console.capture() as caught:
        for one in those:
            console.print(one)
    return caught.get()


def plain(markup: bytes) -> str:
    text = re.sub(r"<(script|style).*?</\1>", " ", markup.decode("utf-8"), flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


@pytest.mark.parametrize("name", BUSINESSES)
def test_a_business_that_lacks_something_is_described_in_words(name: str, tmp_path: Path, root: Path) -> None:
    more, before, after = BUSINESSES[name]
    (tmp_path / "garden.yaml").write_text(
        (root / "tests" / "study" / "garden.yaml").read_text("utf-8"), "utf-8"
    )
    (tmp_path / "odd.yaml").write_text(
        f"extends: garden.yaml\ntitle: {name}\n{more}\noptions: {{camp stove: none, full buckets: none, gift: none}}\n",
        "utf-8",
    )
    scenario = load(tmp_path / "odd.yaml")
    known, played, study = (
        check(scenario),
        run(scenario),
        compare(scenario, replicates=2, outlooks=scenario.outlooks),
    )
    texts = {
        "check": shown(checked(known, Path("odd.yaml"))),
        "run": shown(one_option(played, ())),
        "compare": shown(comparison(study, ())),
        "page": plain(page(study)),
    }
    documents = [check_document(known), run_document(played), study_document(study)]
    assert before in texts["check"]
    assert any(before in words for words in documents[0]["prospects"]["missing"])
    for words in (
        texts["run"],
        texts["compare"],
        texts["page"],
        *(str(one["warnings"]) for one in documents[1:]),
    ):
        assert after in words
    assert [(which, odd) for which, words in texts.items() for odd in ODD.findall(words)] == []
    assert all(json.dumps(one, allow_nan=False) for one in documents)
    for which in ("check", "run"):
        assert ("n/a" in texts[which].replace("n/a: ", "")) == ("n/a: " in texts[which])  # what it stands for
    if name in {"no buyers", "too dear"}:  # and more of what lies unsold would not help
        assert "too few weights" not in texts["compare"]
    if name == "no hours":
        assert "n/a: a share of what never was" in texts["page"]
        assert "n/a EUR" not in texts["page"]
    assert (" 2 worlds, 1 day each" in texts["page"]) == (name == "one day")


def test_a_page_of_nothing_but_refusals_draws_no_empty_chart(tmp_path: Path, root: Path) -> None:
    (tmp_path / "garden.yaml").write_text(
        (root / "tests" / "study" / "garden.yaml").read_text("utf-8"), "utf-8"
    )
    (tmp_path / "odd.yaml").write_text(
        "extends: garden.yaml\ntitle: Refused\nlifting: {portion: 60 kg}\n", "utf-8"
    )
    scenario = load(tmp_path / "odd.yaml")
    text = plain(page(compare(scenario, replicates=2, outlooks=scenario.outlooks)))
    assert "Not drawn: every option is refused" in text
    assert "If things turn out differently" not in text
    assert "No recommendation: every option breaks a hard limit." in text
