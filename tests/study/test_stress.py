"""Inputs moved along a range: dealt results whose answers are known, and the small business in the garden."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from planner.engine import Batch, Outcome
from planner.scenario import Input, InputError, Scenario
from planner.scenario.axis import RangeError
from planner.study import load
from planner.study.along import Along, BreakEven
from planner.study.break_even import Crossing
from planner.study.standing import does_nothing, lead_axis, sells_untouched, untouched_and_nothing, yard_axis
from planner.study.stress import Stress, stress
from tests.study.dealt import Dealt, Inputs, around

MOST = "fetching.most_price=0 EUR..40 EUR"
BRINGS = {
    "as today": around(500.0, 10.0, name="as today"),
    "camp stove": around(300.0, 10.0, name="camp stove"),
    "full buckets": around(0.0),
    "gift": around(700.0, 10.0, name="gift"),
    "lucky charm": around(500.0, 10.0, name="as today"),
}


@pytest.fixture(scope="module")
def market() -> Scenario:
    return load(Path(__file__).with_name("market.yaml"))


def x_of(inputs: Inputs, path: str = "fetching.most_price") -> float:
    for one in inputs:
        if one.path == path:
            return float(re.match(r"[-\d.]+", str(one.value)).group())  # type: ignore[union-attr]
    return 0.0


def dealt(**slopes: float) -> Dealt:
    """Each option brings so much more for each EUR at which the most that is paid stands."""
    return Dealt(
        BRINGS, moved=lambda option, inputs: slopes.get(option.replace(" ", "_"), 0.0) * x_of(inputs)
    )


def along(scenario: Scenario, engine: Dealt | None, text: str = MOST, **words: Any) -> Along:
    (one,) = stress(scenario, [text], engine=engine, **words).alongs
    return one


def pair(found: Along, option: str, against: str = "as today") -> BreakEven:
    one = found.break_even(option, against)
    assert one is not None
    return one


def only(found: BreakEven) -> Crossing:
    (one,) = found.crossings
    return one


def test_an_option_that_loses_ten_a_euro_breaks_even_where_its_lead_is_used_up(market: Scenario) -> None:
    found = only(pair(along(market, dealt(gift=-10.0)), "gift"))
    lead = np.mean([BRINGS["gift"](world) - BRINGS["as today"](world) for world in range(50)])
    assert found.at == pytest.approx(lead / 10.0)
    assert found.low < 20.0 < found.high
    assert found.high - found.low < 1.5
    assert not found.rises


def test_the_best_changes_there_and_the_first_of_two_that_never_differ_is_named(market: Scenario) -> None:
    found = along(market, dealt(gift=-10.0))
    (change,) = found.changes
    assert (change.first, change.then) == ("gift", "as today")
    assert change.crossing.at == pytest.approx(only(pair(found, "gift")).at)
    assert [one.option for one in found.best] == ["gift"] * 4 + [found.best[4].option] + ["as today"] * 4
    assert all(one.sure for one in found.best if one.x not in (20.0,))
    assert found.best[0].gain.mean == pytest.approx(200.0, abs=10.0)


def test_a_third_option_that_is_best_only_between_two_points_is_found(market: Scenario) -> None:
    engine = dealt(
        gift=-17.0, camp_stove=+8.0
    )  # straight lines; "as today" is best from about 12 to about 25
    found = along(market, engine, points=2)
    assert [one.option for one in found.best] == ["gift", "camp stove"]
    assert [(one.first, one.then) for one in found.changes] == [
        ("gift", "as today"),
        ("as today", "camp stove"),
    ]
    assert [round(one.crossing.at) for one in found.changes] == [12, 25]


def test_near_a_crossing_only_the_two_concerned_are_played(market: Scenario) -> None:
    engine = Dealt(BRINGS, moved=lambda option, inputs: -0.3 * x_of(inputs) ** 2 if option == "gift" else 0.0)
    found = along(market, engine)
    further = [batch for batch in engine.asked if x_of(batch.inputs) not in found.points]
    assert further
    assert {name for batch in further for name in batch.options} == {"as today", "gift"}
    assert {len(batch.options) for batch in engine.asked if batch not in further} == {
        4
    }  # the refused one is not


def test_no_break_even_is_an_answer(market: Scenario) -> None:
    found = along(market, dealt(gift=-1.0))
    assert pair(found, "gift") == BreakEven("gift", "as today", "more", True, 0.0, 40.0)
    assert pair(found, "camp stove").ahead == "less"
    assert pair(found, "lucky charm").ahead == "same"
    assert found.changes == ()


def test_what_the_worlds_do_not_tell_is_not_called_sure(market: Scenario) -> None:
    close = BRINGS | {"gift": around(501.0, 60.0, name="other")}
    found = pair(along(market, Dealt(close)), "gift")
    assert (found.crossings, found.sure) == ((), False)


def test_break_evens_are_found_against_any_option_that_is_named(market: Scenario) -> None:
    found = along(market, dealt(gift=-10.0), against=["camp stove"])
    assert only(pair(found, "gift", "camp stove")).at == pytest.approx(40.0, abs=1.0)
    assert {one.against for one in found.break_evens} == {"as today", "camp stove"}


def test_only_the_options_that_are_asked_for_take_part(market: Scenario) -> None:
    engine = dealt(gift=-10.0)
    found = along(market, engine, options=["gift"])
    assert [one.option for one in found.courses] == ["as today", "gift"]
    assert {name for batch in engine.asked for name in batch.options} == {"as today", "gift"}


def test_bands_are_paired_differences(market: Scenario) -> None:
    found = along(market, dealt(gift=-10.0)).course("gift")
    assert found.gains[0].high - found.gains[0].low < 10.0  # the worlds' own spread of 100 is in both
    assert found.levels[0].high - found.levels[0].low > 40.0
    assert found.gains[0].mean - found.gains[8].mean == pytest.approx(400.0)


def test_an_option_that_sets_the_value_itself_does_not_feel_it(market: Scenario) -> None:
    path = "melting.burner.power"

    def moved(option: str, inputs: Inputs) -> float:
        return 0.0 if option == "camp stove" else 5.0 * x_of(inputs, path)

    found = along(market, Dealt(BRINGS, moved=moved), f"{path}=2 kW..20 kW")
    assert found.course("camp stove").unfelt == "sets it"
    assert found.course("gift").unfelt == ""
    still = along(market, dealt(gift=-10.0))
    assert still.course("camp stove").unfelt == "not touched"


def test_a_point_that_makes_the_business_impossible_is_told(market: Scenario) -> None:
    found = along(market, dealt(), "melting.pot.height=-4 cm..12 cm", points=5)
    gaps = [gap for gap in found.gaps if gap.state == "impossible"]
    assert {gap.option for gap in gaps} == set(BRINGS)
    assert all(-4.0 in gap.at and 12.0 not in gap.at and "height" in gap.why for gap in gaps)
    assert found.best[0].option is None
    assert found.best[-1].option is not None


def test_a_range_that_is_impossible_all_along_is_an_error(market: Scenario) -> None:
    with pytest.raises(InputError, match=r"nowhere along the range: .*hour_price"):
        stress(market, ["owner.hour_price=-9 EUR/h..-3 EUR/h"], engine=dealt())


def test_a_refused_option_has_no_figure_there_and_is_never_best(market: Scenario) -> None:
    found = along(market, dealt(gift=+1.0), "lifting.portion=20 kg..60 kg", points=5)
    refused = {gap.option: gap for gap in found.gaps if gap.state == "refused"}
    assert refused["gift"].at == (40.0, 50.0, 60.0)
    assert refused["gift"].why.startswith("lifting: ")
    assert [one.option is None for one in found.best] == [False, False, True, True, True]
    assert np.isnan(found.course("gift").gains[4].mean)


def test_failed_runs_are_told_and_their_point_takes_no_part(market: Scenario) -> None:
    engine = Dealt(BRINGS, fails=lambda option, world: option == "gift" and world == 3)
    found = stress(market, [MOST], engine=engine)
    (one,) = [gap for gap in found.alongs[0].gaps if gap.state == "failed"]
    assert (one.option, one.why, len(one.at)) == ("gift", "1 of 50 runs have no result", 9)
    assert pair(found.alongs[0], "gift").ahead == "nowhere"
    assert len(found.failures) == 9
    assert (
        "--set 'fetching.most_price=5 EUR'" in found.failures[1].repeat
        or "fetching.most_price" in found.failures[1].repeat
    )


class EnoughError(Exception):
    """It is known what is wanted."""


class Counted(Dealt):
    """Is asked for every point of a range, and plays nothing."""

    def run(self, batches: Sequence[Batch]) -> Iterator[tuple[Outcome, ...]]:
        self.asked += batches
        raise EnoughError


def test_worlds_are_as_many_as_go_into_the_runs_and_never_too_few(market: Scenario) -> None:
    def worlds(**words: Any) -> set[int]:
        engine = Counted(BRINGS)
        with pytest.raises(EnoughError):
            stress(market, engine=engine, **words)
        return {batch.replicates[0] for batch in engine.asked}

    assert len(worlds(ranges=[MOST])) == 50  # the scenario asks for no more
    assert len(worlds(ranges=[MOST], points=41)) == 3500 // (41 * 5)
    assert len(worlds(ranges=[MOST], points=101)) == 10
    assert len(worlds(ranges=[MOST], replicates=3)) == 3


def test_order_and_number_of_batches_do_not_matter(market: Scenario) -> None:
    slow = Dealt(BRINGS, moved=lambda option, inputs: -10.0 * x_of(inputs), backwards=True)
    quick = Dealt(BRINGS, moved=lambda option, inputs: -10.0 * x_of(inputs))
    assert repr(stress(market, [MOST], engine=slow)) == repr(stress(market, [MOST], engine=quick))


def test_a_map_names_the_best_at_every_place(market: Scenario) -> None:
    def moved(option: str, inputs: Inputs) -> float:
        return -10.0 * x_of(inputs) + 100.0 * x_of(inputs, "fetching.stops") if option == "gift" else 0.0

    found = stress(market, [MOST, "fetching.stops=1..5"], engine=Dealt(BRINGS, moved=moved)).map
    assert found is not None
    assert (found.columns, found.rows) == ((0.0, 10.0, 20.0, 30.0, 40.0), (1.0, 2.0, 3.0, 4.0, 5.0))
    best = {(cell.x, cell.y): cell.best for cell in found.cells}
    for (x, y), one in best.items():
        lead = 200.0 - 10.0 * x + 100.0 * y
        if abs(lead) > 20.0:
            assert (one.option, one.sure) == ("gift" if lead > 0.0 else "as today", True)
        else:
            assert not one.sure


@pytest.mark.parametrize(
    ("ranges", "says"),
    [
        ([MOST, MOST], "both ranges move fetching.most_price"),
        ([MOST] * 3, "3 ranges are too many"),
    ],
)
def test_ranges_that_make_no_map(market: Scenario, ranges: list[str], says: str) -> None:
    with pytest.raises(RangeError, match=says):
        stress(market, ranges, engine=dealt())


@pytest.mark.parametrize("words", [{"options": ["gfit"]}, {"against": ["gfit"]}])
def test_an_unknown_option_names_the_nearest(market: Scenario, words: dict[str, list[str]]) -> None:
    with pytest.raises(InputError, match=r"there is no option 'gfit'; did you mean gift\?"):
        stress(market, [MOST], engine=dealt(), **words)  # type: ignore[arg-type]


def test_an_unknown_outlook_is_an_error(market: Scenario) -> None:
    with pytest.raises(InputError, match=r"there is no outlook 'half prise'; did you mean half price\?"):
        stress(market, [MOST], engine=dealt(), outlook="half prise")


# the price of an hour


def working(option: str, world: int) -> dict[str, float]:
    money = BRINGS[option](world)
    return {"profit": money, "hours_h": 40.0, "profit_after_hours": money - 5.0 * 40.0}


def test_the_price_of_an_hour_is_played_once_and_exact(market: Scenario) -> None:
    def hours(option: str, world: int) -> dict[str, float]:
        money, worked = BRINGS[option](world), 60.0 if option == "gift" else 40.0
        return {"profit": money, "hours_h": worked, "profit_after_hours": money - 5.0 * worked}

    engine = Dealt(BRINGS, others=hours)
    found = along(market, engine, "owner.hour_price=0 EUR/h..20 EUR/h")
    lead = np.mean([BRINGS["gift"](world) - BRINGS["as today"](world) for world in range(50)])
    assert only(pair(found, "gift")).at == pytest.approx(lead / 20.0)
    assert {batch.inputs for batch in engine.asked} == {()}
    assert len(engine.asked) == 50


def test_what_an_owner_does_hangs_on_no_price_of_an_hour(garden: Scenario) -> None:
    def played(price: float) -> list[Any]:
        found = along(
            garden, None, f"owner.hour_price={price} EUR/h..{price + 1} EUR/h", points=2, replicates=2
        )
        return [one.levels[0].mean for one in found.courses]

    from planner.engine import Here, worlds
    from planner.engine.player import Setting
    from planner.study.sample import DECIDING
    from planner.workshop.measures import MEASURES

    names = [name for name in garden.options if name != "full buckets"]
    column = [one.name for one in MEASURES].index(DECIDING)
    batches = worlds(["expected"], range(2), names, inputs=(Input("owner.hour_price", "12 EUR/h"),))
    with Here(Setting(garden, garden.study.seed)) as engine:
        outcomes = [one for found in engine.run(batches) for one in found]
    mean = {name: np.mean([one.measures[column] for one in outcomes if one.option == name]) for name in names}
    exact = dict(zip(garden.options, played(12), strict=True))
    assert {name: exact[name] for name in names} == pytest.approx(mean)


# the standing questions


def answers(found: Stress) -> dict[str, Any]:
    return {one.question: one for one in found.answers}


def test_the_plain_alternatives_are_known_by_what_they_do(example: Path, market: Scenario) -> None:
    scenario = load(example)
    assert sells_untouched(scenario) == "sell untouched"
    assert does_nothing(scenario) == "do nothing"
    assert untouched_and_nothing(scenario, ("as today", "do nothing")) == ("do nothing",)
    assert (sells_untouched(market), does_nothing(market)) == (None, None)


def test_a_bucket_is_worth_what_it_leaves_over(market: Scenario) -> None:
    path = "supply.town.settings.typical.price"

    def moved(option: str, inputs: Inputs) -> float:
        return (
            -20.0 * (x_of(inputs, path) - 10.0) if inputs and any(one.path == path for one in inputs) else 0.0
        )

    engine = Dealt(BRINGS, others=lambda option, world: {"buckets": 20.0}, moved=moved)
    found = answers(stress(market, engine=engine))["bucket"]
    today = next(one for one in found.found if one.option == "as today")
    money = np.mean([BRINGS["as today"](world) for world in range(50)])
    assert only(today).at == pytest.approx(10.0 + money / 20.0)  # 20 buckets that now cost 10 each
    assert [one.option for one in found.found] == ["as today", "gift"]
    asked = {one.path: one.value for batch in engine.asked for one in batch.inputs if "price" in one.path}
    assert asked["supply.town.settings.typical.price_creep_share"] == 0.0
    assert (
        float(str(asked["fetching.most_price"]).split()[0]) > 100.0
    )  # what the owner pays at most is no limit


def test_you_stop_where_your_hours_cost_what_they_bring(market: Scenario) -> None:
    found = answers(stress(market, engine=Dealt(BRINGS, others=working)))["hour"]
    today = next(one for one in found.found if one.option == "as today")
    money = np.mean([BRINGS["as today"](world) for world in range(50)])
    assert only(today).at == pytest.approx(money / 40.0)


def test_yard_prices_at_which_an_option_stops_paying(market: Scenario) -> None:
    def moved(option: str, inputs: Inputs) -> float:
        return (
            400.0 * (float(inputs[0].value) - 1.0)
            if option == "gift" and inputs and inputs[0].way == "times"
            else 0.0
        )

    found = answers(stress(market, engine=Dealt(BRINGS, moved=moved)))["stops paying"]
    gift = next(one for one in found.found if one.option == "gift")
    assert only(gift).at == pytest.approx(0.5, abs=0.02)
    assert only(gift).rises


def test_what_a_scenario_lacks_is_not_asked_and_told(market: Scenario) -> None:
    found = answers(stress(market, engine=dealt()))
    assert found["melting or untouched"].missing == "no untouched"
    assert found["hour"].missing == "no hours"


def test_all_prices_of_the_yard_move_together(example: Path) -> None:
    axis = yard_axis(load(example))
    assert axis is not None
    assert [one.path for one in axis.levers] == [
        f"rates.settings.{good}.mean" for good in ("weights", "lead", "clips", "zinc", "steel", "dross")
    ]


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_bucket_of_another_lead_share_is_still_a_whole_bucket(example: Path, share: float) -> None:
    scenario = load(example)
    axis = lead_axis(scenario)
    assert axis is not None
    assert axis.today == pytest.approx(0.5)
    mix = scenario.at(axis.inputs(share)).business().supply[0].settings.typical.mix
    assert mix.clip_on_share + mix.stick_on_share == pytest.approx(share)
    assert sum(mix.shares) == pytest.approx(1.0, abs=1e-8)
    assert mix.clip_on_share / mix.stick_on_share == pytest.approx(4.0)


def test_batches_carry_what_is_moved(market: Scenario) -> None:
    engine = dealt()
    along(market, engine, points=2)
    first = engine.asked[0]
    assert isinstance(first, Batch)
    assert first.inputs == (Input("fetching.most_price", "0 EUR"),)
