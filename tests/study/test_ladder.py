"""The ladder, on results that are dealt out: what every set of options brings is known beforehand."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import chain, combinations
from pathlib import Path
from typing import Any
from zlib import crc32

import pytest

from planner.engine import Batch, Failure, Outcome
from planner.scenario import Input, Scenario, Taken
from planner.study import load
from planner.study.climbing import FIRST, FRESH, MOST, climb
from planner.study.ladder import Ladder
from planner.workshop.measures import MEASURES
from tests.study.dealt import Dealt, around

Options = frozenset[str]
LID, MOULDS, BURNER, BIG, SATURDAYS = "lid + screen", "moulds", "burner", "big burner", "Saturdays only"
ALL = (LID, MOULDS, BURNER, BIG, SATURDAYS)


@pytest.fixture(scope="module")
def scenario() -> Scenario:
    return load(Path(__file__).with_name("ladder.yaml"))


class Stacked(Dealt):
    """Deals out what options bring together."""

    def __init__(
        self,
        together: Callable[[Options], float],
        *,
        own: float = 15.0,
        lucky: Mapping[str, float] | None = None,
        others: Callable[[Options, int], Mapping[str, float]] = lambda options, world: {},
        fails: Callable[[Options, int], bool] = lambda options, world: False,
        backwards: bool = False,
    ) -> None:
        super().__init__({}, backwards=backwards)
        self.together, self.own, self.lucky = together, own, lucky or {}
        self.besides, self.breaks = others, fails

    def run(self, batches: Sequence[Batch]) -> Iterator[tuple[Outcome, ...]]:
        self.asked += batches
        for batch in reversed(batches) if self.backwards else batches:
            (world,) = batch.replicates
            yield tuple(self.dealt(option, batch, world) for option in batch.options)

    def dealt(self, option: str, batch: Batch, world: int) -> Outcome:
        taken = [one.option for one in batch.inputs if isinstance(one, Taken)]
        options = frozenset({*taken, option} - {"as today"})
        if self.breaks(options, world):
            failure = Failure("failed", "ValueError: no")
            return Outcome(option, batch.outlook, world, (), failure, inputs=batch.inputs)
        money = around(
            self.together(options), self.own, name=f"{crc32(repr(sorted(options)).encode()) % 10_000:04}"
        )(world)
        if world < MOST:
            money += sum(self.lucky.get(name, 0.0) for name in options)
        found = {"profit": money, "profit_after_hours": money, "hours_h": 100.0} | dict(
            self.besides(options, world)
        )
        values = tuple(found.get(one.name, 0.0) for one in MEASURES)
        return Outcome(option, batch.outlook, world, values, inputs=batch.inputs)


def adding(**gains: float) -> Callable[[Options], float]:
    """Each option brings its own, whatever else is done."""
    known = dict(zip(("lid", "moulds", "burner", "big", "saturdays"), ALL, strict=True))
    by_name = {known[short]: gain for short, gain in gains.items()}
    return lambda options: sum(by_name.get(name, -60.0) for name in options)


def climbed(scenario: Scenario, engine: Stacked, **asked: Any) -> Ladder:
    return climb(scenario, engine=engine, **asked)


def steps(found: Ladder) -> list[tuple[str, ...]]:
    return [rung.options for rung in found.rungs]


def best_of_all(together: Callable[[Options], float], money: float = 1e9) -> Options:
    """The best of all combinations that can be paid."""
    costs = {LID: 45.0, MOULDS: 60.0, BURNER: 90.0, BIG: 200.0, SATURDAYS: 0.0}
    every = chain.from_iterable(combinations(ALL, n) for n in range(len(ALL) + 1))
    affordable = [frozenset(one) for one in every if sum(costs[name] for name in one) <= money]
    return max(affordable, key=together)


def test_the_step_that_brings_most_comes_first_and_the_ladder_ends_where_nothing_is_worth_it(
    scenario: Scenario,
) -> None:
    together = adding(lid=150.0, moulds=80.0, saturdays=40.0, burner=6.0)
    found = climbed(scenario, Stacked(together))
    assert steps(found) == [(LID,), (MOULDS,), (SATURDAYS,)]
    assert found.stop.reason == "little"
    assert found.stop.looked_at is not None
    assert found.stop.looked_at.options == (BURNER,)
    for rung, gain in zip(found.rungs, (150.0, 80.0, 40.0), strict=True):
        assert rung.gain.low < gain < rung.gain.high


def test_the_gains_of_the_steps_add_up(scenario: Scenario) -> None:
    found = climbed(scenario, Stacked(adding(lid=150.0, moulds=80.0, saturdays=40.0)))
    total = 0.0
    for rung in found.rungs:
        total += rung.gain.mean
        assert rung.altogether.mean == pytest.approx(total)
        assert rung.after.after_hours - found.today.after_hours == pytest.approx(total)


@pytest.mark.parametrize(
    "together",
    [
        adding(lid=150.0, moulds=80.0, saturdays=40.0),
        adding(lid=-30.0, moulds=-30.0, saturdays=-40.0),
        lambda options: (
            400.0 * (1.0 - 0.5 ** len(options - {BIG})) - 35.0 * len(options) - 200.0 * (BIG in options)
        ),
    ],
    ids=["each brings its own", "none is worth it", "each brings less than the one before"],
)
def test_the_ladder_ends_at_the_best_of_all_combinations_or_less_than_is_cared_about_behind_it(
    scenario: Scenario, together: Callable[[Options], float]
) -> None:
    found = climbed(scenario, Stacked(together, own=4.0))
    behind = together(best_of_all(together)) - together(frozenset(chain(*steps(found))))
    assert behind < scenario.study.worth_caring_about


def test_two_that_pay_only_together_are_one_step(scenario: Scenario) -> None:
    def together(options: Options) -> float:
        return 180.0 * ({LID, SATURDAYS} <= options) - 30.0 * len(options)

    found = climbed(scenario, Stacked(together))
    assert steps(found) == [(LID, SATURDAYS)]
    assert (found.rungs[0].cost, found.rungs[0].resale) == (45.0, 5.0)
    assert frozenset(found.rungs[0].options) == best_of_all(together)


def test_three_that_pay_only_together_are_not_found(scenario: Scenario) -> None:
    def together(options: Options) -> float:
        return 400.0 * ({LID, MOULDS, SATURDAYS} <= options) - 30.0 * len(options)

    assert steps(climbed(scenario, Stacked(together))) == []
    assert best_of_all(together) == {LID, MOULDS, SATURDAYS}


def test_no_more_than_the_sum_is_spent_and_what_is_too_dear_is_named(scenario: Scenario) -> None:
    together = adding(lid=100.0, moulds=80.0, burner=120.0, big=300.0)
    found = climbed(scenario, Stacked(together), money=160.0)
    assert steps(found) == [(BURNER,), (LID,)]
    assert [(rung.spent, rung.left) for rung in found.rungs] == [(90.0, 70.0), (135.0, 25.0)]
    assert {one.option: one.cost for one in found.too_dear} == {MOULDS: 60.0, BIG: 200.0}


def test_a_dear_step_may_leave_too_little_for_two_that_bring_more(scenario: Scenario) -> None:
    together = adding(lid=100.0, moulds=80.0, burner=120.0)
    assert steps(climbed(scenario, Stacked(together), money=110.0)) == [(BURNER,)]
    assert best_of_all(together, money=110.0) == {LID, MOULDS}


def test_for_who_has_less_the_best_of_what_costs_less_is_named_beside_a_step(scenario: Scenario) -> None:
    found = climbed(scenario, Stacked(adding(big=300.0, burner=120.0, lid=100.0, saturdays=70.0)))
    assert steps(found) == [(BIG,), (BURNER,), (SATURDAYS,)]
    first, second, third = (rung.cheaper for rung in found.rungs)
    assert first is not None
    assert (first.options, first.cost) == ((BURNER,), 90.0)
    assert first.gain.low < 120.0 < first.gain.high
    assert second is not None
    assert (second.options, second.cost) == ((LID,), 45.0)
    assert third is None


def test_what_costs_less_and_is_not_worth_it_is_not_named(scenario: Scenario) -> None:
    found = climbed(scenario, Stacked(adding(big=300.0, burner=15.0, saturdays=-5.0), own=4.0))
    assert steps(found) == [(BIG,)]
    assert found.rungs[0].cheaper is None


def test_a_ladder_ends_where_all_that_is_left_is_too_dear(scenario: Scenario) -> None:
    found = climbed(scenario, Stacked(adding(saturdays=90.0, lid=500.0)), money=10.0)
    assert steps(found) == [(SATURDAYS,)]
    assert (found.stop.reason, found.stop.looked_at) == ("money", None)


def test_without_a_sum_the_cash_at_the_start_less_the_reserve_may_be_spent(scenario: Scenario) -> None:
    found = climbed(scenario, Stacked(adding()))
    assert (found.sum, found.sum_given) == (300.0, False)
    reserve = Input("cash.reserve", "120 EUR")
    assert climbed(scenario, Stacked(adding()), inputs=[reserve]).sum == 180.0


def test_what_was_lucky_in_the_worlds_of_the_picking_is_no_step(scenario: Scenario) -> None:
    found = climbed(scenario, Stacked(adding(lid=0.0), lucky={LID: 300.0}))
    assert steps(found) == []
    assert found.stop.looked_at is not None
    assert found.stop.looked_at.options == (LID,)
    assert found.stop.looked_at.gain.mean == pytest.approx(0.0, abs=10.0)


def test_a_step_that_cannot_be_told_from_nothing_is_not_taken(scenario: Scenario) -> None:
    found = climbed(scenario, Stacked(adding(lid=25.0), own=200.0))
    assert steps(found) == []
    assert found.stop.reason == "cannot tell"


def test_losers_are_played_in_the_first_worlds_only_and_the_chosen_in_fresh_ones(scenario: Scenario) -> None:
    engine = Stacked(adding(lid=300.0, moulds=-400.0))
    climbed(scenario, engine)
    first = [batch for batch in engine.asked if not batch.inputs]
    worlds = {name: sorted(b.replicates[0] for b in first if name in b.options) for name in (MOULDS, LID)}
    assert worlds[MOULDS] == list(range(FIRST))
    assert worlds[LID] == [*range(FIRST), *range(MOST, MOST + FRESH)]


def test_no_result_hangs_on_the_order_in_which_runs_come(scenario: Scenario) -> None:
    together = adding(lid=60.0, moulds=55.0, saturdays=30.0)
    one = climbed(scenario, Stacked(together, own=60.0))
    assert climbed(scenario, Stacked(together, own=60.0, backwards=True)) == one


@pytest.mark.long
def test_with_two_processes_the_garden_has_the_same_ladder_to_the_bit(scenario: Scenario) -> None:
    assert climb(scenario, workers=2) == climb(scenario)


def test_a_step_that_runs_out_of_cash_is_set_aside_and_the_next_is_taken(scenario: Scenario) -> None:
    def others(options: Options, world: int) -> dict[str, float]:
        return {"lowest_cash": -5.0 if LID in options and world % 3 == 0 else 5.0}

    found = climbed(scenario, Stacked(adding(lid=300.0, moulds=90.0), others=others))
    assert steps(found) == [(MOULDS,)]
    (aside,) = [one for one in found.set_aside if one.option == LID]
    assert (aside.why, aside.words.partition(":")[0]) == ("refused", "cash")


def test_a_step_whose_runs_fail_is_set_aside_and_its_failures_are_told(scenario: Scenario) -> None:
    found = climbed(
        scenario,
        Stacked(
            adding(lid=300.0, moulds=90.0),
            fails=lambda options, world: LID in options and world == MOST + 7,
        ),
    )
    assert steps(found) == [(MOULDS,)]
    assert {one.option: one.why for one in found.set_aside}[LID] == "failed runs"
    assert f"--option '{LID}'" in found.failures[0].repeat
    assert found.failures[-1].repeat.endswith(f"--seed 4 --replicate {MOST + 7}")


def test_a_pair_that_runs_out_of_cash_is_not_taken_and_the_next_pair_is(scenario: Scenario) -> None:
    def together(options: Options) -> float:
        pays = 250.0 * ({LID, SATURDAYS} <= options) + 180.0 * ({MOULDS, SATURDAYS} <= options)
        return pays - 30.0 * len(options)

    def others(options: Options, world: int) -> dict[str, float]:
        return {"lowest_cash": -5.0 if {LID, SATURDAYS} <= options else 5.0}

    found = climbed(scenario, Stacked(together, others=others))
    assert steps(found) == [(MOULDS, SATURDAYS)]


def test_what_makes_no_business_or_breaks_a_limit_by_its_settings_is_told_and_not_played(
    tmp_path: Path,
) -> None:
    folder = Path(__file__).parent
    for name in ("garden.yaml", "ladder.yaml"):
        (tmp_path / name).write_text((folder / name).read_text(encoding="utf-8"), encoding="utf-8")
    text = (tmp_path / "ladder.yaml").read_text(encoding="utf-8").replace("  full buckets: none\n", "")
    more = (
        "  soap: {changes: {costs: {append: {name: soap, amount: 1 EUR, per: month}}}}\n  "
        "more soap: {changes: {costs: {append: {name: soap, amount: 2 EUR, per: month}}}}\n\nstudy:"
    )
    (tmp_path / "ladder.yaml").write_text(text.replace("\nstudy:", more), encoding="utf-8")
    engine = Stacked(lambda options: 100.0 * ("soap" in options) - 60.0 * len(options - {"soap"}))
    found = climb(load(tmp_path / "ladder.yaml"), engine=engine)
    assert steps(found) == [("soap",)]
    told = {one.option: (one.why, one.after) for one in found.set_aside}
    assert told["more soap"] == ("impossible", ("soap",))
    assert told["full buckets"] == ("refused", ("soap",))
    assert "full buckets" not in {name for batch in engine.asked for name in batch.options}


def test_what_is_done_today_must_be_allowed_before_anything_is_built_on_it(scenario: Scenario) -> None:
    found = climb(scenario, engine=Stacked(adding(lid=300.0)), inputs=[Input("lifting.portion", "60 kg")])
    assert (found.stop.reason, steps(found)) == ("refused", [])


def test_a_step_that_the_last_one_makes_superfluous_is_named(scenario: Scenario) -> None:
    known = {
        frozenset({BURNER}): 300.0,
        frozenset({BIG}): 200.0,
        frozenset({BURNER, LID}): 360.0,
        frozenset({BIG, LID}): 395.0,
        frozenset({BURNER, BIG, LID}): 400.0,
    }
    found = climbed(
        scenario, Stacked(lambda options: known.get(options, -50.0 * len(options)), own=6.0), money=400.0
    )
    assert steps(found) == [(BURNER,), (LID,), (BIG,)]
    assert found.rungs[2].replaces == (BURNER,)
    (spare,) = found.spares
    assert (spare.options, spare.cost) == ((BURNER,), 90.0)
    assert spare.gain.low < -5.0 < spare.gain.high


def test_between_which_prices_of_an_hour_a_step_pays_is_exact(scenario: Scenario) -> None:
    def others(options: Options, world: int) -> dict[str, float]:
        hours = 100.0 + 20.0 * (LID in options) - 30.0 * (SATURDAYS in options)
        money = 500.0 + 300.0 * (LID in options) - 60.0 * (SATURDAYS in options)
        return {"hours_h": hours, "profit": money, "profit_after_hours": money - 5.0 * hours}

    found = climbed(scenario, Stacked(adding(), others=others))
    first, second = found.rungs
    assert (first.options, first.hour_price_low, first.hour_price_high) == ((LID,), None, pytest.approx(15.0))
    assert (second.options, second.hour_price_low) == ((SATURDAYS,), pytest.approx(2.0))
    assert second.hour_price_high is None
