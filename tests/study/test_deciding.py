from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from planner.scenario import Scenario
from planner.study import BudgetError, Study, compare, load, tables
from planner.study.budget import Budget, Purse
from planner.study.deciding import fresh_worlds
from planner.study.findings import Rule
from tests.study.dealt import Brings, Dealt, around

FIRST = 50


@pytest.fixture(scope="module")
def market() -> Scenario:
    """Options: as today, camp stove, full buckets (refused), gift, lucky charm."""
    return load(Path(__file__).with_name("market.yaml"))


def brings(gift: float, charm: float, own: float = 60.0, stove: float = -300.0) -> dict[str, Brings]:
    return {
        "as today": around(0.0, own, name="today"),
        "camp stove": around(stove, own, name="stove"),
        "gift": around(gift, own, name="gift"),
        "lucky charm": around(charm, own, name="charm"),
    }


def played(market: Scenario, engine: Dealt, **asked: Any) -> Study:
    return compare(market, engine=engine, **asked)


def test_what_surely_loses_is_played_no_longer_and_the_winner_is_confirmed_in_fresh_worlds(
    market: Scenario,
) -> None:
    engine = Dealt(brings(gift=500.0, charm=-200.0, own=20.0))
    study = played(market, engine)
    assert (study.findings.verdict, study.findings.best) == ("best", "gift")
    assert study.choice is not None
    assert study.fresh is not None
    assert engine.worlds("camp stove") == engine.worlds("lucky charm") == list(range(FIRST))
    assert engine.worlds("full buckets") == []
    afresh = list(range(FIRST, FIRST + study.fresh.worlds))
    assert engine.worlds("gift") == engine.worlds("as today") == [*range(FIRST), *afresh]
    assert (study.choice.ended, study.choice.survivors, study.choice.runs) == (
        "one left",
        ("gift",),
        4 * FIRST,
    )
    assert {one.option: one.beaten_by for one in study.choice.standings}["lucky charm"] == "gift"
    assert study.further is not None
    assert study.further.worlds == 0


def test_the_gain_is_told_from_the_fresh_worlds_alone(market: Scenario) -> None:
    study = played(market, Dealt(brings(gift=500.0, charm=-200.0, own=20.0)))
    gain, fresh = study.findings.gain, study.fresh
    assert gain is not None
    assert fresh is not None
    assert fresh.options == ("as today", "gift")  # "as today" is the next in line as well
    lead = fresh.of("gift") - fresh.of("as today")
    assert (gain.mean, gain.n) == (pytest.approx(lead.mean()), fresh.worlds)
    assert gain.mean != pytest.approx(study.difference("gift", "profit_after_hours").mean, abs=1e-6)
    assert study.seen("gift") is fresh
    assert study.seen("camp stove") is study.sample


def test_options_that_lie_close_are_played_on_until_one_is_left(market: Scenario) -> None:
    engine = Dealt(brings(gift=500.0, charm=480.0, own=100.0))
    study = played(market, engine)
    choice, fresh = study.choice, study.fresh
    assert choice is not None
    assert fresh is not None
    assert (study.findings.best, study.findings.runner_up) == ("gift", "lucky charm")
    worlds = {one.option: one.worlds for one in choice.standings}
    assert worlds["camp stove"] == worlds["as today"] == FIRST
    assert worlds["gift"] == worlds["lucky charm"] > FIRST
    assert worlds["gift"] % 5 == 0
    assert engine.worlds("camp stove") == list(range(FIRST))
    assert engine.worlds("lucky charm") == list(range(worlds["gift"] + fresh.worlds))
    assert fresh.first_world == worlds["gift"]
    assert fresh.options == ("as today", "gift", "lucky charm")
    ahead = study.findings.ahead
    assert ahead is not None
    assert ahead.mean == pytest.approx((fresh.of("gift") - fresh.of("lucky charm")).mean())


def test_every_option_meets_the_same_fixed_worlds_under_every_other_outlook(market: Scenario) -> None:
    engine = Dealt(brings(gift=500.0, charm=470.0))
    study = played(market, engine, outlooks=["expected", "half price"])
    for name in ("as today", "camp stove", "gift", "lucky charm"):
        assert engine.worlds(name, "half price") == list(range(FIRST))
    assert not np.isnan(study.outlook_map.value[[0, 1, 3, 4]]).any()


def test_which_runs_there_are_hangs_neither_on_workers_nor_on_the_order_in_which_they_come(
    market: Scenario,
) -> None:
    one = played(market, Dealt(brings(gift=500.0, charm=480.0, own=100.0)))
    other = played(market, Dealt(brings(gift=500.0, charm=480.0, own=100.0), backwards=True))
    assert other.choice == one.choice
    assert other.findings == one.findings
    assert repr(tables.runs(other)) == repr(tables.runs(one))


@pytest.mark.long
def test_with_two_processes_the_garden_is_decided_to_the_same_bits(market: Scenario) -> None:
    one, two = compare(market), compare(market, workers=2)
    assert repr(tables.runs(one)) == repr(tables.runs(two))
    assert (one.findings, one.choice) == (two.findings, two.choice)
    assert one.findings.best == "gift"


def test_a_spent_budget_says_what_cannot_be_told_apart_and_how_many_runs_more_it_would_take(
    market: Scenario,
) -> None:
    engine = Dealt(brings(gift=500.0, charm=497.0, own=120.0))
    study = played(market, engine, budget=500)
    choice = study.choice
    assert choice is not None
    assert (study.findings.verdict, study.findings.best) == ("cannot tell", None)
    assert set(study.findings.contenders) == {"gift", "lucky charm"}
    assert (choice.ended, choice.most_runs) == ("budget spent", 500)
    assert study.runs_played <= 500
    assert choice.worlds_needed is not None
    assert choice.runs_needed == 2 * (choice.worlds_needed - choice.worlds)
    enough = played(market, engine, budget=study.runs_played + 2 * choice.runs_needed)
    assert enough.findings.verdict == "best"


def test_a_budget_that_does_not_cover_the_first_worlds_says_what_would(market: Scenario) -> None:
    with pytest.raises(BudgetError, match="a budget of 300 runs is not enough: 350 are needed at least"):
        played(market, Dealt(brings(gift=500.0, charm=0.0)), budget=300)


def test_the_budget_may_stand_in_the_scenario(tmp_path: Path) -> None:
    folder = Path(__file__).parent
    for name in ("garden.yaml", "market.yaml"):
        text = (folder / name).read_text(encoding="utf-8")
        (tmp_path / name).write_text(text.replace("  replicates: 50\n", "  replicates: 50\n  budget: 400\n"))
    found = compare(load(tmp_path / "market.yaml"), engine=Dealt(brings(gift=500.0, charm=497.0, own=120.0)))
    assert found.choice is not None
    assert found.choice.most_runs == 400


def test_a_gain_smaller_than_what_is_cared_about_is_no_reason_to_change(market: Scenario) -> None:
    study = played(market, Dealt(brings(gift=8.0, charm=-200.0, own=4.0)))
    found = study.findings
    assert study.choice is not None
    assert study.choice.survivors == ("gift",)
    assert (found.verdict, found.best, found.runner_up, found.close) == (
        "best",
        "as today",
        "gift",
        ("gift",),
    )
    assert found.ahead is not None
    assert found.ahead.mean == pytest.approx(-8.0, abs=2.0)


def test_an_option_as_good_as_the_best_is_named(market: Scenario) -> None:
    study = played(market, Dealt(brings(gift=500.0, charm=496.0, own=6.0)))
    assert (study.findings.verdict, study.findings.close) == ("best", ("lucky charm",))


def test_fresh_worlds_that_do_not_bear_the_choice_out_are_no_recommendation(market: Scenario) -> None:
    def lucky(world: int) -> float:
        return 500.0 if world < FIRST else 0.0

    dealt = brings(gift=0.0, charm=-200.0, own=200.0) | {"gift": lucky}
    found = played(market, Dealt(dealt)).findings
    assert (found.verdict, found.best, found.unconfirmed) == ("cannot tell", None, True)
    assert found.contenders == ("gift", "as today")


def test_options_that_never_differ_are_played_as_one(market: Scenario) -> None:
    dealt = brings(gift=500.0, charm=0.0)
    engine = Dealt(dealt | {"lucky charm": dealt["gift"]})
    study = played(market, engine)
    assert study.findings.identical == (("gift", "lucky charm"),)
    assert study.findings.best == "gift"
    assert engine.worlds("lucky charm") == list(range(FIRST))
    assert study.choice is not None
    assert "lucky charm" not in {one.option for one in study.choice.standings}


def test_runs_that_fail_late_block_a_recommendation_and_are_counted(market: Scenario) -> None:
    def fails(option: str, world: int) -> bool:
        return option == "gift" and FIRST <= world < FIRST + 3

    study = played(market, Dealt(brings(gift=500.0, charm=480.0, own=120.0), fails=fails))
    assert (study.findings.verdict, study.findings.blocked_by) == ("failed runs", "gift")
    assert dict(study.findings.failed) == {"gift": 3}
    assert [one.replicate for one in study.failures] == [50, 51, 52]
    assert study.fresh is None


def test_one_failed_run_of_many_blocks_nothing_and_drops_no_world(market: Scenario) -> None:
    def fails(option: str, world: int) -> bool:
        return option == "gift" and world == 120

    engine = Dealt(brings(gift=500.0, charm=480.0, own=100.0), fails=fails)
    study = played(market, engine)
    assert study.findings.verdict == "best"
    assert 120 in engine.worlds("gift")
    assert [one.replicate for one in study.failures] == [120]
    assert study.worlds_of("gift") == len(engine.worlds("gift"))


def test_a_leader_that_runs_out_of_cash_in_further_worlds_is_refused_and_the_choice_goes_on(
    market: Scenario,
) -> None:
    def others(option: str, world: int) -> dict[str, float]:
        return {"lowest_cash": -5.0 if option == "gift" and world >= FIRST else 5.0}

    engine = Dealt(brings(gift=500.0, charm=300.0, own=20.0), others=others)
    study = played(market, engine)
    assert [one.limit for one in study.refusals["gift", "expected"]] == ["cash"]
    assert study.findings.best == "lucky charm"
    assert study.choice is not None
    assert "gift" not in {one.option for one in study.choice.standings}
    rows = tables.runs(study).rows
    assert len(rows) == study.runs_played == sum(len(engine.worlds(name)) for name in study.names)


@pytest.mark.parametrize("name", ["as today", "lucky charm"])
def test_the_base_or_a_next_best_that_runs_out_of_cash_in_fresh_worlds_is_refused_too(
    market: Scenario, name: str
) -> None:
    def others(option: str, world: int) -> dict[str, float]:
        return {"lowest_cash": -5.0 if option == name and world >= FIRST else 5.0}

    study = played(market, Dealt(brings(gift=500.0, charm=496.0, own=6.0), others=others))
    assert [one.limit for one in study.refusals[name, "expected"]] == ["cash"]
    assert study.findings.best == "gift"
    assert name not in (study.findings.runner_up, *study.findings.close)


def test_a_next_best_that_may_be_far_better_is_not_called_as_good(market: Scenario) -> None:
    def charm(world: int) -> float:
        mean, own = (480.0, 20.0) if world < FIRST else (490.0, 80.0)
        return around(mean, own, name="charm")(world)

    found = played(market, Dealt(brings(gift=500.0, charm=0.0, own=20.0) | {"lucky charm": charm})).findings
    assert found.ahead is not None
    assert found.ahead.low < -20.0 < 0.0 < found.ahead.high < 20.0
    assert (found.best, found.close) == ("gift", ())


def test_failures_of_all_worlds_that_make_one_value_end_the_choice(market: Scenario) -> None:
    def fails(option: str, world: int) -> bool:
        return option == "gift" and 600 <= world < 605

    rows = brings(gift=500.0, charm=499.9, own=300.0)
    long = replace(market, study=market.study.model_copy(update={"replicates": 600}))
    study = played(long, Dealt(rows, fails=fails))
    assert study.choice is not None
    assert (study.choice.ended, study.findings.verdict) == ("failed runs", "failed runs")
    assert study.findings.blocked_by == "gift"


def test_so_many_worlds_and_no_more_is_a_comparison_without_a_choice(market: Scenario) -> None:
    engine = Dealt(brings(gift=500.0, charm=497.0))
    study = played(market, engine, replicates=60)
    assert study.choice is study.fresh is study.further is None
    assert engine.worlds("camp stove") == engine.worlds("gift") == list(range(60))


def test_too_few_first_worlds_choose_nothing(market: Scenario, garden: Scenario) -> None:
    assert compare(garden).choice is None
    assert compare(garden).findings.verdict == "too few runs"


def test_only_one_of_worlds_runs_and_minutes_may_be_given(market: Scenario) -> None:
    with pytest.raises(ValueError, match="one of replicates, budget and minutes"):
        compare(market, replicates=5, budget=1000)


@pytest.mark.parametrize("minutes", [-1.0, float("nan"), float("inf")])
def test_minutes_that_are_no_time_are_refused(market: Scenario, minutes: float) -> None:
    with pytest.raises(ValueError, match="minutes must be a number"):
        compare(market, minutes=minutes)


def test_minutes_are_spent_at_the_pace_at_which_runs_are_played() -> None:
    now = [0.0]
    purse = Purse(Budget(minutes=2.0), 100, clock=lambda: now[0])
    now[0] = 30.0
    assert purse.left(300) == 900
    now[0] = 121.0
    assert purse.left(1200) == 0
    assert not Budget(minutes=2.0).repeatable
    assert Budget(runs=100).repeatable


def test_minutes_that_are_over_end_a_choice_but_not_its_confirmation(market: Scenario) -> None:
    study = played(market, Dealt(brings(gift=500.0, charm=498.0, own=120.0)), minutes=1e-6)
    assert study.findings.verdict == "cannot tell"
    assert study.choice is not None
    assert study.choice.worlds == FIRST
    assert study.fresh is not None
    assert study.fresh.worlds == FIRST


def test_fresh_worlds_are_as_many_as_the_mean_needs_within_bounds() -> None:
    rule, rng = Rule("as today", 0.95, 50.0), np.random.default_rng(1)
    lead = rng.normal(0.0, 1.0, 50)
    lead = (lead - lead.mean()) / lead.std(ddof=1)
    assert fresh_worlds([lead], rule) == 50
    assert fresh_worlds([1e6 * lead], rule) == 200
    middle = fresh_worlds([120.0 * lead], rule)
    assert middle == pytest.approx((2.0096 * 120.0 / 25.0) ** 2, abs=10)  # t of 49 degrees of freedom


def test_worlds_that_lie_lopsided_are_told_as_such(market: Scenario) -> None:
    def seldom(world: int) -> float:
        return 300.0 + (4000.0 if world % 25 == 3 else 0.0)

    even = played(market, Dealt(brings(gift=500.0, charm=0.0))).choice
    odd = played(market, Dealt(brings(gift=0.0, charm=0.0) | {"gift": seldom})).choice
    assert even is not None
    assert odd is not None
    assert not even.lopsided
    assert odd.lopsided
    assert odd.skewness > 2.0


def test_a_choice_made_again_keeps_within_its_budget_and_plays_no_fresh_world_twice(market: Scenario) -> None:
    def others(option: str, world: int) -> dict[str, float]:
        return {"lowest_cash": -5.0 if option == "gift" and world >= FIRST else 5.0}

    dealt = brings(gift=500.0, charm=300.0, own=20.0, stove=250.0)
    tight = played(market, Dealt(dealt, others=others), budget=350)
    assert tight.runs_played <= 350
    assert (tight.findings.verdict, tight.findings.unconfirmed, tight.fresh) == ("cannot tell", True, None)
    assert tight.findings.contenders[0] == "lucky charm"
    engine = Dealt(dealt, others=others)
    enough = played(market, engine, budget=500)
    assert (enough.findings.best, enough.findings.runner_up) == ("lucky charm", "camp stove")
    for name in enough.names:
        assert len(engine.worlds(name)) == len(set(engine.worlds(name)))
    rows = tables.runs(enough).rows
    assert len(rows) == enough.runs_played == sum(len(engine.worlds(name)) for name in enough.names)
    assert len({row[:3] for row in rows}) == len(rows)
