"""What a report says of a choice that dropped what lost."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from planner.report.asides import asides, outlook_words
from planner.report.charts import gains, spread
from planner.report.documents import study_document
from planner.report.page.build import page
from planner.report.page.first_screen import figures
from planner.report.saving import manifest_of, read_study, save_study
from planner.report.words import advice
from planner.scenario import Scenario
from planner.study import Study, compare, load, tables
from tests.report.made import study, swings, three, wobble
from tests.report.test_stored import same
from tests.study.dealt import Dealt
from tests.study.test_deciding import brings


@pytest.fixture(scope="module")
def market(root: Path) -> Scenario:
    return load(root / "tests" / "study" / "market.yaml")


@pytest.fixture(scope="module")
def chosen(market: Scenario) -> Study:
    """Two options that are close, one of them chosen after more worlds than the first."""
    return compare(market, engine=Dealt(brings(gift=500.0, charm=480.0, own=100.0)))


@pytest.fixture(scope="module")
def undecided(market: Scenario) -> Study:
    return compare(market, engine=Dealt(brings(gift=500.0, charm=497.0, own=120.0)), budget=500)


def said(*sentences: str) -> str:
    return " ".join(sentences)


def test_the_answer_is_told_from_fresh_worlds(chosen: Study) -> None:
    fresh, gain = chosen.fresh, chosen.findings.gain
    assert fresh is not None
    assert gain is not None
    text = said(*advice(chosen))
    assert f"it brings {gain.mean:,.0f} EUR in 60 days more" in text
    assert f"better in {fresh.worlds} of {fresh.worlds} fresh worlds" in text
    assert f"from {fresh.worlds} fresh worlds, drawn after the choice was made" in text
    assert 'the next best, "lucky charm", brings' in text
    cash = figures(chosen)[0]
    assert cash.after == f"{fresh.level('gift', 'profit').mean:,.0f} EUR"
    assert cash.today == f"{fresh.level('as today', 'profit').mean:,.0f} EUR"


def test_it_says_how_the_choice_went(chosen: Study) -> None:
    choice = chosen.choice
    assert choice is not None
    text = said(*asides(chosen))
    assert "The choice was between 4 options. After 50 worlds of each 2 had surely lost." in text
    assert f'"gift" and "lucky charm" were played on, up to {choice.worlds} worlds' in text
    assert f"So the choice took {choice.runs} runs" in text
    assert "less than 20 EUR in 60 days behind it, 95 times in 100" in text


def test_a_spent_budget_is_told_with_what_more_would_take(undecided: Study) -> None:
    choice = undecided.choice
    assert choice is not None
    text = said(*advice(undecided))
    first, second = undecided.findings.contenders
    assert {first, second} == {"gift", "lucky charm"}
    spent = "Cannot tell which is best: the budget of 500 runs is spent"
    assert f'{spent}, and "{first}" and "{second}" are not yet told apart within the 20 EUR' in text
    assert f"About {choice.runs_needed:,} runs more would leave one" in text
    assert f"--budget {undecided.runs_played + (choice.runs_needed or 0)}." in text
    assert "Against as today" in text


def test_minutes_are_said_not_to_be_repeatable(market: Scenario) -> None:
    found = compare(market, engine=Dealt(brings(gift=500.0, charm=498.0, own=120.0)), minutes=1e-6)
    assert "cannot be repeated to the last digit" in said(*asides(found))
    assert manifest_of(found, {})["repeatable"] is False


def test_a_choice_that_fresh_worlds_do_not_bear_out_is_no_advice(market: Scenario) -> None:
    dealt = brings(gift=0.0, charm=-200.0, own=200.0)
    lucky = dealt | {"gift": lambda world: 500.0 if world < 50 else 0.0}
    text = said(*advice(compare(market, engine=Dealt(lucky))))
    assert text.startswith('Cannot tell which is best: "gift" came out ahead, but ')
    assert 'did not bear that out beside "as today"' in text
    assert "the same command with --seed 5" in text


def test_what_is_as_good_as_the_best_is_named(market: Scenario) -> None:
    text = said(*advice(compare(market, engine=Dealt(brings(gift=500.0, charm=496.0, own=6.0)))))
    assert '"lucky charm" is as good, if it is easier to start' in text


def test_a_choice_is_read_back_to_the_bit_and_its_runs_are_told_apart(chosen: Study, tmp_path: Path) -> None:
    save_study(chosen, tmp_path)
    same(read_study(tmp_path), chosen)
    runs = chosen.runs()
    assert set(runs.used_for) == {"comparison", "choice", "confirmation"}
    assert len(runs) == chosen.runs_played == manifest_of(chosen, {})["runs"]["ok"]
    confirmed = tables.options(chosen, "confirmation")
    assert [row[0] for row in confirmed.rows] == ["as today", "gift", "lucky charm"]
    document = study_document(chosen)
    assert [one["option"] for one in document["confirmed"]] == ["as today", "gift", "lucky charm"]
    assert document["choice"]["ended"] == "one left"


def test_a_comparison_of_a_fixed_size_has_no_confirmation() -> None:
    made = study(three())
    assert tables.options(made, "confirmation").rows == []
    assert study_document(made)["confirmed"] is None
    assert manifest_of(made, {})["repeatable"] is True


def test_the_chart_of_gains_shows_first_and_fresh_worlds(chosen: Study) -> None:
    figure = gains.draw(chosen)
    assert figure is not None
    assert [row[0] for row in figure.rows if row[1] == "in fresh worlds"] == ["gift", "lucky charm"]
    assert "fresh worlds, drawn after the choice was made" in figure.how
    assert "fresh worlds" in page(chosen).decode("utf-8")


def test_the_spread_of_each_option_is_drawn_and_told() -> None:
    made = study(three())
    figure = spread.draw(made)
    assert figure is not None
    row = next(row for row in figure.rows if row[0] == "bigger burner")
    years = made.sample.of("bigger burner")
    assert [float(cell) for cell in row[2:]] == pytest.approx(np.quantile(years, [0.5, 0.1, 0.9]), abs=0.5)
    assert "It loses money in 0 of 60 (0 to 6 in 100)" in said(*advice(made))
    assert (
        made.sample.spreads.at(1, 0).median.low < np.median(years) < made.sample.spreads.at(1, 0).median.high
    )
    assert "worst tenth" not in said(*advice(made))
    assert "The worst tenth of the years brings" in said(*advice(study(three(200))))
    assert spread.draw(study(three(9))) is None


def test_the_table_of_spread_has_a_row_for_level_and_gain() -> None:
    made = study(three())
    found = tables.spread(made)
    assert found.columns[:7] == (
        "used_for", "option", "outlook", "figure", "median", "median_low", "median_high",
    )  # fmt: skip
    assert len(found.rows) == 2 * 3
    assert found.rows[1][3] == "profit_after_hours_difference"


def test_how_steady_the_ways_of_choosing_are_is_told() -> None:
    clear = said(*outlook_words(study(three(), outlooks=("expected", "bad"))))
    assert "Steady: all three at once in 100 of 100 sets of worlds drawn anew." in clear
    toss = {"as today": 100.0 + swings(60), "other": 100.0 + swings(60) + wobble(60, 90.0)}
    assert "Not steady:" in said(*outlook_words(study(toss, outlooks=("expected", "bad"))))


def test_outlooks_are_weighed_where_somebody_said_how_likely_they_are() -> None:
    likely = {"expected": 0.7, "bad": 0.3}
    text = said(*outlook_words(study(three(), outlooks=("expected", "bad"), probabilities=likely)))
    assert 'by how likely you said it is, "bigger burner" brings most' in text
    assert "how likely" not in said(*outlook_words(study(three(), outlooks=("expected", "bad"))))


def test_where_the_next_best_may_lie_is_told_as_seen_from_it(market: Scenario) -> None:
    found = compare(market, engine=Dealt(brings(gift=500.0, charm=499.0, own=60.0)))
    ahead = found.findings.ahead
    assert found.findings.verdict == "best"
    assert ahead is not None
    assert ahead.low < 0.0 < ahead.high
    assert abs(ahead.low + ahead.high) > 3.0  # so that both ways round differ
    text = said(*advice(found))
    assert f"(from {ahead.high:.0f} EUR less to {-ahead.low:.0f} EUR more)" in text


def test_what_never_differs_from_today_is_not_called_forbidden(market: Scenario) -> None:
    same_for_all = brings(gift=0.0, charm=0.0)["as today"]
    dealt = dict.fromkeys(("as today", "camp stove", "gift", "lucky charm"), same_for_all)
    text = said(*advice(compare(market, engine=Dealt(dealt))))
    assert text.startswith("Go on as today: no other option differs from it")


def test_a_budget_that_leaves_no_fresh_world_is_told(market: Scenario) -> None:
    def others(option: str, world: int) -> dict[str, float]:
        return {"lowest_cash": -5.0 if option == "gift" and world >= 50 else 5.0}

    engine = Dealt(brings(gift=500.0, charm=300.0, own=20.0, stove=250.0), others=others)
    text = said(*advice(compare(market, engine=engine, budget=350)))
    assert (
        '"lucky charm" came out ahead, but the budget was spent before fresh worlds could bear that out'
        in text
    )
