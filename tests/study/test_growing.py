"""What holds a business back: known beforehand where one thing alone is short, and told as far as the runs reach."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from planner.engine import Batch, Failure, Outcome
from planner.scenario import Input, InputError, Scenario
from planner.study import load
from planner.study.growing import grow
from planner.study.growth import Growth
from planner.study.increments import Increment, increments
from tests.study.bound import SHORT, casters, scenario, short_of, town
from tests.study.dealt import Dealt

FIRST = {
    "burner": "burner",
    "supply": "shop: town",
    "buyers": "buyers: casters",
    "hours": "evening",
    "moulds": "mould",
}
"""What is to be grown first where this alone is short."""
LADDER = Path(__file__).with_name("ladder.yaml")
OF_THE_SAME = {"supply": {"filling: town"}, "hours": {"hour"}}
"""What else widens the same limit."""


@pytest.mark.parametrize("what", SHORT)
def test_what_alone_is_short_is_to_be_grown_first_and_all_else_is_worth_about_nothing(what: str) -> None:
    found = short_of(what)
    first = found.first
    assert first is not None
    assert first.key == FIRST[what]
    assert found.level_with_first == ()
    others = {one.key: one.gain.mean for one in found.worths[1:] if one.key not in OF_THE_SAME.get(what, ())}
    assert len(others) >= 10
    assert {key: gain for key, gain in others.items() if gain > 0.05 * first.gain.mean} == {}


def test_another_buyer_brings_what_one_buyer_buys() -> None:
    """10 kg at 4 a kg every 10 of 30 days; the first time is somewhere in the first ten."""
    (first, *_) = short_of("buyers").worths
    assert first.amount == 1.0
    assert first.per_unit.mean == pytest.approx(3 * 10 * 4.0, rel=1e-3)


def test_another_shop_brings_the_lead_of_its_buckets() -> None:
    """A bucket of 50 kg every five of 30 days, nine tenths of it lead, at 4 a kg."""
    (first, *_) = short_of("supply").worths
    assert first.per_unit.mean == pytest.approx(6 * 50 * 0.9 * 4.0, rel=1e-3)


def test_free_hours_bring_the_sales_that_they_have_room_for() -> None:
    """Of 10 kg at 4 a kg, three quarters of an hour each at a price of 1 an hour; four Saturdays, four Mondays.

    Four hours have room for five sales, five for six, and three for four.
    """
    worths = {one.key: one for one in short_of("hours").worths}
    sale = 10 * 4.0 - 0.75
    assert worths["hour"].amount == 1.0
    assert worths["hour"].gain.mean == pytest.approx(4 * sale, rel=1e-3)
    assert worths["evening"].amount == 3.0
    assert worths["evening"].gain.mean == pytest.approx(4 * 4 * sale, rel=1e-3)
    assert worths["evening"].per_unit.mean == pytest.approx(4 * 4 * sale / 3.0, rel=1e-3)


def test_a_second_mould_doubles_what_is_cast() -> None:
    found = short_of("moulds")
    assert found.worths[0].profit.mean == pytest.approx(found.profit.mean, rel=0.05)


def test_more_supply_brings_nothing_and_hours_bring_nothing_while_buyers_bind() -> None:
    few = {
        "owner": {
            "hours": {"tue": "18:00-22:00", "thu": "18:00-22:00", "sat": "08:00-16:00", "sun": "08:00-16:00"}
        }
    }
    found = grow(scenario(SHORT["buyers"], few), replicates=4)
    worths = {one.key: one for one in found.worths}
    assert found.first is not None
    assert found.first.key == "buyers: casters"
    assert all(
        abs(worths[key].gain.mean) < 0.1 * found.first.gain.mean for key in ("filling: town", "shop: town")
    )
    # whoever is served a day sooner comes back a day sooner
    assert all(abs(worths[key].gain.mean) < 0.04 * found.profit.mean for key in ("hour", "evening"))


def test_any_number_of_buyers_moves_what_is_to_be_grown_to_supply() -> None:
    few_shops = {"supply": town(3, 1, 5.0)}
    assert first_of(scenario(few_shops, {"demand": casters(40, 1)})) == "buyers: casters"
    assert first_of(scenario(few_shops, {"demand": casters(400, 200)})) == "shop: town"


def first_of(those: Scenario) -> str:
    found = grow(those, replicates=4).first
    assert found is not None
    return found.key


def test_a_price_is_told_where_an_option_changes_nothing_else() -> None:
    options = {
        "moulds": {"start_up_cost": "30 EUR", "changes": {"melting.moulds.count": 4}},
        "dear moulds": {"start_up_cost": "99 EUR", "changes": {"melting.moulds.count": 4}},
        "moulds and lid": {
            "start_up_cost": "1 EUR",
            "changes": {"melting.moulds.count": 4, "melting.lid": True},
        },
        "free": {"changes": {"melting.moulds.count": 9}},
    }
    found = grow(scenario(SHORT["moulds"], {"options": options}), replicates=3)
    worth = next(one for one in found.worths if one.key == "mould")
    assert worth.price is not None
    assert (worth.price.each, worth.price.option, worth.cost) == (10.0, "moulds", 10.0)
    assert worth.per_money is not None
    assert worth.per_money.mean == pytest.approx(worth.gain.mean / 10.0)
    assert found.first_for_money is worth
    assert all(one.price is None for one in found.worths if one is not worth)


def test_an_option_is_taken_before_anything_is_grown() -> None:
    """Else the option would overwrite what is tried."""
    options = {"strong": {"changes": {"melting.moulds.count": 4}}}
    those = scenario(SHORT["moulds"], {"options": options})
    assert those.taking("strong").business().melting.moulds.count == 4
    found = grow(those, "strong", replicates=3)
    base = grow(those, replicates=3)
    assert found.option == "strong"
    assert found.money.mean > 2.0 * base.money.mean
    assert {one.key: one for one in found.worths}["mould"].gain.mean > 0.0


def test_an_unknown_option_is_told(garden: Scenario) -> None:
    with pytest.raises(InputError, match="did you mean gift"):
        grow(garden, "gfit", replicates=2)


def test_what_a_scenario_does_not_have_is_left_out_and_told(garden: Scenario) -> None:
    left_out = {one.what: one.why for one in grow(garden, replicates=2).left_out}
    assert left_out["one more shop (town)"] == "all of its shops give already"
    assert left_out["light"] == "there is light at the pot already"
    assert left_out["a roof"] == "the pot does not stand in the open"
    assert "lifting index above 3.0" in left_out["lifting a tenth more at once"]


def test_models_of_other_packages_are_reached_by_the_keys_of_their_settings(garden: Scenario) -> None:
    written = garden.variants.written("as today", "expected")
    foreign = {
        "supply": [{"name": "farm", "model": "other.farm", "settings": {"barns": 3}}],
        "demand": [
            {"name": "fleet", "model": "other.fleet", "settings": {"season": 1.0}},
            {"name": "club", "model": "other.club", "settings": None},
        ],
    }
    found = list(increments(garden.business(), {**written, **foreign}, "EUR"))
    tried = {one.key for one in found if isinstance(one, Increment)}
    left_out = {one.what for one in found if not isinstance(one, Increment)}
    assert "buyers: fleet" in tried
    assert {"one more shop (farm)", "buckets that fill faster (farm)", "buyers (club)"} <= left_out
    assert not {"shop: farm", "filling: farm", "buyers: club"} & tried


def test_no_option_that_breaks_a_hard_limit_is_praised(garden: Scenario) -> None:
    found = grow(garden, "full buckets", replicates=2)
    assert [one.limit for one in found.refusals] == ["lifting"]


AS_IT_IS = "as it is"


class Grown(Dealt):
    """Deals out what each increment brings, by the path of its first input."""

    def __init__(self, brings: dict[str, float], noise: float = 1.0, fails: str = "") -> None:
        super().__init__({})
        self.gains, self.noise, self.failing = brings, noise, fails

    def run(self, batches):  # type: ignore[no-untyped-def]
        for batch in batches:
            yield tuple(self.dealt(batch, option) for option in batch.options)

    def dealt(self, batch: Batch, option: str) -> Outcome:
        (world,), path = batch.replicates, batch.inputs[0].path if batch.inputs else ""
        key = int.from_bytes(path.encode(), "little")
        own = float(np.random.default_rng((key, world)).normal(0.0, self.noise)) if path else 0.0
        self.brings[option] = lambda _: self.gains.get(path, 0.0) + own
        found = self.outcome(option, batch.outlook, world)
        if (path or AS_IT_IS) == self.failing and world == 1:
            found = replace(found, measures=(), failure=Failure("failed", "ValueError: no"))
        return replace(found, inputs=batch.inputs)


def dealt(
    those: Scenario, brings: dict[str, float], noise: float, worlds: int = 50, fails: str = ""
) -> Growth:
    return grow(those, replicates=worlds, engine=Grown(brings, noise, fails))


def verdicts(found: Growth) -> dict[str, str]:
    return {one.key: one.verdict for one in found.worths}


def test_what_surely_brings_most_comes_first_and_what_is_not_sure_is_said(garden: Scenario) -> None:
    brings = {
        "melting.burner.power": 90.0,
        "melting.moulds.count": 88.0,
        "cash.opening": 30.0,
        "fetching.every": -40.0,
    }
    found = dealt(garden, brings, noise=20.0)
    assert found.first is not None
    assert found.first.key == "burner"
    assert found.level_with_first == ("mould",)
    told = verdicts(found)
    assert (told["mould"], told["cash"], told["pickups"], told["stop"]) == ("more", "more", "less", "nothing")
    assert [one.key for one in found.worths][:3] == ["burner", "mould", "cash"]
    assert found.worths[-1].key == "pickups"


@pytest.mark.long
def test_noise_is_not_taken_for_worth(garden: Scenario) -> None:
    """In forty studies at 95 % about two may err; in none of these is anything worth anything."""
    erred = 0
    for study in range(40):
        told = verdicts(grow(garden, replicates=20, engine=Grown({}, 100.0 + study)))
        erred += bool({"more", "less"} & set(told.values()))
    assert erred <= 5


def test_too_few_worlds_tell_nothing(garden: Scenario) -> None:
    found = dealt(garden, {"melting.burner.power": 1e6}, 1.0, worlds=1)
    assert found.first is None
    assert set(verdicts(found).values()) == {"unsure"}


def test_a_failed_run_in_a_hundred_is_counted_and_told_and_leaves_the_other_worlds(garden: Scenario) -> None:
    found = dealt(garden, {"melting.burner.power": 90.0}, 1.0, worlds=100, fails="melting.burner.power")
    assert [one.replicate for one in found.failures] == [1]
    assert found.failures[0].repeat.startswith("planner grow garden.yaml")
    burner = next(one for one in found.worths if one.key == "burner")
    assert burner.gain.n == 99
    assert found.first is burner


def test_where_more_of_its_runs_fail_nothing_is_told_of_it(garden: Scenario) -> None:
    found = dealt(garden, {"melting.burner.power": 90.0}, 1.0, worlds=50, fails="melting.burner.power")
    assert "burner" not in verdicts(found)
    (left,) = [one for one in found.left_out if "kW stronger" in one.what]
    assert left.why == "1 of 50 runs with it or without it have no result"
    assert len(found.failures) == 1


def test_where_the_business_itself_has_no_result_nothing_is_told(garden: Scenario) -> None:
    found = dealt(garden, {"melting.burner.power": 90.0}, 1.0, worlds=50, fails=AS_IT_IS)
    assert (found.worths, found.first, found.base_failed) == ((), None, 1)


def test_a_hard_limit_that_stays_broken_keeps_everything_from_being_first(garden: Scenario) -> None:
    """A hand truck lifts what is too heavy by hand; nothing else does."""
    brings = {"melting.burner.power": 90.0, "melting.moulds.count": 60.0}
    found = grow(garden, "full buckets", replicates=50, engine=Grown(brings))
    assert verdicts(found)["burner"] == "more"
    assert [one.key for one in found.worths if one.allowed] == ["hand truck"]
    assert (found.first, found.level_with_first, found.first_for_money) == (None, (), None)
    helped = grow(garden, "full buckets", replicates=50, engine=Grown(brings | {"lifting.method": 20.0}))
    assert helped.first is not None
    assert helped.first.key == "hand truck"


def test_a_price_is_paid_back_in_the_days_that_a_gain_stands_for() -> None:
    """Four moulds for 60, so one for 15; a gain of 90 in 60 days pays it in 10 days, a third of a month."""
    found = dealt(load(LADDER), {"melting.moulds.count": 90.0}, 1.0)
    (mould,) = [one for one in found.worths if one.key == "mould"]
    assert mould.cost == 15.0
    assert mould.payback_months == pytest.approx(15.0 / mould.gain.mean * 12.0 * 60.0 / 365.0)
    assert next(one for one in found.worths if one.key == "burner").payback_months != mould.payback_months


def test_what_there_is_none_of_is_not_tried_in_tenths(garden: Scenario) -> None:
    found = dealt(garden.at([Input("fetching.scrap_at_most", "0 kg")]), {}, 1.0, worlds=2)
    assert "room" not in verdicts(found)
    (left,) = [one for one in found.left_out if one.what == "room for a tenth more weights at home"]
    assert left.why.startswith("there is none of it")


def test_a_gain_that_one_world_makes_is_said_to_be_lopsided(garden: Scenario) -> None:
    class Rare(Grown):
        def dealt(self, batch: Batch, option: str) -> Outcome:
            self.gains = {"cash.opening": 9000.0 if batch.replicates == (7,) else 0.0}
            return super().dealt(batch, option)

    found = grow(garden, replicates=50, engine=Rare({}))
    assert [one.key for one in found.worths if one.lopsided] == ["cash"]


@pytest.mark.long
def test_the_same_for_any_number_of_processes(garden: Scenario) -> None:
    assert grow(garden, replicates=12) == grow(garden, replicates=12, workers=2)
