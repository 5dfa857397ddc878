from __future__ import annotations

import io
import re
from html import unescape
from pathlib import Path

import pytest
from rich.console import Console

from planner.plugin.registry import Row
from planner.report.page.build import page
from planner.report.terminal import comparison, models_table, safety
from planner.report.terminal_option import checked, one_option
from planner.report.words import answer
from planner.scenario import Scenario
from planner.study import Played, Study, check, load, run
from tests.report.made import LIFTING, study, swings, three


def shown(those: object, width: int = 80) -> str:
    console = Console(file=io.StringIO(), width=width, highlight=False)
    for one in those:  # type: ignore[attr-defined]
        console.print(one)
    text: str = console.file.getvalue()  # type: ignore[attr-defined]
    return text


def test_the_table_fits_eighty_columns_and_ranks_by_money_after_hours() -> None:
    values = three() | {"an option with a very long name that nobody would type " * 3: -12345.0 + swings(60)}
    text = shown(comparison(study(values, outlooks=("expected", "hard winter")), ()))
    assert max(map(len, text.splitlines())) <= 80
    assert text.index("> bigger bur") < text.index("\n  as today ") < text.index("\n  bigger pot")
    assert "-12,445 ... -12,445" in text  # names give way, figures are never cut
    assert "expected, 60 worlds" in text
    assert "Played too, and told in the report: hard winter." in text
    assert "…" in text


def test_the_recommended_and_the_refused_are_marked_with_reason_and_source() -> None:
    values = three() | {"full buckets": 900.0 + swings(60)}
    text = shown(comparison(study(values, refused={"full buckets": (LIFTING,)}), ()))
    lines = {line[2:].split("  ")[0]: line for line in text.splitlines()}
    assert lines["bigger burner"].startswith(">")
    assert lines["full buckets"].startswith("x")
    assert '"full buckets": lifting: portions of 59 kg' in text
    assert "[NIOSH 94-110]" in text
    assert text.index("  bigger pot") < text.index("x full buckets")


def test_marks_stay_where_the_table_is_too_wide() -> None:
    values = {name: 1e2 * row for name, row in three().items()} | {"full buckets": 9e4 + swings(60)}
    text = shown(comparison(study(values, refused={"full buckets": (LIFTING,)}), ()))
    assert "\n> bigger burner" in text
    assert "\nx full buckets" in text


def test_options_refused_for_the_same_reason_are_told_in_one_sentence() -> None:
    names = ["full buckets", "two full buckets", "all at once"]
    values = three() | {name: 900.0 + swings(60) for name in names}
    text = " ".join(shown(comparison(study(values, refused=dict.fromkeys(names, (LIFTING,))), ())).split())
    assert text.count("portions of 59 kg") == 1
    assert '"full buckets", "two full buckets" and "all at once": lifting:' in text


def test_the_heaviest_lift_stands_beside_the_money() -> None:
    text = shown(comparison(study(three()), ()))
    line = next(line for line in text.splitlines() if line.startswith("> bigger burner"))
    assert line.split()[-1] == "2.0"


def test_safety_is_short_and_begins_with_what_kills(garden_study: Study) -> None:
    text = shown(safety(garden_study.cautions))
    assert text.split("Safety", 1)[1].strip().startswith("A drop of water")
    assert len(text.splitlines()) <= 20
    for caution in garden_study.cautions:
        assert caution.first or caution.title in " ".join(text.split())


def test_names_are_text_and_not_markup() -> None:
    values = {"as today": 100.0 + swings(60), "[red]hot[/red] & [link=x]": 400.0 + swings(60)}
    text = shown(comparison(study(values), ()))
    assert "[red]hot[/red]" in text


def test_a_real_study_says_everything_a_comparison_owes(garden_study: Study) -> None:
    text = shown(comparison(garden_study, ()))
    for words in (
        "Safety",
        "A drop of water under molten lead",
        "kills with carbon monoxide",
        "replace neither local codes nor licensed practice",
        "Lead h",
        "lifting index 1",
    ):
        assert words in text
    assert "50 ug/m3" in text
    assert "Too few runs to choose" in text
    assert max(map(len, text.splitlines())) <= 80


def test_check_prints_what_follows_in_eighty_columns(garden: Scenario) -> None:
    text = shown(checked(check(garden), Path("my garage.yaml")))
    for words in (
        "Lifting between floor and tailgate",
        "hand truck",
        "as today and 3 more",
        "free hours are colder or",
        "what binds",
        "windy and cold",
        "stove h",
        "yard, untouched",
        "Payload beside the people in the vehicle: 332.0 kg",
        'Refused: "full buckets": lifting',
        "Never unattended",
        "29 CFR 1910.1025",
    ):
        assert words in " ".join(text.split()) or words in text
    assert max(map(len, text.splitlines())) <= 80
    assert text.endswith("Next:\n  planner compare 'my garage.yaml'\n      which option is best\n")


def test_check_says_how_each_option_lifts_and_names_an_overload() -> None:
    lifts = load(Path(__file__).parents[1] / "study" / "lifts.yaml")
    text = shown(checked(check(lifts, "overload"), Path("lifts.yaml")))
    rows = {row.split("  ")[0]: row.split()[-2:] for row in text.splitlines() if " by hand  " in row}
    assert rows["full buckets"][-1] == "refused"
    told = " ".join(text.split())
    assert "its rear axle is what binds" in told
    assert "40.0 kg are an overload that you accept" in told
    assert max(map(len, text.splitlines())) <= 80


def test_check_says_when_a_bucket_never_melts(
    tmp_path_factory: pytest.TempPathFactory, garden: Scenario
) -> None:
    file = tmp_path_factory.mktemp("cold") / "garden.yaml"
    text = garden.path.read_text(encoding="utf-8").replace("power: 10 kW", "power: 0.6 kW")
    file.write_text(text, encoding="utf-8")
    assert "never melts" in shown(checked(check(load(file)), file))


def test_check_is_loud_where_nothing_can_ever_happen(
    tmp_path_factory: pytest.TempPathFactory, garden: Scenario
) -> None:
    file = tmp_path_factory.mktemp("idle") / "garden.yaml"
    hours = "{fri: 14:00-19:00, sat: 08:00-17:00}"
    file.write_text(garden.path.read_text(encoding="utf-8").replace(hours, "none"), encoding="utf-8")
    text = " ".join(shown(checked(check(load(file)), file)).split())
    assert "Mind: there are no free hours" in text
    assert "Free hours a week: 0.0" in text


def test_a_run_shows_figures_with_units_and_what_was_nothing(traced: Played) -> None:
    text = shown(one_option(traced, ()))
    assert "Money after your hours" in text
    assert "EUR in 60 days" in text
    assert "a year" not in text
    assert "Nothing: " in text
    assert max(map(len, text.splitlines())) <= 80


def test_us_readers_get_pounds_and_fahrenheit(
    tmp_path_factory: pytest.TempPathFactory, garden: Scenario
) -> None:
    file = tmp_path_factory.mktemp("us") / "garden.yaml"
    file.write_text("units: us\n" + garden.path.read_text(encoding="utf-8"), encoding="utf-8")
    text = shown(checked(check(load(file)), file)) + shown(one_option(run(load(file)), ()))
    assert "degF" in text
    assert "mph" in text
    assert "lb in 60 days" in text
    assert " kg in 60 days" not in text


def test_packages_that_cannot_be_used_are_told() -> None:
    rows = [
        Row("pricing", "a.b", "p", "1", "asks [more]", (), ""),
        Row("", "c.*", "q", "2", "", (), "q 2 cannot be used: it is broken"),
        Row("", "d.*", "q", "2", "", (), "q 2 cannot be used: it is broken"),
    ]
    text = shown(models_table(rows))
    assert "asks [more]" in text
    assert text.count("q 2 cannot be used: it is broken") == 1


def test_the_terminal_says_the_sentence_that_heads_the_page() -> None:
    made = study(three())
    heading = re.findall(r"<h1>(.*?)</h1>", page(made).decode("utf-8"), re.S)
    assert [unescape(words) for words in heading] == [answer(made)[0]]
    assert answer(made)[0] in " ".join(shown(comparison(made, ())).split())
