"""The questions of a month, asked of businesses whose answers are known."""

from __future__ import annotations

import shutil
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from math import isnan
from pathlib import Path

import pytest

from planner.engine.player import Setting
from planner.scenario import InputError, Scenario
from planner.study import load
from planner.study.month import asking, questions
from planner.study.month.answers import Month
from planner.study.month.asked_of import asked_of, at_today
from planner.study.month.asking import month
from planner.study.month.today import Given, Today, day_told, last_day, season_end
from tests.study.dealt import Brings, Dealt, around

START = date(2026, 3, 2)
SPRING = Given(START, date(2026, 4, 30))
YARD_PER_KG = 0.46
"""What the garden's yard pays for weights, always."""

Made = Callable[[str], Scenario]


@pytest.fixture
def made(tmp_path: Path) -> Made:
    """The garden with some keys of its own."""

    def make(text: str) -> Scenario:
        shutil.copy(Path(__file__).with_name("garden.yaml"), tmp_path)
        own = tmp_path / "own.yaml"
        own.write_text(f"title: Own\ncurrency: EUR\nextends: garden.yaml\n{text}", encoding="utf-8")
        return load(own)

    return make


def deal(scenario: Scenario, brings: Mapping[str, Brings], worlds: int = 60) -> Month:
    """A month whose questions bring what was agreed on; all others bring nothing more than today."""
    dealt = defaultdict(lambda: around(100.0), brings)
    return month(scenario, SPRING, replicates=worlds, engine=Dealt(dealt))


def more(amount: float) -> Brings:
    """So much more than today in every world, give or take one."""
    return around(100.0 + amount, own=1.0, name=f"{amount}")


def questioned(scenario: Scenario, given: Given) -> tuple[Scenario, questions.Questions, Today]:
    """What is played of a month, what is asked by which name, and what it starts from."""
    today, values, bucket = asking.starting(scenario, given, "as today", "expected", 1)
    business = asked_of(scenario, values, {}).business()
    asked = questions.questions(business, values, today, bucket, scenario.variants.currency)
    return asked_of(scenario, values, asked.changes), asked, today


IDLE = "owner: {hour_price: 5 EUR/h, priority: []}\n"


def test_where_nothing_is_done_a_further_bucket_is_worth_what_the_yard_pays_for_it(made: Made) -> None:
    found = month(made(IDLE), SPRING, replicates=3).buckets
    assert found is not None
    for row in found.rows:
        assert row.worth.more.mean == pytest.approx(YARD_PER_KG * found.mass_kg, rel=1e-9)
        assert row.worth.more.low == pytest.approx(row.worth.more.high, abs=1e-6)


def test_ingots_left_count_at_the_yard_s_price_and_beside_it_at_what_they_sell_for(garden: Scenario) -> None:
    kept = {"stock_end_yard": 100.0, "stock_end_sale": 250.0, "stock_change": 100.0}
    dealt = Dealt(
        defaultdict(lambda: around(100.0), {"sold untouched": more(20.0)}),
        others=lambda option, world: {} if option == "sold untouched" else kept,
    )
    found = month(garden, SPRING, replicates=60, engine=dealt)
    assert found.untouched is not None
    assert found.untouched_sale is not None
    assert found.untouched.more.mean == pytest.approx(-20.0, abs=1.0)
    assert found.untouched_sale.more.mean == pytest.approx(130.0, abs=1.0)


def test_what_nobody_buys_is_left(made: Made) -> None:
    found = month(made(IDLE), replace(SPRING, stock=("hard=40 kg",)), replicates=3)
    assert (found.left.ingots.low, found.left.ingots.high) == (60.0, 60.0)
    assert found.left.weights.middle == pytest.approx(50.0)
    assert [row.ingots.middle for row in found.left.course] == [60.0] * 9


def test_a_shop_that_fills_no_bucket_is_worth_nothing_and_one_that_does_is(made: Made) -> None:
    text = (
        "supply:\n  - name: town\n    model: core.shops\n    settings:\n      shops:\n"
        "        Corner Tyres: {x: 2 km, y: 1 km, kind: independent}\n"
        "        Sleepy Garage: {x: 3 km, y: 1 km, kind: small, first: 900 days}\n"
        "        Far Garage: {x: 3 km, y: 2 km, kind: small, first: 900 days, known: false}\n"
        "        Big Ring: {x: 3 km, y: 4 km, kind: chain, known: false}\n"
    )
    found = month(made(text), SPRING, replicates=3)
    by_name = {one.name: one for one in found.shops}
    assert set(by_name) == {"Corner Tyres", "Sleepy Garage", "Far Garage"}
    for name in ("Sleepy Garage", "Far Garage"):
        assert (by_name[name].worth.more.low, by_name[name].worth.more.high) == (0.0, 0.0)
        assert isnan(by_name[name].per_hour)
    assert by_name["Corner Tyres"].worth.more.mean != 0.0
    assert by_name["Corner Tyres"].hours_h.mean > 0.0
    assert "recycling contract" in dict(found.left_out)["shop Big Ring"]


def test_the_only_shop_can_be_played_without(garden: Scenario) -> None:
    (found,) = month(garden, SPRING, replicates=2).shops
    assert found.name == "Corner Tyres"
    assert found.km.mean > 0.0


def test_what_cannot_be_asked_says_why(made: Made, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(questions, "SCALED", ())
    found = month(made("melting: {on: false}\n"), SPRING, replicates=2)
    assert (found.untouched, found.lighting, found.price, found.drops) == (None, None, None, ())
    why = dict(found.left_out)
    assert why["melt or sell"] == why["lighting up"] == "nothing is melted in this business"
    assert "core.fixed" in why["price"]


def test_a_price_that_surely_brings_more_is_found_and_others_are_told(garden: Scenario) -> None:
    found = deal(garden, {"price times 1.1": more(40.0), "price times 0.8": more(-90.0)}).price
    assert found is not None
    verdicts = {row.factor: row.gain.verdict for row in found.rows}
    assert (found.best, verdicts[1.1], verdicts[0.8], verdicts[1.05]) == (1.1, "more", "less", "cannot tell")


def test_of_few_worlds_nothing_is_sure(garden: Scenario) -> None:
    found = deal(garden, {"price times 1.1": more(40.0)}, worlds=20).price
    assert found is not None
    assert {row.gain.verdict for row in found.rows} == {"cannot tell"}


def test_a_price_is_dropped_from_the_least_stock_on_from_which_it_always_pays(garden: Scenario) -> None:
    names = [f"from 2026-03-30 with {kg} kg, cheaper" for kg in (75.0, 150.0, 300.0, 450.0)]
    brings = {name: more(gain) for name, gain in zip(names, (20.0, -30.0, 25.0, 50.0), strict=True)}
    (found,) = deal(garden, brings).drops
    assert [row.stock_kg for row in found.rows] == [75.0, 150.0, 300.0, 450.0]
    assert found.from_kg == 300.0
    assert found.day == "2026-03-30"


def test_no_price_is_dropped_where_no_stock_makes_it_pay(garden: Scenario) -> None:
    (found,) = deal(garden, {}).drops
    assert isnan(found.from_kg)


def test_over_a_long_season_a_price_may_be_dropped_in_its_middle_or_later(garden: Scenario) -> None:
    later = "from 2026-11-01 with 75.0 kg, cheaper"
    dealt = Dealt(defaultdict(lambda: around(100.0), {later: more(20.0)}))
    found = month(garden, replace(SPRING, until=date(2026, 12, 31)), replicates=60, engine=dealt).drops
    assert [one.day for one in found] == ["2026-08-01", "2026-11-01"]
    assert next(row.gain.verdict for row in found[1].rows) == "more"
    assert all(row.gain.verdict == "cannot tell" for row in found[0].rows)


def test_so_many_buckets_are_taken_as_bring_most_once_they_are_paid(garden: Scenario) -> None:
    worth = {f"buckets more: {n}": more(gain) for n, gain in enumerate((40, 75, 80, 82, 84, 86), 1)}
    found = deal(garden, worth).buckets
    assert found is not None
    assert found.take == 2
    assert 5.0 < found.asked < 15.0
    assert found.rows[1].worth.more.mean == pytest.approx(35.0, abs=1.0)
    assert found.rows[1].net.more.mean == pytest.approx(75.0 - 2 * found.asked, abs=1.0)


def test_the_promised_buckets_are_held_against_not_taking_them_paid_and_fetched(garden: Scenario) -> None:
    given = replace(SPRING, promised=2)
    dealt = {"promised buckets not taken": more(-60.0)}
    found = month(garden, given, replicates=60, engine=Dealt(defaultdict(lambda: around(100.0), dealt)))
    assert found.buckets is not None
    assert found.buckets.promised is not None
    assert found.buckets.promised.more.mean == pytest.approx(60.0 - found.today.promised_cost, abs=1.0)
    assert deal(garden, {}).buckets.promised is None  # type: ignore[union-attr]


def test_without_the_promised_buckets_their_weights_are_not_there_and_their_price_is(
    garden: Scenario,
) -> None:
    played, asked, today = questioned(garden, replace(SPRING, promised=2, cash="200 EUR"))
    without, base = played.business(asked.unpromised), played.business()
    assert len(base.stock.lots) - len(without.stock.lots) == 2
    assert without.cash.opening == 200.0
    assert base.cash.opening == pytest.approx(200.0 - today.promised_cost)


def test_where_nothing_is_done_a_promised_bucket_is_worth_what_the_yard_pays_less_its_price(
    made: Made,
) -> None:
    found = month(made(IDLE), replace(SPRING, promised=2), replicates=3)
    assert found.buckets is not None
    assert found.buckets.promised is not None
    worth = YARD_PER_KG * found.today.promised_kg - found.today.promised_cost
    assert found.buckets.promised.more.mean == pytest.approx(worth, rel=1e-9)


def test_lighting_up_is_held_against_no_fire_on_that_day_and_nothing_else(garden: Scenario) -> None:
    played, asked, _ = questioned(garden, SPRING)
    off, today = played.business(asked.stays_off), played.business()
    assert [str(first) for first, _ in off.melting.not_on] == [str(asked.light_day)] == ["2026-03-07"]
    same = off.melting.model_copy(update={"not_on": today.melting.not_on})
    assert off.model_copy(update={"melting": same}) == today
    found = deal(garden, {asked.stays_off: more(-8.0)}).lighting
    assert found is not None
    assert found.gain.more.mean == pytest.approx(8.0, abs=1.0)


def test_the_hours_of_that_saturday_are_those_that_are_told(made: Made) -> None:
    """Of an hour nothing can be cast; with none another day is looked at; the scenario's own day gives way."""
    own = made("owner: {hour_price: 5 EUR/h, other_hours: [2026-03-07 none, 2026-03-20 10:00-11:00]}\n")
    whole = month(own, replace(SPRING, hours=("2026-03-07 09:00-17:00",)), replicates=8).lighting
    short = month(own, replace(SPRING, hours=("2026-03-07 09:00-10:00",)), replicates=8).lighting
    none = month(own, SPRING, replicates=2).lighting
    assert whole is not None
    assert short is not None
    assert none is not None
    assert (whole.day, short.day, none.day) == ("2026-03-07", "2026-03-07", "2026-03-14")
    assert whole.cast_share > 0.0
    assert short.cast_share == 0.0
    played, _, _ = questioned(own, replace(SPRING, hours=("2026-03-07 09:00-17:00",)))
    assert [f"{day}" for day, _ in played.business().owner.other_hours] == ["2026-03-07", "2026-03-20"]


def test_courting_a_shop_counts_how_often_it_says_yes_and_the_hours_of_asking(made: Made) -> None:
    text = (
        "supply:\n  - name: town\n    model: core.shops\n    settings:\n      says_yes_share: 0.5\n      shops:\n"
        "        Near: {x: 2 km, y: 1 km, kind: independent}\n"
        "        New: {x: 3 km, y: 1 km, kind: small, known: false, asking: 6 h}\n"
        "        Newer: {x: 3 km, y: 1 km, kind: small, known: false, asking: 1 h}\n"
    )
    found = deal(made(text), {"with town: New": more(40.0), "with town: Newer": more(39.0)})
    near, newer, new = found.shops
    assert (near.name, newer.name, new.name) == ("Near", "Newer", "New")
    assert near.courted == near.worth.more
    assert new.worth.more.mean == pytest.approx(40.0, abs=1.0)
    assert new.courted.mean == pytest.approx(0.5 * 40.0 - 6 * 5.0, abs=1.0)
    assert newer.courted.mean == pytest.approx(0.5 * 39.0 - 1 * 5.0, abs=1.0)
    assert new.courted.low < new.courted.mean < new.courted.high < 0.0


def test_the_days_alone_are_those_of_the_whole(garden: Scenario) -> None:
    """What is cast on the day that is looked at is cast on it in the whole season too."""
    given = Given(START, date(2026, 3, 30))
    values = at_today(
        garden, "as today", "expected", {"calendar.start": "2026-03-02", "calendar.days": 29}, {}
    )
    found = month(garden, given, replicates=8)
    assert found.lighting is not None
    whole = [row.day for row in found.left.course]
    assert whole[5] == found.lighting.day == "2026-03-07"
    base = asked_of(garden, values, {"short": {"calendar.days": 7}})
    play = Setting(base, garden.study.seed)()
    on_it = []
    for world in range(8):
        long, short = (play.run(name, "expected", world).melts for name in ("as today", "short"))
        day = [[m.poured_kg for m in melts if 5 <= m.t_h / 24.0 < 6] for melts in (long, short)]
        assert day[0] == day[1]
        on_it.append(sum(day[0]))
    assert found.lighting.cast_share == sum(kg > 0.0 for kg in on_it) / 8
    assert found.lighting.cast_share > 0.0


def test_a_free_saturday_comes_first_then_any_free_day(made: Made) -> None:
    free = month(
        made("owner: {hour_price: 5 EUR/h, holidays: [2026-03-07]}\n"), SPRING, replicates=2
    ).lighting
    assert free is not None
    assert free.day == "2026-03-14"
    friday = month(made("owner: {hour_price: 5 EUR/h, hours: {sat: none}}\n"), SPRING, replicates=2).lighting
    assert friday is not None
    assert friday.day == "2026-03-06"


def test_what_the_owner_says_of_today_is_what_is_played(garden: Scenario) -> None:
    given = replace(SPRING, stock=("hard=40 kg", "buckets=2"), cash="200 EUR", promised=1)
    today = month(garden, given, replicates=2).today
    assert (today.hard_kg, today.mixed_kg, today.cash, today.days) == (40.0, 20.0, 200.0, 60)
    assert today.weights_kg == pytest.approx(2 * today.promised_kg)
    assert today.given == ("hard", "weights", "cash")
    assert 5.0 < today.promised_cost < 15.0


def test_no_weights_may_be_told_by_mass_too(garden: Scenario) -> None:
    assert month(garden, replace(SPRING, stock=("weights=0 kg",)), replicates=1).today.weights_kg == 0.0


def test_what_the_scenario_is_written_for_is_kept_beside_what_is_played(garden: Scenario) -> None:
    today = month(garden, SPRING, replicates=1).today
    assert (today.written_from, today.written_until) == ("2026-03-02", "2026-04-30")


def test_a_promised_bucket_is_paid_and_there(made: Made) -> None:
    given = replace(SPRING, promised=2)
    without, promised = (month(made(IDLE), one, replicates=2) for one in (SPRING, given))
    cost, kg = promised.today.promised_cost, promised.today.promised_kg
    assert promised.left.weights.middle - without.left.weights.middle == pytest.approx(kg)
    assert without.left.lowest_cash.middle - promised.left.lowest_cash.middle == pytest.approx(cost)


def test_an_option_may_be_the_business_by_now(garden: Scenario) -> None:
    weak = month(garden, SPRING, option="camp stove", replicates=3)
    assert weak.option == "camp stove"
    assert weak.money != month(garden, SPRING, replicates=3).money


def test_failed_runs_are_counted_and_their_worlds_left_out(garden: Scenario) -> None:
    dealt = Dealt(
        defaultdict(lambda: around(100.0), {"sold untouched": more(-20.0)}),
        fails=lambda option, world: option == "sold untouched" and world < 5,
    )
    found = month(garden, SPRING, replicates=60, engine=dealt)
    assert found.untouched is not None
    assert (found.failed, found.untouched.more.n, found.untouched.verdict) == (5, 55, "more")
    assert found.failure == "ValueError: no"


def test_the_same_season_in_two_orders_is_answered_alike(garden: Scenario) -> None:
    dealt = {"price times 1.1": more(40.0)}
    one, other = (
        month(
            garden,
            SPRING,
            replicates=10,
            engine=Dealt(defaultdict(lambda: around(100.0), dealt), backwards=backwards),
        )
        for backwards in (False, True)
    )
    assert one.price == other.price
    assert one.untouched == other.untouched


@pytest.mark.parametrize(
    ("start", "end"),
    [
        (date(2026, 3, 1), date(2026, 12, 31)),
        (date(2026, 11, 2), date(2026, 12, 31)),
        (date(2026, 11, 3), date(2027, 3, 2)),
    ],
    ids=str,
)
def test_the_season_ends_with_the_year_or_after_120_days(start: date, end: date) -> None:
    assert season_end(start) == end


def refused() -> Iterator[tuple[Given, str]]:
    yield (
        replace(SPRING, until=date(2026, 3, 1)),
        "--until: 2026-03-01 is before 2026-03-02; give a later day",
    )
    yield replace(SPRING, until=date(2026, 3, 9)), "--until: 2026-03-02 to 2026-03-09 is 8 days, too few"
    yield replace(SPRING, until=date(2028, 3, 1)), "--until: 2028-03-01 is more than a year after 2026-03-02"
    yield replace(SPRING, stock=("harde=4 kg",)), "--stock: 'harde' is not known; did you mean hard?"
    yield (
        replace(SPRING, stock=("zinced=4 kg",)),
        "--stock: 'zinced' is not known; zinced ingots cannot be told",
    )
    yield replace(SPRING, stock=("hard 4 kg",)), "--stock: 'hard 4 kg' is not known"
    yield replace(SPRING, stock=("hard=",)), "--stock: 'hard=' is not understood; write it like 'hard=40 kg'"
    yield replace(SPRING, stock=("hard=4 kg", "hard=5 kg")), "--stock: 'hard' is told twice"
    yield replace(SPRING, stock=("buckets=two",)), "--stock: 'two' is no number of buckets"
    yield replace(SPRING, stock=("hard=4 EUR",)), "--stock: "
    yield replace(SPRING, stock=("hard=-4 kg",)), "--stock: "
    yield replace(SPRING, cash="lots"), "--cash: "
    yield replace(SPRING, promised=-1), "--promised: -1 buckets cannot be promised"
    yield replace(SPRING, promised=150), "--promised: 150 buckets cost"
    yield replace(SPRING, promised=900), "--promised: 900 buckets are more than the 200 that can be played"
    yield replace(SPRING, stock=("buckets=1000000",)), "--stock: 1000000 buckets are more than the 200"
    yield replace(SPRING, start=date(9999, 12, 30)), "--date: 9999-12-30 cannot be today; give a day such as"
    yield (
        replace(SPRING, hours=("2026-03-07",)),
        "--hours: '2026-03-07' is not a day with its times; write it like",
    )
    yield (
        replace(SPRING, hours=("2026-06-07 none",)),
        "--hours: 2026-06-07 is not between 2026-03-02 and 2026-04-30",
    )
    yield replace(SPRING, hours=("2026-03-07 9-17",)), "--hours: '9-17' is not a time from-to"


@pytest.mark.parametrize(("given", "words"), list(refused()), ids=lambda one: str(one)[:40])
def test_what_cannot_be_is_told_where_it_was_said(garden: Scenario, given: Given, words: str) -> None:
    with pytest.raises(InputError) as told:
        month(garden, given, replicates=2)
    assert str(told.value).startswith(words)


def test_a_date_that_is_none_is_told() -> None:
    with pytest.raises(InputError, match="--date: '2026-02-30' is no day of the calendar"):
        day_told("--date", "2026-02-30")


def test_a_year_from_today_may_be_played() -> None:
    assert last_day(Given(START, date(2027, 3, 1))) == date(2027, 3, 1)


def test_an_unknown_option_is_told(garden: Scenario) -> None:
    with pytest.raises(InputError, match="there is no option 'camp stoves'; did you mean camp stove"):
        month(garden, SPRING, option="camp stoves", replicates=2)


def test_a_question_changes_what_it_asks_and_nothing_else(garden: Scenario) -> None:
    values = at_today(garden, "as today", "expected", {"calendar.days": 50}, {})
    played = asked_of(garden, values, {"dearer": {"pricing.settings.private.mixed": {"times": 1.1}}})
    dearer, today = played.business("dearer"), played.business()
    assert (dearer.calendar.days, today.calendar.days, garden.business().calendar.days) == (50, 50, 60)
    assert dearer.pricing.settings.private.mixed_per_kg == pytest.approx(4.4)
    assert dearer.model_copy(update={"pricing": today.pricing}) == today
