"""Little's law and the books hold for whatever an owner does, and a queue told wrongly breaks them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from planner.scenario import Scenario
from planner.study import load
from planner.testing import books, flow
from planner.testing.rows import Row
from planner.testing.verify import town
from planner.workshop.play import RunError
from planner.workshop.result import Run


@pytest.fixture(scope="module")
def scenario(example: Path) -> Scenario:
    return load(example)


def failed(rows: Iterator[Row]) -> list[str]:
    return [row.case for row in rows if not row.ok]


@pytest.mark.parametrize(
    "option", ["sort first", "roof with light", "bulk buyer", "helper", "sell untouched"]
)
def test_it_holds_with_an_option_of_the_example(scenario: Scenario, option: str) -> None:
    assert failed(books.rows(scenario, option, worlds=4)) == []


def test_it_holds_in_the_town_that_is_watched_where_no_scenario_is_given() -> None:
    rows = list(books.rows(town(), worlds=4))
    assert [row.case for row in rows if not row.ok] == []
    assert all(row.expected > 0.1 for row in rows if row.family == "Little's law")


def test_it_holds_where_shops_stop_giving(garden_of_neglect: Scenario) -> None:
    assert failed(books.rows(garden_of_neglect, worlds=6)) == []


@pytest.fixture
def garden_of_neglect(tmp_path: Path) -> Scenario:
    """The town, fetched from so seldom that shops lose patience, with no time to clean up after a melt."""
    text = (
        flow_town().replace("every: 7 days", "every: 60 days").replace("clean_up: 15 min", "clean_up: 0 min")
    )
    file = tmp_path / "neglect.yaml"
    file.write_text(text, encoding="utf-8")
    return load(file)


def flow_town() -> str:
    return town().path.read_text(encoding="utf-8")


def test_buyers_counted_until_they_leave_would_be_found(
    scenario: Scenario, monkeypatch: pytest.MonkeyPatch
) -> None:
    def until_sold(business: object, world: object, run: Run) -> flow.Passed:
        del business, world
        left = [sale.t_h for sale in run.sales] + [
            note.t_h for note in run.notes if note.what == "order lost"
        ]
        came = [note.t_h for note in run.notes if note.what == "order"]
        return flow.Passed([(t, 1.0) for t in came], [(t, 1.0) for t in left])

    _tell_otherwise(monkeypatch, "buyers who wait", until_sold)
    assert failed(books.rows(scenario)) == ["L of buyers who wait"]


def test_ingots_counted_from_the_pour_and_not_when_they_are_put_away_would_be_found(
    scenario: Scenario, monkeypatch: pytest.MonkeyPatch
) -> None:
    (told,) = [queue for queue in flow.QUEUES if queue.name == "ingots in stock"]

    def a_day_late(business: object, world: object, run: Run) -> flow.Passed:
        came, left = told.passed(business, world, run)  # type: ignore[arg-type]
        return flow.Passed([(t + 24.0 * (t > 0.0), kg) for t, kg in came], left)

    _tell_otherwise(monkeypatch, "ingots in stock", a_day_late)
    assert failed(books.rows(scenario, worlds=8)) == ["L of ingots in stock"]


def test_a_sale_that_is_not_written_down_is_missed_in_three_books(
    scenario: Scenario, monkeypatch: pytest.MonkeyPatch
) -> None:
    plays = books.play

    def forgetful(*arguments: object, **more: object) -> Run:
        run = plays(*arguments, **more)  # type: ignore[arg-type]
        run.sales.pop()
        return run

    monkeypatch.setattr(books, "play", forgetful)
    found = failed(books.rows(scenario, worlds=2))
    assert [case.partition(",")[0] for case in found if "farthest" in case] == [
        "kilograms in less kilograms out and left",
        "ingots that were cast",
        "takings by sale less takings by ledger",
    ]


def test_runs_that_break_off_are_told_with_the_reason(
    scenario: Scenario, monkeypatch: pytest.MonkeyPatch
) -> None:
    plays, played = books.play, []

    def breaks_once(*arguments: object, **more: object) -> Run:
        played.append(1)
        if len(played) == 2:
            raise RunError("0.5 kg are missing from the mass balance")
        return plays(*arguments, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(books, "play", breaks_once)
    (row,) = [row for row in books.rows(scenario, worlds=4) if not row.ok]
    assert (row.expected, row.got) == (4, 3)
    assert row.source.endswith("world 1: 0.5 kg are missing from the mass balance")


def test_a_business_in_which_no_run_ends_is_told_so_and_no_more(
    scenario: Scenario, monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks(*arguments: object, **more: object) -> Run:
        raise RunError("a fault")

    monkeypatch.setattr(books, "play", breaks)
    (row,) = books.rows(scenario, worlds=2)
    assert not row.ok


def _tell_otherwise(monkeypatch: pytest.MonkeyPatch, name: str, passed: object) -> None:
    queues = tuple(queue._replace(passed=passed) if queue.name == name else queue for queue in flow.QUEUES)
    monkeypatch.setattr(books, "QUEUES", queues)
