"""Every kind of study keeps its runs, and goes on from them."""

from __future__ import annotations

import hashlib
import math
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from planner.engine import Batch, Failure, Here, Outcome, Store, StoreError
from planner.engine.player import Setting
from planner.report.stored import stored
from planner.scenario import Scenario
from planner.study import compare, grow, hinges_of, load
from planner.study.budget import BudgetError
from planner.study.climbing import climb
from planner.study.keeping import Keep
from planner.study.kept import kept_studies, page_files, remove_study, runs_table
from planner.study.month.asking import month
from planner.study.month.today import Given
from planner.study.stress import stress
from tests.engine.keeping import TOLD


class Counting(Here):
    """Plays in this process, counts what it plays, and is stopped after so many batches."""

    def __init__(self, scenario: Scenario, most: float = math.inf) -> None:
        super().__init__(Setting(scenario, scenario.study.seed))
        self.played, self.most = 0, most

    def play(self, batch: Batch) -> tuple[Outcome, ...]:
        if self.played >= self.most:
            raise KeyboardInterrupt
        self.played += batch.runs
        return super().play(batch)


@pytest.fixture(scope="module")
def short(root: Path) -> Scenario:
    return load(root / "tests" / "study" / "twelve_days.yaml")


@pytest.fixture(scope="module")
def ranged(root: Path) -> Scenario:
    return load(root / "tests" / "study" / "ranged.yaml")


Played = Callable[..., object]
STUDIES: dict[str, tuple[str, Played]] = {
    "compare": ("short", lambda s, **k: compare(s, replicates=3, outlooks=["expected", "half price"], **k)),
    "stress": (
        "short",
        lambda s, **k: stress(s, ["owner.hour_price=2 EUR/h..9 EUR/h"], points=3, replicates=2, **k),
    ),
    "grow": ("short", lambda s, **k: grow(s, replicates=2, **k)),
    "ladder": ("short", lambda s, **k: climb(s, money=20.0, **k)),
    "hinges": ("ranged", lambda s, **k: hinges_of(s, points=2, replicates=1, **k)),
}


def told(found: object) -> str:
    """Everything that was found, to the bit."""
    with np.printoptions(threshold=sys.maxsize, floatmode="unique"):
        return repr(found)


@pytest.mark.parametrize(
    "kind", [pytest.param(kind, marks=pytest.mark.long if kind == "hinges" else ()) for kind in STUDIES]
)
def test_stopped_in_the_middle_each_study_goes_on_and_ends_as_if_it_had_not_been(
    kind: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    name, play = STUDIES[kind]
    scenario: Scenario = request.getfixturevalue(name)
    path, whole = tmp_path / "runs.sqlite", Counting(scenario)
    plain = play(scenario, engine=whole)
    first, second, third = Counting(scenario, whole.played // 2), Counting(scenario), Counting(scenario)
    keep = Keep(path)
    with pytest.raises(KeyboardInterrupt):
        play(scenario, engine=first, store=keep)
    (row,) = kept_studies(path)
    assert (row.entry.finished, row.entry.told.command) == (None, kind)
    assert keep.kept == row.entry.kept == first.played > 0
    assert row.entry.wanted >= row.entry.kept
    assert told(play(scenario, engine=second, store=path)) == told(plain)
    assert told(play(scenario, engine=third, store=path)) == told(plain)
    assert (first.played + second.played, third.played) == (whole.played, 0)
    (row,) = kept_studies(path)
    assert row.entry.finished is not None
    assert row.entry.kept == row.entry.wanted == whole.played


def test_a_month_is_kept_too(short: Scenario, tmp_path: Path) -> None:
    given, path = Given(date(2026, 3, 4), date(2026, 4, 1)), tmp_path / "runs.sqlite"
    plain = month(short, given, replicates=2)
    for _ in range(2):
        assert told(month(short, given, replicates=2, store=path)) == told(plain)
    (row,) = kept_studies(path)
    assert dict(row.entry.told.arguments)["start"] == "2026-03-04"
    assert row.entry.kept == plain.runs


def test_stress_finds_the_runs_of_a_comparison_and_so_does_another_with_more_worlds(
    short: Scenario, tmp_path: Path
) -> None:
    path, more, along = tmp_path / "runs.sqlite", Counting(short), Counting(short)
    first = compare(short, replicates=3, store=path)
    compare(short, replicates=4, store=path, engine=more)
    assert more.played == 4
    # the price of an hour is never played: all points along it are the runs of the comparison
    stress(short, ["owner.hour_price=2 EUR/h..9 EUR/h"], points=3, replicates=4, store=path, engine=along)
    assert along.played == 0
    assert first.runs_played == 12


def test_a_table_of_a_study_has_every_run_with_its_figures(short: Scenario, tmp_path: Path) -> None:
    path = tmp_path / "runs.sqlite"
    study = compare(short, replicates=2, store=path)
    (row,) = kept_studies(path)
    table = runs_table(path, row.id)
    assert table.columns[:6] == ("option", "outlook", "inputs", "replicate", "status", "profit")
    assert [(one[0], one[3], one[4]) for one in table.rows if one[0] == "gift"] == [
        ("gift", 0, "ok"),
        ("gift", 1, "ok"),
    ]
    column = table.columns.index("profit_after_hours")
    assert [one[column] for one in table.rows if one[0] == "gift"] == study.sample.of("gift").tolist()


def test_a_page_is_drawn_from_what_is_kept_of_a_finished_comparison(short: Scenario, tmp_path: Path) -> None:
    keep = Keep(tmp_path / "runs.sqlite")
    study = compare(short, replicates=2, store=keep)
    with pytest.raises(StoreError, match="its command goes on from the runs that are kept"):
        page_files(keep.path, keep.digest[:9])
    keep.files(stored(study))
    assert page_files(keep.path, keep.digest[:9])[1] == stored(study)


def test_a_study_is_found_by_its_first_letters_and_what_is_there_is_told(tmp_path: Path) -> None:
    path = tmp_path / "runs.sqlite"
    for number in range(17):  # so many that two ids begin alike
        with Store(path) as store:
            store.begin(hashlib.sha256(b"%d" % number).hexdigest(), TOLD)
    rows = kept_studies(path)
    assert len({one.id for one in rows}) == 17
    twin = next(one for one in rows if sum(other.id[0] == one.id[0] for other in rows) > 1)
    with pytest.raises(
        StoreError, match=rf"'{twin.id[0]}' is the beginning of \d+ studies: .*; give more letters"
    ):
        remove_study(path, twin.id[0])
    with pytest.raises(StoreError, match=rf"begins with 'xyz'; there are: .*{twin.id} \(compare my.yaml\)"):
        remove_study(path, "xyz")
    with pytest.raises(StoreError, match="begins with ''"):
        remove_study(path, "")
    assert remove_study(path, twin.id)[0].entry == twin.entry
    assert len(kept_studies(path)) == 16


def test_a_study_that_came_to_nothing_is_not_told_of(short: Scenario, tmp_path: Path) -> None:
    path = tmp_path / "runs.sqlite"
    with pytest.raises(KeyboardInterrupt):
        compare(short, replicates=2, store=path, engine=Counting(short, 0))
    assert kept_studies(path) == ()


def test_where_nothing_may_be_written_a_study_that_may_does_without_and_says_so_once(
    short: Scenario, tmp_path: Path
) -> None:
    (tmp_path / "taken").write_text("")
    place, said = tmp_path / "taken" / "runs.sqlite", list[str]()
    study = compare(short, replicates=2, store=Keep(place, tell=said.append, optional=True))
    assert told(study) == told(compare(short, replicates=2))
    assert len(said) == 1
    assert said[0].startswith(
        f"Runs are not kept: runs cannot be kept in {place}: nothing may be written there"
    )
    with pytest.raises(StoreError, match="nothing may be written there; name another file") as error:
        compare(short, replicates=2, store=place)
    assert error.value.wrong_input


def test_a_failed_run_has_its_place_in_the_table(short: Scenario, tmp_path: Path) -> None:
    class Failing(Counting):
        def play(self, batch: Batch) -> tuple[Outcome, ...]:
            return tuple(
                Outcome(one.option, one.outlook, one.replicate, (), Failure("failed", "KeyError: wind"))
                if one.option == "gift"
                else one
                for one in super().play(batch)
            )

    path = tmp_path / "runs.sqlite"
    compare(short, replicates=2, store=path, engine=Failing(short))
    (row,) = kept_studies(path)
    table = runs_table(path, row.id)
    failed = [one for one in table.rows if one[4] != "ok"]
    assert [(one[0], one[4], one[-1]) for one in failed] == [("gift", "failed", "KeyError: wind")] * 2
    assert all(len(one) == len(table.columns) for one in table.rows)


def test_what_is_kept_is_not_waited_for_again(
    short: Scenario, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, again = tmp_path / "runs.sqlite", Counting(short)
    compare(short, replicates=3, store=path)
    monkeypatch.setattr("planner.study.foresight.RUN_S", 10_000.0)
    with pytest.raises(BudgetError, match="that a study may take"):
        compare(short, replicates=3, store=tmp_path / "other.sqlite")
    assert not (tmp_path / "other.sqlite").exists()
    compare(short, replicates=3, store=path, engine=again)
    assert again.played == 0
