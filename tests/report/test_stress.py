"""Stress in words, tables, files and charts."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from planner.report.charts import stress as lines
from planner.report.charts import stress_map as cells
from planner.report.folder import StoredError
from planner.report.stress_answers import answered, sentences
from planner.report.stress_files import read_stress, save_stress, stem, stress_document
from planner.report.stress_text import stress_text
from planner.report.stress_words import at, break_even, decimals, gaps, without
from planner.scenario import Scenario
from planner.scenario.axis import Axis, Lever
from planner.study import load
from planner.study.along import BreakEven, Gap
from planner.study.break_even import Crossing
from planner.study.stress import Stress, stress
from tests.study.dealt import Dealt, Inputs, around

MOST = "fetching.most_price=0 EUR..40 EUR"
STOPS = "fetching.stops=1..5"
BRINGS = {
    "as today": around(500.0, 10.0, name="as today"),
    "camp stove": around(300.0, 10.0, name="camp stove"),
    "full buckets": around(0.0),
    "gift": around(700.0, 10.0, name="gift"),
    "lucky charm": around(500.0, 10.0, name="as today"),
}


def moved(option: str, inputs: Inputs) -> float:
    """What a gift brings falls by ten for each EUR."""
    first = next((str(one.value) for one in inputs if one.path == "fetching.most_price"), "0")
    return -10.0 * float(first.split()[0]) if option == "gift" else 0.0


@pytest.fixture(scope="module")
def market() -> Scenario:
    return load(Path(__file__).parent.parent / "study" / "market.yaml")


@pytest.fixture(scope="module")
def ranged(market: Scenario) -> Stress:
    return stress(market, [MOST], engine=Dealt(BRINGS, moved=moved))


@pytest.fixture(scope="module")
def mapped(market: Scenario) -> Stress:
    return stress(market, [MOST, STOPS], engine=Dealt(BRINGS, moved=moved))


@pytest.fixture(scope="module")
def asked(market: Scenario) -> Stress:
    def working(option: str, world: int) -> dict[str, float]:
        money = BRINGS[option](world)
        return {"profit": money, "hours_h": 40.0, "profit_after_hours": money - 200.0, "buckets": 20.0}

    return stress(market, engine=Dealt(BRINGS, others=working))


def shown(stress: Stress) -> str:
    console = Console(width=80, file=io.StringIO(), highlight=False)
    for one in stress_text(stress, ()):
        console.print(one)
    text: str = console.file.getvalue()  # type: ignore[attr-defined]
    return text


def axis(low: float, high: float, unit: str = "EUR", **words: Any) -> Axis:
    return Axis("a price", unit, low, high, (Lever("a.price", unit=unit),), **words)


def crossing(at: float, low: float, high: float, **words: Any) -> Crossing:
    return Crossing(
        at, low, high, **({"open_low": False, "open_high": False, "rises": True, "n": 50} | words)
    )


def test_a_break_even_is_a_number_with_its_reach_and_its_side() -> None:
    found = BreakEven("a", "b", "crosses", True, 0.0, 40.0, (crossing(12.34, 11.0, 14.0),))
    assert (
        break_even(axis(0.0, 40.0), found) == '"a" brings more than "b" above 12.3 EUR (from 11.0 to 14.0).'
    )
    falling = replace(found, crossings=(crossing(12.34, 11.0, 14.0, rises=False),))
    assert '"a" brings more than "b" below 12.3 EUR' in break_even(axis(0.0, 40.0), falling)


def test_a_reach_beyond_the_range_says_so() -> None:
    found = crossing(12.34, 0.0, 14.0, open_low=True)
    assert at(axis(0.0, 40.0), found) == "12.3 EUR (from below 0.0 to 14.0)"


def test_of_few_worlds_no_reach_is_told() -> None:
    assert at(axis(0.0, 40.0), crossing(12.34, 11.0, 14.0, n=6)) == "12.3 EUR"


def test_of_whole_numbers_both_neighbours_are_named() -> None:
    assert at(axis(2.0, 9.0, "", whole=True), crossing(4.6, 3.2, 5.9)) == "4 to 5 (from 3.2 to 5.9)"


@pytest.mark.parametrize(
    ("ahead", "sure", "says"),
    [
        ("more", True, 'No break-even between 0.0 and 40.0 EUR: "a" brings more than "b" at every point.'),
        ("less", False, '"a" brings less than "b" on average.'),
        ("same", True, '"a" brings the same as "b" between'),
        ("nowhere", False, '"a" has no figure along this range.'),
    ],
)
def test_no_break_even_is_said(ahead: Any, sure: bool, says: str) -> None:
    assert says in break_even(axis(0.0, 40.0), BreakEven("a", "b", ahead, sure, 0.0, 40.0))


@pytest.mark.parametrize(
    ("unsure", "says"),
    [
        ((0.0,), "; at 0.0 EUR that is not sure."),
        ((0.0, 5.0, 40.0), "; at 0.0, 5.0 and 40.0 EUR that is not sure."),
        ((0.0, 5.0, 10.0, 15.0), "; at 4 points from 0.0 to 15.0 EUR that is not sure."),
    ],
)
def test_where_it_is_not_sure_is_said(unsure: tuple[float, ...], says: str) -> None:
    found = BreakEven("a", "b", "more", False, 0.0, 40.0, (), unsure)
    assert break_even(axis(0.0, 40.0), found).endswith(f'"a" brings more than "b" on average{says}')


def test_what_is_said_of_a_pair_reaches_no_further_than_its_figures() -> None:
    those = (BreakEven("a", "b", "more", True, 10.0, 40.0), BreakEven("c", "b", "more", True, 0.0, 40.0))
    assert list(without(axis(0.0, 40.0), those)) == [
        'More than "b" all along from 10.0 to 40.0 EUR, so no break-even: "a".',
        'More than "b" all along from 0.0 to 40.0 EUR, so no break-even: "c".',
    ]


def test_a_reason_that_begins_with_a_path_keeps_it_as_it_is_written(ranged: Stress) -> None:
    (along,) = ranged.alongs
    gap = Gap("gift", "impossible", "owner.hour_price: -8 EUR/h is not possible", along.points[:2])
    said = list(gaps(replace(along, gaps=(gap,))))
    assert said == ['Impossible at 0.0 and 5.0 EUR: "gift". owner.hour_price: -8 EUR/h is not possible.']


def test_in_lopsided_worlds_answers_are_said_to_err_more_often(market: Scenario) -> None:
    rare = BRINGS | {"gift": lambda world: BRINGS["as today"](world) + (9000.0 if world == 7 else 20.0)}
    found = stress(market, [MOST], engine=Dealt(rare, moved=moved))
    mind = 'Mind: with "gift" a few worlds are far better or far worse than the others'
    assert [one.option for one in found.alongs[0].break_evens if one.lopsided] == ["gift"]
    assert mind in " ".join(sentences(found))
    assert "Mind:" not in " ".join(sentences(stress(market, [MOST], engine=Dealt(BRINGS, moved=moved))))
    assert mind in " ".join(sentences(stress(market, engine=Dealt(rare))))


def test_where_doing_nothing_is_the_best_of_all_options_is_said(root: Path) -> None:
    """Each option but doing nothing brings 100 at today's prices, and 4 less for each of a hundred that they fall."""

    def yard(option: str, inputs: Inputs) -> float:
        price = next((float(one.value) for one in inputs if one.way == "times"), 1.0)
        return 0.0 if option == "do nothing" else -400.0 * (1.0 - price)

    scenario = load(root / "scenarios" / "example.yaml")
    brings = {
        name: around(0.0 if name == "do nothing" else 100.0, 1.0, name=name) for name in scenario.options
    }
    found = stress(scenario, engine=Dealt(brings, moved=yard), replicates=10)
    nothing = next(one for one in found.answers if one.question == "nothing")
    said = list(answered(found, nothing))
    assert re.fullmatch(
        r'"do nothing" is the best of all options below 0\.7\d times today\'s \(.*\)\.', said[-1]
    )
    bucket = next(one for one in found.answers if one.question == "lead share")
    assert next(answered(found, bucket)) == "In the scenario it is 0.50."


def test_options_without_a_figure_are_named_beside_the_standing_questions(asked: Stress) -> None:
    assert 'Refused all along: "full buckets". Lifting: portions of 60 kg' in list(sentences(asked))[-1]
    assert 'Refused all along: "full buckets".' in shown(asked)


def test_options_that_cannot_be_told_apart_are_not_given_a_number() -> None:
    lost = crossing(12.3, 0.0, 40.0, open_low=True, open_high=True)
    found = break_even(axis(0.0, 40.0), BreakEven("a", "b", "crosses", True, 0.0, 40.0, (lost,)))
    assert found == '"a" and "b" cannot be told apart between 0.0 and 40.0 EUR.'


def test_several_crossings_are_all_named() -> None:
    those = (crossing(10.0, 9.0, 11.0), crossing(30.0, 28.0, 32.0, rises=False))
    found = break_even(axis(0.0, 40.0), BreakEven("a", "b", "crosses", True, 0.0, 40.0, those))
    assert (
        "change places at 10.0 EUR (from 9.0 to 11.0), 30.0 EUR (from 28.0 to 32.0); below the first it brings less"
        in found
    )


@pytest.mark.parametrize(
    ("low", "high", "digits"), [(0.2, 1.8, 2), (0.0, 40.0, 1), (0.0, 400.0, 0), (0.0, 0.08, 3)]
)
def test_numbers_are_told_as_finely_as_the_range_needs(low: float, high: float, digits: int) -> None:
    assert decimals(axis(low, high)) == digits


def test_a_range_says_who_is_best_where_and_what_does_not_feel_it(ranged: Stress) -> None:
    said = " ".join(sentences(ranged))
    assert re.search(
        r'The best along fetching.most_price: "gift", from \d\d\.\d EUR \(from [\d.]+ to [\d.]+\) on "as today"',
        said,
    )
    assert re.search(r'More than "as today" below these: "gift" \d\d\.\d EUR \(', said)
    assert 'Less than "as today" all along from 0.0 to 40.0 EUR, so no break-even: "camp stove".' in said
    assert 'The same as "as today" all along from 0.0 to 40.0 EUR: "lucky charm".' in said
    assert 'Not felt by "as today", "camp stove" and "lucky charm"' in said
    assert 'Refused all along: "full buckets". Lifting: portions of 60 kg' in said


def test_the_standing_questions_are_asked_and_answered_one_by_one(asked: Stress) -> None:
    said = list(sentences(asked))
    assert said[0].startswith('Asked of going on as today and of "gift", which brings most')
    said = said[1:7]
    assert [one.partition("?")[0] for one in said] == [
        "How far can the yard's prices fall before each option stops paying",
        "At what prices of the yard does melting stop beating selling untouched",
        "At what prices of the yard is doing nothing better",
        "What is the most to pay for a bucket",
        "At what lead share is a bucket no longer worth melting",
        "At what price for your hour do you stop",
    ]
    assert "Not asked: no option sells buckets untouched" in said[1]
    assert (
        "Going on as today: no break-even between" in said[3]
    )  # dealt results do not hang on what a bucket costs
    assert re.search(r"Going on as today: at 1\d\.\d EUR/h \(from ", said[5])
    assert 'With "gift": at 1' in said[5]


@pytest.mark.parametrize("which", ["ranged", "mapped", "asked"])
def test_the_terminal_gets_no_more_than_80_columns_and_no_cut_figure(
    which: str, request: pytest.FixtureRequest
) -> None:
    text = shown(request.getfixturevalue(which))
    assert max(map(len, text.splitlines())) <= 80
    assert "…" not in text
    assert re.search(r"The same \d\d worlds at every point", " ".join(text.split()))


def test_a_map_in_the_terminal_has_letters_that_are_explained(mapped: Stress) -> None:
    text = shown(mapped)
    assert re.search(r"^ *5 +\S+ +\S+ +\S+ +\S+ +\S+ *$", text, re.MULTILINE)
    assert "Across: fetching.most_price [EUR]. Up: fetching.stops." in text
    assert re.search(r'The best of 25 places: A "\w', text)
    assert 'B "' in text


@pytest.mark.parametrize(
    ("which", "name"), [("ranged", "stress-range"), ("mapped", "stress-map"), ("asked", "stress")]
)
def test_what_is_written_is_read_back_to_the_same(
    which: str, name: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    found: Stress = request.getfixturevalue(which)
    assert stem(found) == name
    files = save_stress(found, tmp_path)
    assert [path.name for path in files] == [f"{name}.csv", f"{name}.json"]
    assert repr(read_stress(tmp_path, name)) == repr(found)


def test_the_table_has_a_row_a_point_and_option(ranged: Stress, tmp_path: Path) -> None:
    rows = list(csv.DictReader(io.StringIO(save_stress(ranged, tmp_path)[0].read_text("utf-8"))))
    assert len(rows) == 9 * 5
    gift = [row for row in rows if row["option"] == "gift"]
    assert [float(row["at"]) for row in gift] == [0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0]
    assert float(gift[0]["difference_mean"]) - float(gift[8]["difference_mean"]) == pytest.approx(400.0)
    refused = next(row for row in rows if row["option"] == "full buckets")
    assert (refused["state"], refused["mean"]) == ("refused", "")
    assert [sum(int(row["best"]) for row in rows if row["at"] == one["at"]) for one in gift] == [1] * 9


def test_a_map_s_table_has_a_row_a_place(mapped: Stress, tmp_path: Path) -> None:
    rows = list(csv.DictReader(io.StringIO(save_stress(mapped, tmp_path)[0].read_text("utf-8"))))
    assert len({(row["at"], row["other_at"]) for row in rows}) == len(rows) == 25
    assert {row["best"] for row in rows if row["at"] == "0.0"} == {"gift"}


@pytest.mark.parametrize("change", [("gift", ""), ('"format": 1', '"format": 99'), ("{", "")])
def test_a_file_that_was_damaged_is_told(ranged: Stress, change: tuple[str, str], tmp_path: Path) -> None:
    old, new = change
    file = save_stress(ranged, tmp_path)[1]
    content = file.read_bytes()
    file.write_bytes(content.replace(old.encode(), new.encode()) if new else content[: len(content) // 2])
    with pytest.raises(StoredError, match="play it again with planner stress"):
        read_stress(tmp_path, "stress-range")


def test_the_document_is_plain_and_says_the_same(ranged: Stress) -> None:
    found = stress_document(ranged)
    assert found["says"] == list(sentences(ranged))
    assert found["along"][0]["changes"][0]["then"] == "as today"
    assert found["along"][0]["courses"][2]["levels"][0]["mean"] is None  # the refused one has no figure


def test_the_lines_of_the_best_are_coloured_and_the_crossing_is_marked(ranged: Stress) -> None:
    figure = lines.draw(ranged.alongs[0], "EUR", "in 60 days")
    assert figure is not None
    assert [mark.label for mark in figure.marks] == [
        "gift",
        "other options",
        "two bring the same",
    ]
    dots = [
        row for layer in figure.chart.to_dict()["layer"] for row in layer["data"]["values"] if "words" in row
    ]
    assert all(row["x"] == pytest.approx(20.0, abs=1.0) and abs(row["y"]) < 15.0 for row in dots)
    assert any(row["words"].startswith("gift and as today: ") for row in dots)
    assert len(figure.rows) == 9
    assert figure.columns[0] == "fetching.most_price"


def test_where_the_scenario_stands_is_marked_if_it_is_one_number(asked: Stress) -> None:
    yard, *_ = asked.alongs
    figure = lines.draw(yard, "EUR", "in 60 days")
    assert figure is not None
    assert "as the scenario has it" in [mark.label for mark in figure.marks]
    rules = [layer["data"]["values"] for layer in figure.chart.to_dict()["layer"] if "data" in layer]
    assert [{"x": 1.0}] in rules


def test_a_map_tells_the_best_by_letter_as_well_as_by_colour(mapped: Stress) -> None:
    assert mapped.map is not None
    figure = cells.draw(mapped.map, "EUR", "in 60 days")
    assert figure is not None
    labels = {mark.label[0]: mark for mark in figure.marks}
    assert {mark.label[2:] for mark in figure.marks} == {"gift", "as today"}
    drawn = figure.chart.to_dict()["data"]["values"]
    for row in drawn:
        assert labels[row["letter"][0]].label[2:] == row["option"]
        assert labels[row["letter"][0]].colour == row["colour"]
    assert len(figure.rows) == 25


def test_names_are_no_markup(ranged: Stress) -> None:
    odd = replace(ranged, subject=replace(ranged.subject, title="[red]a[/red]"))
    assert "[red]a[/red]" in shown(odd)


def test_what_can_hurt_stands_before_the_figures(asked: Stress) -> None:
    text = shown(asked)
    assert text.index("Safety") < text.index(asked.subject.title)
    assert "licensed practice" in text
    assert stress_document(asked)["cautions"]
