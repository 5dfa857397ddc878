from __future__ import annotations

import base64
import hashlib
import json
import re

import numpy as np

from planner.report.page import first_screen, tables
from planner.report.page.build import figures, page
from planner.report.page.safe import digest, embedded, policy
from planner.report.page.script import script
from planner.study import Study
from tests.report.made import LIFTING, study, swings, three

LARGEST = 1_500_000


def text_of(made: Study) -> str:
    return page(made).decode("utf-8")


def test_the_page_is_one_file_that_asks_for_nothing(garden_outlooks: Study) -> None:
    text = text_of(garden_outlooks)
    assert len(text.encode("utf-8")) < LARGEST
    markup = re.sub(r"<script.*?</script>", "", text, flags=re.S)
    assert re.findall(r"""(?:src|href)=["'](?!#|data:)""", markup) == []
    assert "default-src &#39;none&#39;" in text
    assert "unsafe-eval" not in text


def test_the_policy_allows_the_page_s_own_script_and_no_other() -> None:
    text = text_of(study(three()))
    scripts = re.findall(r"<script>(.*?)</script>", text, re.S)
    assert scripts == [script()]
    known = base64.b64encode(hashlib.sha256(scripts[0].encode()).digest()).decode()
    assert f"sha256-{known}" in text
    # worked example of W3C Content Security Policy Level 3, section 8.2 ("alert('Hello, world.');")
    assert digest("alert('Hello, world.');") == "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='"
    assert policy([]).startswith("default-src 'none'; script-src 'none'")


def test_nothing_that_is_embedded_ends_its_element() -> None:
    value = {"name": "</script><!--&\u2028"}
    text = str(embedded(value))
    assert not set("<>&\u2028") & set(text)
    assert json.loads(text) == value


def test_the_first_screen_tells_today_and_after_what_holds_back_and_where_the_metal_goes() -> None:
    made = study(three(), hours={"as today": 100.0, "bigger burner": 70.0})
    assert first_screen.told(made) == ("as today", "bigger burner")
    money, an_hour, hours = first_screen.figures(made)
    assert (money.what, hours.what) == ("Money a year", "Hours a week")
    assert (hours.today, hours.after) == ("1.9", "1.3")
    assert an_hour.today.endswith("EUR")
    (hold,) = first_screen.holds(made)
    assert hold.word == "too few buyers"
    assert hold.number == "500 free hours a year unused for it as today"
    strips = first_screen.strips(made)
    assert [round(sum(part.percent for part in strip.slices), 6) for strip in strips] == [100.0, 100.0]
    assert strips[0].slices[0].mass == "300 kg"


def test_parts_are_told_in_the_order_in_which_they_are_asked() -> None:
    text = text_of(study(three(), refused={"bigger pot": (LIFTING,)}))
    order = [
        "<h1>",
        'class="figures"',
        "What holds you back",
        "Where the metal goes",
        "Refused, and never",
        "<nav",
    ]
    assert sorted(order, key=text.index) == order


def test_a_refused_option_is_last_and_marked() -> None:
    rows = tables.option_rows(study(three(), refused={"bigger burner": (LIFTING,)}))
    assert (rows[-1].name, rows[-1].kind) == ("bigger burner", "refused")
    assert "best" not in {row.kind for row in rows[1:]}


def test_each_option_tells_its_worlds_its_loss_and_its_payback() -> None:
    made = study(three(), start_up_cost=90.0)
    row = tables.option_rows(made)[0]
    cells = dict(zip(tables.option_columns(made), row.cells, strict=True))
    further = dict(zip(tables.further_columns(made), row.further, strict=True))
    assert row.name == "bigger burner"
    assert cells["worlds worse than today"] == "0 of 60 (0–6 %)"
    assert further["paid back in money after"] == "about 3 months"
    losing = tables.option_rows(study({"as today": 100.0 + swings(60), "b": -900.0 + swings(60)}))[1]
    assert (
        dict(zip(tables.further_columns(made), losing.further, strict=True))[
            "worlds with a loss, hours priced"
        ]
        == "60 of 60 (94–100 %)"
    )


def test_every_figure_leaves_out_only_what_is_zero_throughout(garden_outlooks: Study) -> None:
    told = tables.every_figure(garden_outlooks)
    assert "full buckets" not in told["options"]  # its own settings refuse it, so it was not played
    for name in told["options"]:
        there = {row[0] for row in told["options"][name]}
        for m, one in enumerate(garden_outlooks.measures):
            level = garden_outlooks.level(name, one.name)
            gain = garden_outlooks.difference(name, one.name)
            assert (m in there) == (not level.mean == 0.0 == gain.mean)


def test_charts_say_how_to_read_them_and_have_the_same_as_a_table(garden_outlooks: Study) -> None:
    every = [one for those in figures(garden_outlooks).values() for one in those]
    assert len({one.key for one in every}) == len(every) >= 10
    for one in every:
        assert one.how.endswith(".")
        assert one.rows
        assert {len(row) for row in one.rows} == {len(one.columns)}
        assert one.chart.to_dict()["width"] == "container"


def test_a_mean_is_drawn_with_its_interval(garden_outlooks: Study) -> None:
    (gains,) = figures(garden_outlooks)["options"]
    drawn = {row["option"]: row for row in gains.chart.to_dict()["layer"][1]["data"]["values"]}
    for name in garden_outlooks.names:
        if name == garden_outlooks.subject.base or garden_outlooks.refusals[name, "expected"]:
            assert name not in drawn
            continue
        found = garden_outlooks.difference(name, "profit_after_hours")
        assert (drawn[name]["mean"], drawn[name]["low"], drawn[name]["high"]) == (
            found.mean,
            found.low,
            found.high,
        )


def test_where_only_one_outlook_was_played_none_are_compared() -> None:
    assert figures(study(three()))["outlooks"] == ()
    assert "If things turn out differently" not in text_of(study(three()))


def test_a_study_whose_runs_all_failed_still_has_a_page() -> None:
    nothing = {name: np.full(50, np.nan) for name in three()}
    assert "No recommendation" in text_of(study(nothing))


def test_one_world_and_one_option_still_have_a_page() -> None:
    assert "<h1>" in text_of(study({"as today": swings(1)}))


def test_what_is_refused_has_no_figures_in_the_table() -> None:
    row = tables.option_rows(study(three(), refused={"bigger burner": (LIFTING,)}))[-1]
    assert row.cells[:2] == ("refused", "lifting")
    assert set(row.cells[2:]) == {""}
    assert row.further == ()


def test_worlds_are_counted_among_those_that_have_a_result() -> None:
    values = three()
    values["bigger pot"][:10] = np.nan
    made = study(values)
    row = next(row for row in tables.option_rows(made) if row.name == "bigger pot")
    cells = dict(zip(tables.option_columns(made), row.cells, strict=True))
    assert cells["worlds worse than today"] == "50 of 50 (93–100 %)"
